#pragma once
// What each cutter of the shop costs in detail, material by material.

#include "job/job_file.hpp"

namespace kerfwright::job {

/// All regions of one material as one cutter would leave them, each region by itself.
struct CutterDetail {
    std::string material, cutter;
    double DC = 0;            ///< mm
    double moved_max = 0;     ///< mm, largest displacement of a border
    std::string moved_in;     ///< the region where that is
    double area_lost = 0;     ///< mm², given up to neighbours
    int peninsulas = 0;       ///< trimmed by more than `detail`
    double narrowest = 0;     ///< mm, narrowest wall left in any of them
    std::string narrowest_in; ///< the region where that is
    double wall_min = 0;      ///< mm that the material needs (data/materials.toml, min_wall)
    bool within = false;      ///< moves no border by more than `detail`
    bool largest = false;     ///< of the best-suited family, the largest that stays within `detail`
    bool chosen = false;      ///< what the plan takes: `largest`, unless the job names another
};

/// Rows by material in the order of the drawing's regions, then as the plan prefers: the best-suited family first,
/// large cutters first. Fails as `plan` does on regions without a material and on materials that no cutter suits.
[[nodiscard]] Result<std::vector<CutterDetail>> detail_table(const Job& job, const drawing::Drawing& drawing,
                                                             int threads);

} // namespace kerfwright::job
