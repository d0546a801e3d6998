#include "drawing/partition_boxes.hpp"

#include <cmath>

namespace kerfwright::drawing {
namespace {

using plane::Point;

/// Spreads the lower 32 bits to the even places.
std::uint64_t spread(std::uint64_t v) {
    v &= 0xffffffffULL;
    v = (v | (v << 16)) & 0x0000ffff0000ffffULL;
    v = (v | (v << 8)) & 0x00ff00ff00ff00ffULL;
    v = (v | (v << 4)) & 0x0f0f0f0f0f0f0f0fULL;
    v = (v | (v << 2)) & 0x3333333333333333ULL;
    v = (v | (v << 1)) & 0x5555555555555555ULL;
    return v;
}

/// Place along a Morton (Z-order) curve: near points mostly have near numbers.
std::uint64_t morton(Point p) {
    constexpr std::int64_t kShift = std::int64_t{1} << 31;
    return spread(static_cast<std::uint64_t>(p.x + kShift)) | (spread(static_cast<std::uint64_t>(p.y + kShift)) << 1);
}

std::int64_t reach(const GridSegment& s) {
    return std::max(std::abs(s.b.x - s.a.x), std::abs(s.b.y - s.a.y));
}

struct Item {
    std::uint64_t key;
    GridBox box;
    std::size_t segment;
};

std::vector<Item> cut_up(const std::vector<GridSegment>& segments) {
    double total = 0;
    for (const GridSegment& s : segments)
        total += static_cast<double>(reach(s));
    const double longest = 1 + 2 * total / static_cast<double>(std::max<std::size_t>(segments.size(), 1));
    std::vector<Item> items;
    items.reserve(segments.size() * 3 / 2);
    for (std::size_t i = 0; i < segments.size(); ++i) {
        const GridSegment& s = segments[i];
        const auto pieces = static_cast<std::int64_t>(std::ceil(static_cast<double>(reach(s)) / longest));
        const std::int64_t count = std::max<std::int64_t>(pieces, 1);
        const double dx = static_cast<double>(s.b.x - s.a.x) / static_cast<double>(count);
        const double dy = static_cast<double>(s.b.y - s.a.y) / static_cast<double>(count);
        const auto at = [&](std::int64_t k) {
            if (k == count) return s.b;
            return Point{s.a.x + std::llround(dx * static_cast<double>(k)),
                         s.a.y + std::llround(dy * static_cast<double>(k))};
        };
        for (std::int64_t k = 0; k < count; ++k) {
            // One unit more covers the rounding of the cut.
            const GridBox box = count == 1 ? box_of(s.a, s.b) : grown(box_of(at(k), at(k + 1)), 1);
            items.push_back({morton({(box.low.x + box.high.x) / 2, (box.low.y + box.high.y) / 2}), box, i});
        }
    }
    return items;
}

} // namespace

BoxTree::BoxTree(const std::vector<GridSegment>& segments) {
    std::vector<Item> items = cut_up(segments);
    std::sort(items.begin(), items.end(),
              [](const Item& a, const Item& b) { return a.key != b.key ? a.key < b.key : a.segment < b.segment; });
    if (items.empty()) return;
    levels_.emplace_back();
    for (const Item& item : items) {
        items_.push_back(item.segment);
        levels_.front().push_back(item.box);
    }
    while (levels_.back().size() > kFan) {
        const std::vector<GridBox>& below = levels_.back();
        std::vector<GridBox> above;
        for (std::size_t i = 0; i < below.size(); i += kFan) {
            GridBox box = below[i];
            for (std::size_t j = i; j < std::min(i + kFan, below.size()); ++j) {
                box.low = {std::min(box.low.x, below[j].low.x), std::min(box.low.y, below[j].low.y)};
                box.high = {std::max(box.high.x, below[j].high.x), std::max(box.high.y, below[j].high.y)};
            }
            above.push_back(box);
        }
        levels_.push_back(std::move(above));
    }
}

} // namespace kerfwright::drawing
