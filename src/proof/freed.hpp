#pragma once
// Parts that come free while the programs still run, and what touches them afterwards.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

/// A part is free once its whole outline is cut through, with no skin and no tab, and nothing under it holds it (tape,
/// vacuum). Moves that run along it or into it after that are findings; the overlap at the end of a contour is not.
[[nodiscard]] std::vector<Finding> freed_part_findings(const SetupToProve& setup, const Sequence& sequence,
                                                       const PathTree& cutting);

} // namespace kerfwright::proof
