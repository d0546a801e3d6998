#pragma once
// Private to fit/: what is refused, and the cutter that would do.

#include "fit/bodies.hpp"
#include "fit/displacement.hpp"
#include "fit/ease.hpp"
#include "fit/step_back.hpp"

namespace kerfwright::fit {

/// A body of which nothing is left, or nothing after the step back, or that falls apart.
[[nodiscard]] std::optional<Problem> refuse_lost(const Bodies& bodies, const Eased& eased,
                                                 const std::vector<SteppedBack>& cut, const FitRules& rules);
/// The worst border that moved more than `detail`.
[[nodiscard]] std::optional<Problem> refuse_moved(const Bodies& bodies, const Eased& eased,
                                                  const std::map<SeamKey, Displacement>& moved, const FitRules& rules);
/// As-cut pieces that share area. `close` as found by seam_table.
[[nodiscard]] std::optional<Problem> refuse_overlap(const Bodies& bodies, const std::vector<plane::Shape>& as_cut,
                                                    const std::vector<std::pair<SeamKey, plane::Vec>>& close);

} // namespace kerfwright::fit
