#pragma once
// Private to fit/: small helpers for shapes that are thinner than they look.

#include "plane/offset.hpp"
#include "plane/shape.hpp"

namespace kerfwright::fit {

/// Chords of eased borders stay within this of their true arcs, mm.
inline constexpr double kArcTolerance = 0.001;
/// What is thinner than this is noise of chords and rounding, mm.
inline constexpr double kNoise = 0.0015;
/// Added to the easing radius, so that arcs are a little wider than the cutter and chords never pinch it, mm.
inline constexpr double kRoom = 0.005;

/// Neighbours certainly part, or certainly join, when one of them is grown by this, mm.
inline constexpr double kNudge = 2e-4;

/// A disc of diameter `thickness` fits inside.
[[nodiscard]] bool thicker_than(const plane::Polygon& polygon, double thickness);
[[nodiscard]] bool thicker_than(const plane::Shape& shape, double thickness);
/// Cuts away hairs: opening by 0.1 µm with mitred joins.
[[nodiscard]] plane::Shape without_hairs(const plane::Shape& shape);
/// Drops needles and cracks narrower than 0.5 µm, and repeated points; an empty ring when nothing else is left.
[[nodiscard]] plane::Ring without_spikes(const plane::Ring& ring);
[[nodiscard]] plane::Shape without_spikes(const plane::Shape& shape);
/// Grows by a step far below anything that matters, so that neighbours certainly part or certainly join. Polygons may
/// overlap afterwards, and corners closer together than the step may cross: input for a boolean, not a result.
[[nodiscard]] plane::Shape nudged(const plane::Shape& shape, double by);
/// What closing(shape, radius) adds, without what is thinner than `noise`, and the shape with it.
struct Closing {
    plane::Shape fills;
    plane::Shape closed;
};
[[nodiscard]] Closing closing(const plane::Shape& shape, double radius, double noise = kNoise);
/// The fills alone.
[[nodiscard]] plane::Shape fills(const plane::Shape& shape, double radius, double noise = kNoise);

} // namespace kerfwright::fit
