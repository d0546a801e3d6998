#pragma once
// Private to fit/: whether a round cutter can get to a point, found without any offsetting.

#include "plane/nearest.hpp"

namespace kerfwright::fit {

/// How far a disc of `radius` that stays outside the shape (`index` holds its edges) falls short of reaching `p`, mm:
/// the smallest found |centre - p| - radius over centres at least `radius` from every edge and not inside. An upper
/// bound; 0 when the point can be touched. The search ends with what is below `good_enough`.
[[nodiscard]] double out_of_reach(const plane::EdgeIndex& index, plane::Vec p, double radius,
                                  double good_enough = 1e-4);

/// Distance to the shape whose edges are in `index`; negative inside (interior to the left of every edge).
[[nodiscard]] double signed_distance(const plane::EdgeIndex& index, plane::Vec p);
/// The same when the nearest edge is known already.
[[nodiscard]] double signed_distance(const std::vector<plane::Ring>& rings, const plane::Nearest& nearest,
                                     plane::Vec p);

} // namespace kerfwright::fit
