#pragma once
// Private to drawing/: curves as files give them, kept exact under affine maps until the finished size is known.

#include "plane/shape.hpp"

#include <variant>
#include <vector>

namespace kerfwright::drawing {

using plane::Vec;

/// x' = a x + c y + e, y' = b x + d y + f: the order of SVG's matrix(a b c d e f).
struct Affine {
    double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;
    [[nodiscard]] Vec operator()(Vec p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
    /// Without the shift: for directions.
    [[nodiscard]] Vec turned(Vec p) const { return {a * p.x + c * p.y, b * p.x + d * p.y}; }
};
/// First `inner`, then `outer`.
[[nodiscard]] Affine operator*(const Affine& outer, const Affine& inner);
[[nodiscard]] Affine shift(double x, double y);
[[nodiscard]] Affine stretch(double x, double y);

// Pieces of a curve. Each begins where the one before ends.

struct Line {
    Vec to;
};
struct Cubic {
    Vec first, second, to;
};
/// centre + u cos t + v sin t for t from `start` over `sweep` (radians, either sign). u and v are conjugate half
/// diameters, so that every affine image of an arc is an arc again.
struct EllipseArc {
    Vec centre, u, v;
    double start = 0, sweep = 0;
    Vec to; ///< the end as the file gives it
};
/// Rational Bézier curve of degree points.size() - 1; the first point is where the piece begins. Weights are positive.
struct Rational {
    struct Control {
        Vec at;
        double weight = 1;
    };
    std::vector<Control> points;
};
inline constexpr int kMostDegree = 15;

using Piece = std::variant<Line, Cubic, EllipseArc, Rational>;

/// A chain of pieces. A closed one whose ends differ is closed by a straight line.
struct Chain {
    Vec start;
    std::vector<Piece> pieces;
    bool closed = false;
};

[[nodiscard]] Vec end_of(const Piece& piece);
[[nodiscard]] Vec end_of(const Chain& chain);
[[nodiscard]] Chain mapped(const Affine& map, Chain chain);
[[nodiscard]] Chain reversed(Chain chain);

/// The full circle or ellipse about `centre`, from centre + u.
[[nodiscard]] Chain full_ellipse(Vec centre, Vec u, Vec v);
/// The quadratic Bézier curve as a cubic: exact.
[[nodiscard]] Cubic quadratic(Vec from, Vec control, Vec to);
/// The arc from `from` to `to` with bulge = tan(sweep / 4); a line when the bulge is below 1e-7 or the ends are one
/// point.
[[nodiscard]] Piece bulged(Vec from, Vec to, double bulge);

/// Grows the box to hold the chain: the curve itself, not its control points. Exact to 1e-12 of its size.
void extend(plane::Box& box, const Chain& chain);
/// True when every number in the chain is finite and no coordinate is beyond `most`.
[[nodiscard]] bool within(const Chain& chain, double most);

/// Points along the chain, its start first, with chords within `tolerance` of the curve; a closed chain does not repeat
/// its start. Stops, and the last point is then not the end, when `most` points are reached.
///
/// Arcs: equal steps of at most 2 acos(1 - tolerance / a), a the larger half axis: an affine map of a circle stretches
/// the sagitta by no more than a. Béziers: halved until hull_factor * (largest distance of a control point from the
/// chord) is within tolerance. The distance from a chord is a convex function, so for degree n that bounds the curve
/// with hull_factor = 1 - 2^(1-n), the most that the inner Bernstein polynomials sum to (1 for rational curves).
[[nodiscard]] std::vector<Vec> flattened(const Chain& chain, double tolerance, std::size_t most);

} // namespace kerfwright::drawing
