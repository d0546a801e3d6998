#pragma once
// Booleans on the grid (Clipper 6: Vatti 1992). Results are normal shapes: outer rings counter-clockwise, holes
// clockwise, disjoint, no repeated points; they may touch in points. Coordinates are rounded to the grid.

#include "plane/shape.hpp"

namespace kerfwright::plane {

/// Which points count as inside when rings of an input overlap.
enum class FillRule { nonzero, even_odd };

/// Union of all rings: also the way to turn any heap of rings into a normal shape.
[[nodiscard]] Shape normal(const std::vector<Ring>& rings, FillRule rule = FillRule::nonzero);
[[nodiscard]] Shape unite(const Shape& a, const Shape& b);
[[nodiscard]] Shape unite(const std::vector<Shape>& shapes);
[[nodiscard]] Shape intersect(const Shape& a, const Shape& b);
[[nodiscard]] Shape subtract(const Shape& a, const Shape& b);

/// The polygon of the largest area; an empty one for an empty shape.
[[nodiscard]] Polygon largest(const Shape& shape);
/// Leaves out polygons and holes below `least_area` mm².
[[nodiscard]] Shape without_specks(Shape shape, double least_area);

} // namespace kerfwright::plane
