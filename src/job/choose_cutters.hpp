#pragma once
// Private to job/: which of the shop's cutters does what.

#include "fit/fit.hpp"
#include "job/job_file.hpp"

namespace kerfwright::job {

/// What the job asks of fit; the tray's cutter is not known yet.
[[nodiscard]] fit::FitRules fit_rules(const Job& job);

/// Material of every region, by the job's patterns. Fails on a region that no pattern matches and on a pattern (other
/// than "*") that matches no region.
[[nodiscard]] Result<std::vector<const shop::Material*>> materials_of(const Job& job, const drawing::Drawing& drawing);

/// The cutter for each material that pieces are made of: what the job says; else the largest of the family that suits
/// it best with which every region of the material stays within `detail`; else the next family's; else the smallest of
/// all.
[[nodiscard]] Result<std::map<std::string, shop::Cutter>>
choose_piece_cutters(const Job& job, const drawing::Drawing& drawing,
                     const std::vector<const shop::Material*>& materials);

/// Cutters for the tray, largest first; the last one finishes the wall.
[[nodiscard]] Result<std::vector<shop::Cutter>> choose_tray_cutters(const Job& job, const drawing::Drawing& drawing);

/// Cutters of the shop that suit a material and mill a profile: its best family first, largest first within each.
[[nodiscard]] std::vector<shop::Cutter> suiting_cutters(const Job& job, const shop::Material& material);

} // namespace kerfwright::job
