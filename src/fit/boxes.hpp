#pragma once
// Private to fit/: many boxes, and which of them meet another.

#include "plane/shape.hpp"

#include <algorithm>
#include <vector>

namespace kerfwright::fit {

/// Boxes sorted by their left side.
class BoxList {
  public:
    explicit BoxList(std::vector<plane::Box> boxes) : boxes_(std::move(boxes)) {
        std::sort(boxes_.begin(), boxes_.end(),
                  [](const plane::Box& a, const plane::Box& b) { return a.low.x < b.low.x; });
        for (const plane::Box& box : boxes_)
            widest_ = std::max(widest_, box.width());
    }
    [[nodiscard]] bool any_meets(const plane::Box& box) const {
        auto it = std::lower_bound(boxes_.begin(), boxes_.end(), box.low.x - widest_,
                                   [](const plane::Box& b, double x) { return b.low.x < x; });
        for (; it != boxes_.end() && it->low.x <= box.high.x; ++it)
            if (overlap(*it, box)) return true;
        return false;
    }
    [[nodiscard]] bool empty() const { return boxes_.empty(); }

  private:
    std::vector<plane::Box> boxes_;
    double widest_ = 0;
};

[[nodiscard]] inline std::vector<plane::Box> boxes_of(const plane::Shape& shape) {
    std::vector<plane::Box> boxes;
    for (const plane::Polygon& polygon : shape)
        boxes.push_back(plane::bounds(polygon));
    return boxes;
}

} // namespace kerfwright::fit
