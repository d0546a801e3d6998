#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace kerfwright::plane {
namespace {

constexpr std::uint32_t kLeaf = 4;

double distance_to_box(Vec p, const Box& box) {
    const double dx = std::max({box.low.x - p.x, 0.0, p.x - box.high.x});
    const double dy = std::max({box.low.y - p.y, 0.0, p.y - box.high.y});
    return std::hypot(dx, dy);
}

} // namespace

Vec nearest_on_segment(Vec p, Vec a, Vec b) {
    const Vec ab = b - a;
    const double square = dot(ab, ab);
    const double t = square > 0 ? std::clamp(dot(p - a, ab) / square, 0.0, 1.0) : 0.0;
    return a + ab * t;
}

double distance_to_segment(Vec p, Vec a, Vec b) {
    return distance(p, nearest_on_segment(p, a, b));
}

EdgeIndex::EdgeIndex(std::vector<Ring> rings) : rings_(std::move(rings)) {
    for (std::uint32_t r = 0; r < rings_.size(); ++r)
        for (std::uint32_t s = 0; s < rings_[r].size(); ++s)
            order_.push_back({r, s});
    if (!order_.empty()) build(0, static_cast<std::uint32_t>(order_.size()));
}

Vec EdgeIndex::start(Edge e) const {
    return to_mm(rings_[e.ring][e.segment]);
}
Vec EdgeIndex::end(Edge e) const {
    return to_mm(rings_[e.ring][(e.segment + 1) % rings_[e.ring].size()]);
}

std::uint32_t EdgeIndex::build(std::uint32_t first, std::uint32_t last) {
    const auto here = static_cast<std::uint32_t>(nodes_.size());
    nodes_.emplace_back();
    Box box;
    for (std::uint32_t i = first; i < last; ++i) {
        extend(box, start(order_[i]));
        extend(box, end(order_[i]));
    }
    nodes_[here].box = box;
    if (last - first <= kLeaf) {
        nodes_[here].first = first;
        nodes_[here].count = last - first;
        return here;
    }
    const bool wide = box.width() > box.height();
    const auto key = [&](Edge e) {
        const Vec middle = start(e) + end(e);
        return std::tuple(wide ? middle.x : middle.y, e.ring, e.segment);
    };
    const std::uint32_t half = (first + last) / 2;
    std::nth_element(order_.begin() + first, order_.begin() + half, order_.begin() + last,
                     [&](Edge a, Edge b) { return key(a) < key(b); });
    const std::uint32_t left = build(first, half);
    const std::uint32_t right = build(half, last);
    nodes_[here].first = left;
    nodes_[here].right = right;
    return here;
}

std::optional<Nearest> EdgeIndex::nearest(Vec p, double within) const {
    if (nodes_.empty()) return std::nullopt;
    std::optional<Nearest> best;
    double limit = within;
    std::vector<std::uint32_t> stack{0};
    while (!stack.empty()) {
        const Node& node = nodes_[stack.back()];
        stack.pop_back();
        if (distance_to_box(p, node.box) > limit) continue;
        if (node.count == 0) {
            const std::uint32_t left = node.first;
            const std::uint32_t right = node.right;
            const bool left_first = distance_to_box(p, nodes_[left].box) <= distance_to_box(p, nodes_[right].box);
            stack.push_back(left_first ? right : left);
            stack.push_back(left_first ? left : right);
            continue;
        }
        for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
            const Edge e = order_[i];
            const Vec at = nearest_on_segment(p, start(e), end(e));
            const double d = distance(p, at);
            const bool tie =
                best && d == best->distance &&
                std::pair<std::size_t, std::size_t>(e.ring, e.segment) < std::pair(best->ring, best->segment);
            if (d < limit || (!best && d <= limit) || tie) {
                best = Nearest{d, at, e.ring, e.segment};
                limit = d;
            }
        }
    }
    return best;
}

std::vector<Vec> sampled(const Ring& ring, double step) {
    std::vector<Vec> points;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec a = to_mm(ring[i]);
        const Vec b = to_mm(ring[(i + 1) % ring.size()]);
        const int parts = std::max(1, static_cast<int>(std::ceil(distance(a, b) / step)));
        for (int k = 0; k < parts; ++k)
            points.push_back(a + (b - a) * (static_cast<double>(k) / parts));
    }
    return points;
}

} // namespace kerfwright::plane
