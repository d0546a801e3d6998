#pragma once
// Private to layout/: closed rings of points in mm, for the search.

#include "plane/shape.hpp"

#include <vector>

namespace kerfwright::layout {

using Outline = std::vector<plane::Vec>; ///< a closed ring, first point not repeated

[[nodiscard]] Outline to_outline(const plane::Ring& ring);
/// Turned about its frame's origin, then shifted.
[[nodiscard]] Outline moved(const Outline& outline, const plane::Placement& placement);
[[nodiscard]] plane::Box bounds(const Outline& outline);
/// Even-odd.
[[nodiscard]] bool inside(const Outline& outline, plane::Vec p);
/// True when the segments ab and cd share a point.
[[nodiscard]] bool meet(plane::Vec a, plane::Vec b, plane::Vec c, plane::Vec d);

} // namespace kerfwright::layout
