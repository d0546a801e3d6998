#pragma once
// Private to drawing/: noding by snap rounding. Segments are cut wherever they cross or pass through the pixel of a
// vertex, until they meet in common vertices only (Hobby 1999, "Practical segment intersection with finite precision
// output").

#include "drawing/partition_boxes.hpp"

#include <optional>
#include <vector>

namespace kerfwright::drawing {

/// A segment of a ring of the drawing, or a bridge (no ring).
struct RingSegment {
    plane::Point a, b;
    int ring = kBridge;
    static constexpr int kBridge = -1;
};

/// The same segments, cut into pieces that cross nowhere. REQUIRES: coordinates in [0, kRange].
/// Nothing when there are so many crossings that this cannot be a drawing of regions.
[[nodiscard]] std::optional<std::vector<RingSegment>> noded(std::vector<RingSegment> segments);

} // namespace kerfwright::drawing
