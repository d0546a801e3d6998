#pragma once
// Loads along the programs from the engagement that the removal shows, by the force model of cutting/.

#include "removal.hpp"
#include "timeline.hpp"

#include <vector>

namespace kerfwright::proof {

/// Stretches of 2 mm to a few millimetres. Depth is the mean of the cells that were cut, weighed by what they lost;
/// width follows from the volume: the engagement of a mean cut that takes as much. Forces are those of the cautious
/// side, as in feed plans. Ways steeper than 45° are left out, the force model is not made for them.
[[nodiscard]] std::vector<LoadStretch> loads_along(const SetupToProve& setup, const Sequence& sequence,
                                                   const Removal& removal, const Timeline& timeline);

/// Force or power more than 15 % above the largest of the cutter's plans, for longer than 5 mm.
[[nodiscard]] std::vector<Finding> overload_findings(const SetupToProve& setup, const Sequence& sequence,
                                                     const std::vector<LoadStretch>& loads);

} // namespace kerfwright::proof
