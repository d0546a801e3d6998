#pragma once
// Private to fit/: how far easing moved a border from where it was drawn.
//
// A drawn border point belongs to both of its sides. It has moved by as much as it is now away from either of the
// eased sides: a trimmed cape counts with its whole length, a point that only slid along its own border with nothing.
// And the other way round, from the eased border to the drawn sides.

#include "fit/bodies.hpp"
#include "fit/borders.hpp"

#include <map>
#include <utility>

namespace kerfwright::fit {

struct Displacement {
    double max = 0;        ///< mm
    plane::Vec at;         ///< where, on the drawn or the eased border
    double length = 0;     ///< mm of drawn border
    double integral = 0;   ///< mm², of the displacement along the drawn border
    std::size_t loser = 0; ///< the side that gave way most there
};

/// Bodies of a seam, a < b; b = kNobody for a free edge.
using SeamKey = std::pair<int, int>;

[[nodiscard]] std::map<SeamKey, Displacement> displacements(const std::vector<Border>& drawn,
                                                            const std::vector<Border>& eased, int threads);

} // namespace kerfwright::fit
