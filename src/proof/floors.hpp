#pragma once
// Floors by exact distance from the path. No height field is asked: a floor is divided into squares until each is known
// to lie under the cutter as a whole, or a place is found that does not.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

/// Left-standing where no feed at the floor's depth comes over a place, gouge where a move goes deeper; both with the
/// tolerances of the setup. Squares are divided down to kSmallestSquare: a ridge that is wider, or a groove, is found
/// wherever it lies. The floor's border is left to the edges: `tolerances.left_standing` of it is not looked at.
[[nodiscard]] std::vector<Finding> floor_findings(const SetupToProve& setup, const Sequence& sequence,
                                                  const PathTree& cutting, int threads);

inline constexpr double kSmallestSquare = 0.02; ///< mm

} // namespace kerfwright::proof
