#pragma once
// Private to drawing/: a static tree of integer boxes, for asking which segments come near a place.

#include "plane/shape.hpp"

#include <algorithm>
#include <cstdint>
#include <vector>

namespace kerfwright::drawing {

/// Closed box on the grid.
struct GridBox {
    plane::Point low, high;
};

[[nodiscard]] inline GridBox box_of(plane::Point a, plane::Point b) {
    return {{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
}
[[nodiscard]] inline GridBox grown(GridBox box, std::int64_t by) {
    return {{box.low.x - by, box.low.y - by}, {box.high.x + by, box.high.y + by}};
}
[[nodiscard]] inline bool overlap(const GridBox& a, const GridBox& b) {
    return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y;
}

struct GridSegment {
    plane::Point a, b;
};

/// Boxes sorted along a Morton curve, and boxes of runs of them above. Cost: O(n log n) to build.
class BoxTree {
  public:
    /// Segments much longer than the others are stored as several short boxes.
    explicit BoxTree(const std::vector<GridSegment>& segments);

    /// Calls visit(index of segment) for each one whose box overlaps; a long segment may be visited more than once.
    template <class Visit>
    void visit(const GridBox& box, const Visit& visit) const {
        if (levels_.empty()) return;
        descend(levels_.size() - 1, 0, levels_.back().size(), box, visit);
    }

  private:
    static constexpr std::size_t kFan = 8;

    template <class Visit>
    void descend(std::size_t level, std::size_t first, std::size_t last, const GridBox& box, const Visit& visit) const {
        for (std::size_t i = first; i < last; ++i) {
            if (!overlap(levels_[level][i], box)) continue;
            if (level == 0)
                visit(items_[i]);
            else
                descend(level - 1, i * kFan, std::min((i + 1) * kFan, levels_[level - 1].size()), box, visit);
        }
    }

    std::vector<std::size_t> items_;           ///< segment of each box of level 0
    std::vector<std::vector<GridBox>> levels_; ///< level 0: the boxes; above: one for each kFan below
};

} // namespace kerfwright::drawing
