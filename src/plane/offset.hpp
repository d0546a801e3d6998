#pragma once
// Offsets of shapes by a plain library (Clipper 6), for few levels. Curves come out as chords within `arc_tolerance`.
// Clipper rounds the number of arc steps, so it is asked for 1/2.25 of the tolerance that is promised here (measured;
// see docs/dependencies.md).

#include "plane/shape.hpp"

namespace kerfwright::plane {

struct OffsetOptions {
    double arc_tolerance = 0.001;                        ///< mm, largest distance of a chord from its true arc
    enum class Join { round, mitre } join = Join::round; ///< mitre: for sub-micrometre steps only
};

/// Points within `distance` of the shape (distance > 0), or deeper than -distance inside it (distance < 0).
[[nodiscard]] Shape offset(const Shape& shape, double distance, const OffsetOptions& options = {});

/// Closing: what a disc of `radius` that stays outside the shape cannot touch is filled.
[[nodiscard]] Shape closing(const Shape& shape, double radius, const OffsetOptions& options = {});
/// Opening: the union of all discs of `radius` inside the shape, which is what a cutter of that radius can clear of it.
[[nodiscard]] Shape opening(const Shape& shape, double radius, const OffsetOptions& options = {});

} // namespace kerfwright::plane
