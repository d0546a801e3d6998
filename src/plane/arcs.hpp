#pragma once
// Paths of lines and arcs, and the fitting of arcs to polylines.

#include "plane/shape.hpp"

namespace kerfwright::plane {

/// One vertex of a path and the edge that leaves it. `bulge` = tan(sweep / 4): 0 is a line, positive turns left
/// (counter-clockwise), 1 is a half circle.
struct PathVertex {
    Vec at;
    double bulge = 0;
};

/// A chain of lines and arcs. Closed paths do not repeat their first vertex; the last vertex's bulge closes the path.
/// An open path's last bulge is not used.
struct Path {
    std::vector<PathVertex> vertices;
    bool closed = true;
};

struct Arc {
    Vec centre;
    double radius = 0;
    double sweep = 0; ///< radians, positive counter-clockwise
};
/// REQUIRES: bulge is not 0 and a is not b.
[[nodiscard]] Arc arc_between(Vec a, Vec b, double bulge);

/// Length of all edges, mm.
[[nodiscard]] double length(const Path& path);
/// Chords within `tolerance` mm of the arcs.
[[nodiscard]] std::vector<Vec> flattened(const Path& path, double tolerance);
[[nodiscard]] Ring to_ring(const Path& path, double tolerance);

/// The fewest lines and arcs, greedily taken, that stay within `tolerance` mm of the ring at its vertices and at the
/// middles of its edges. Vertices of the result are vertices of the ring. Arcs sweep at most 170° and keep their sense
/// of turning; radii stay within [0.05 mm, 2 m]. Corners (turns above 20° between edges both longer than 0.05 mm) stay.
[[nodiscard]] Path fit_arcs(const Ring& ring, double tolerance);

/// Fewest vertices, each a vertex of the ring, with every left-out vertex within `tolerance` mm of its chord
/// (Douglas and Peucker 1973); the two farthest-apart vertices stay.
[[nodiscard]] Ring simplified(const Ring& ring, double tolerance);

} // namespace kerfwright::plane
