#pragma once
// Private to drawing/: B-splines as Bézier pieces.

#include "drawing/curves.hpp"

namespace kerfwright::drawing {

/// A B-spline curve of `degree` over its domain [knots[degree], knots[points.size()]], cut at its knots into rational
/// Bézier pieces, each control point by blossoming (de Boor's algorithm with one knot for each level; Ramshaw 1987).
/// REQUIRES: 1 <= degree <= kMostDegree, knots rise and are points.size() + degree + 1, weights above 0.
[[nodiscard]] Chain spline_chain(int degree, const std::vector<double>& knots,
                                 const std::vector<Rational::Control>& points);

/// The cubic spline through the points with chord lengths as parameters: twice differentiable; at the ends it has the
/// given directions, or no curvature where one is the null vector (de Boor 1978, chapter IV); a closed one has no ends.
/// Repeated points are left out. Fewer than 2 distinct points give an empty chain.
[[nodiscard]] Chain spline_through(std::vector<Vec> points, bool closed, Vec start_direction, Vec end_direction);

} // namespace kerfwright::drawing
