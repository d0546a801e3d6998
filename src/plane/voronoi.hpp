#pragma once
// The segment Voronoi diagram of a shape: which edge or corner of the shape is nearest, everywhere inside and outside.
// Built once, it serves every offset level (plane/levels.hpp), the medial axis, the local width and the reach of a
// disc.
//
// Built by Boost.Polygon (Fortune 1987 for segments; predicates exact on 32-bit integers). It wants segments that meet
// in ends only and corners that turn, so the input is cleaned first: duplicate and collinear points go, and what
// crosses or touches is noded and rounded to the grid. O(n log n), about 10 µs for each edge.

#include "plane/shape.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace kerfwright::plane {

/// A shape that the diagram can be built of, or why there is none.
/// Rings keep their area on the left, meet in vertices only and have no collinear or duplicate points. Moved by at most
/// a few grid units where edges crossed. Areas without width are gone.
struct CleanShape {
    Shape shape;
    std::string trouble; ///< empty when it is clean; else what was still wrong after several rounds
};
[[nodiscard]] CleanShape clean_for_voronoi(const Shape& shape);

/// One stretch of a Voronoi edge on which the clearance (distance to the shape's edge) rises from `low` to `high`.
/// Clearances are in mm; `high` is infinite for edges without end.
struct Ramp {
    double low = 0, high = 0;
    Vec low_at, high_at;      ///< mm; for an edge without end, high_at is the unit vector of its direction
    std::uint32_t rising = 0; ///< the half-edge that runs from low to high; its twin is rising ^ 1
};

/// Half-edges 2k and 2k + 1 are twins. Every half-edge has its cell on the left; `next` runs counter-clockwise around
/// it.
struct HalfEdge {
    std::uint32_t next = 0;
    std::uint32_t site = 0;
    std::int32_t first = -1, second = -1; ///< ramps along the half-edge, in its direction; second is -1 mostly
};

/// A corner (a == b) or an edge of the shape, a to b, the area on its left. mm.
struct Site {
    Vec a, b;
    bool point = false;
};

/// Stretch of the medial axis of the inside or of the outside. Straight, or a parabola; ends in mm with half the local
/// width there: a disc of that radius touches the shape's edge in two places or more.
struct MedialEdge {
    Vec a, b;
    double radius_a = 0, radius_b = 0;
    bool inside = true;
};

/// The diagram as plain tables. Indices are checked nowhere: made by voronoi_of only.
struct Voronoi {
    Shape shape; ///< as cleaned
    std::vector<Site> sites;
    std::vector<HalfEdge> half_edges;
    std::vector<Ramp> ramps;
    std::vector<std::uint32_t> inside, outside; ///< ramps by falling `high`
    std::vector<MedialEdge> axis;               ///< both sides; edges without end are left out
};

/// Nothing but the reason when the input cannot be cleaned or the diagram does not hold together; an empty shape has an
/// empty diagram.
struct VoronoiResult {
    std::optional<Voronoi> diagram;
    std::string trouble;
};
[[nodiscard]] VoronoiResult voronoi_of(const Shape& shape);

/// The place on a ramp's edge where the clearance is `level`. REQUIRES: low <= level <= high. mm.
[[nodiscard]] Vec place_at(const Voronoi& diagram, const Ramp& ramp, double level);

/// Diameter of the largest disc inside the shape, and its centre: the local width at its widest. 0 for an empty shape.
struct Widest {
    double width = 0;
    Vec at;
};
[[nodiscard]] Widest widest(const Voronoi& diagram);

} // namespace kerfwright::plane
