#pragma once
// Private to layout/: shapes that can tell whether, and about how deep, they overlap.

#include "layout/outline.hpp"

namespace kerfwright::layout {

struct Circle {
    plane::Vec at;
    double radius = 0;
};

/// Few large circles inside the outline, the largest first, none overlapping (poles of inaccessibility).
[[nodiscard]] std::vector<Circle> inner_circles(const Outline& outline);

/// An outline where it lies now, with its circles.
struct Solid {
    Outline outline;
    std::vector<Circle> circles;
    plane::Box box;
    double size = 0;   ///< mm, side of a square as large as the outline's box
    plane::Vec centre; ///< of a circle around the outline
    double reach = 0;  ///< its radius
};
[[nodiscard]] Solid make_solid(Outline outline, std::vector<Circle> circles);
[[nodiscard]] Solid moved(const Solid& solid, const plane::Placement& placement);
/// The same in two steps and without new memory, for the innermost loop: all but the outline and the box, then those.
void move_circles(const Solid& solid, const plane::Placement& placement, Solid& out);
void move_outline(const Solid& solid, const plane::Placement& placement, Solid& out);

/// True when the circles around them are apart, and so are the solids.
[[nodiscard]] bool far_apart(const Solid& a, const Solid& b);
/// True when inner circles overlap, and so do the solids; false leaves it open.
[[nodiscard]] bool surely_collide(const Solid& a, const Solid& b);
/// True when the outlines share a point, or one lies within the other.
[[nodiscard]] bool collide(const Solid& a, const Solid& b);

/// About how deep two colliding solids lie in each other, mm² (the circle proxy of Gardeyn, Vanden Berghe and Wauters
/// 2025): sum over pairs of circles of the depth of their overlap, softened so that it keeps a slope where they are
/// apart, times the smaller diameter; its square root, times the mean size of both. Above zero.
[[nodiscard]] double depth(const Solid& a, const Solid& b);

} // namespace kerfwright::layout
