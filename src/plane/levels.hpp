#pragma once
// Offsets of a shape at any number of levels from its Voronoi diagram, with true arcs (Held 1991: offset curves by a
// walk over the diagram). Every level is taken from the shape itself, so nothing drifts from level to level.
//
// Points of a level's lines and arcs keep the distance to the shape within 1 µm; what was measured stands in
// docs/plane.md. For few levels the plain library (plane/offset.hpp) is quicker.

#include "plane/arcs.hpp"
#include "plane/voronoi.hpp"

namespace kerfwright::plane {

/// The edge of what is left or covered at one level.
struct OffsetLevel {
    double distance = 0;     ///< as in plane::offset: > 0 outwards, < 0 inwards; mm
    std::vector<Path> paths; ///< closed; area on the left
};

/// REQUIRES: |distance| >= kLeastLevel.
[[nodiscard]] OffsetLevel level_of(const Voronoi& diagram, double distance);
inline constexpr double kLeastLevel = 1e-4; // mm

/// The level as a shape, chords within `arc_tolerance` mm of the arcs, on the grid.
[[nodiscard]] Shape to_shape(const OffsetLevel& level, double arc_tolerance = 0.001);

/// Levels with their guard: each is looked at independently of the diagram (distances of samples by EdgeIndex, winding
/// at probes); one that fails, and all of them when there is no diagram, is made by the plain library in chords.
struct OffsetLevels {
    std::vector<OffsetLevel> levels; ///< in the order of `distances`
    std::vector<std::string> notes;  ///< why the plain library was used, where it was
};
[[nodiscard]] OffsetLevels offset_levels(const Shape& shape, const std::vector<double>& distances);
/// The levels inside at `step`, 2 `step`, ... mm until nothing is left; guarded likewise. REQUIRES: step >=
/// kLeastLevel.
[[nodiscard]] OffsetLevels levels_inside(const Shape& shape, double step);

/// Why the level does not hold against the shape; empty when it does.
[[nodiscard]] std::string fault_of(const OffsetLevel& level, const Shape& shape);

/// What a disc of `radius` inside the shape gets to: the union of all such discs (opening). The discs' centres are a
/// guarded level.
struct Reach {
    Shape area;
    std::vector<std::string> notes; ///< as of OffsetLevels
};
[[nodiscard]] Reach reach(const Shape& shape, double radius, double arc_tolerance = 0.001);

} // namespace kerfwright::plane
