#pragma once
// Floors by exact distance from the path. No height field is asked: a floor is divided into squares until each is known
// to lie under the cutter as a whole, or a place is found that does not.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

struct FloorsProof {
    std::vector<FloorProof> floors; ///< in the order asked
    std::vector<Finding> findings;
};

/// Left-standing where no feed at the floor's depth comes over a place, gouge where a move goes deeper; both with the
/// tolerances of the setup; and for each floor its deepest and its highest place. Squares are divided down to
/// kSmallestSquare: a ridge that is wider, or a groove, is found wherever it lies. The floor's border is left to the
/// edges: `tolerances.left_standing` of it is not looked at.
[[nodiscard]] FloorsProof prove_floors(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                       int threads);

inline constexpr double kSmallestSquare = 0.02; ///< mm

/// Heights of a floor that differ by less are one height.
inline constexpr double kSameHeight = 0.001; ///< mm

} // namespace kerfwright::proof
