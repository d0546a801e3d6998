#include "plane/nearest.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

namespace kerfwright::plane {
namespace {

constexpr std::uint32_t kLeaf = 4;

constexpr std::size_t kDeepest = 64; // the tree halves its edges: 32 levels hold 2^34 of them

double square_to_box(Vec p, const Box& box) {
    const double dx = std::max({box.low.x - p.x, 0.0, p.x - box.high.x});
    const double dy = std::max({box.low.y - p.y, 0.0, p.y - box.high.y});
    return dx * dx + dy * dy;
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
            edges_.push_back({to_mm(rings_[r][s]), to_mm(rings_[r][(s + 1) % rings_[r].size()]), r, s});
    if (!edges_.empty()) build(0, static_cast<std::uint32_t>(edges_.size()));
}

std::uint32_t EdgeIndex::build(std::uint32_t first, std::uint32_t last) {
    const auto here = static_cast<std::uint32_t>(nodes_.size());
    nodes_.emplace_back();
    Box box;
    for (std::uint32_t i = first; i < last; ++i) {
        extend(box, edges_[i].a);
        extend(box, edges_[i].b);
    }
    nodes_[here].box = box;
    if (last - first <= kLeaf) {
        nodes_[here].first = first;
        nodes_[here].count = last - first;
        return here;
    }
    const bool wide = box.width() > box.height();
    const auto key = [&](const Edge& e) {
        const Vec middle = e.a + e.b;
        return std::tuple(wide ? middle.x : middle.y, e.ring, e.segment);
    };
    const std::uint32_t half = (first + last) / 2;
    std::nth_element(edges_.begin() + first, edges_.begin() + half, edges_.begin() + last,
                     [&](const Edge& a, const Edge& b) { return key(a) < key(b); });
    const std::uint32_t left = build(first, half);
    const std::uint32_t right = build(half, last);
    nodes_[here].first = left;
    nodes_[here].right = right;
    return here;
}

std::optional<Nearest> EdgeIndex::nearest(Vec p, double within) const {
    if (nodes_.empty()) return std::nullopt;
    constexpr double kRounding = 1 + 1e-14; // so that ties at the limit are looked at
    std::optional<Nearest> best;
    double limit = within;
    std::array<std::pair<std::uint32_t, double>, kDeepest> stack; // nodes, with the square of the distance to their box
    std::size_t height = 0;
    stack[height++] = {0, square_to_box(p, nodes_[0].box)};
    while (height > 0) {
        const auto [index, away] = stack[--height];
        if (away > limit * limit * kRounding) continue;
        const Node& node = nodes_[index];
        if (node.count == 0) {
            std::pair near{node.first, square_to_box(p, nodes_[node.first].box)};
            std::pair far{node.right, square_to_box(p, nodes_[node.right].box)};
            if (far.second < near.second) std::swap(near, far);
            stack[height++] = far;
            stack[height++] = near;
            continue;
        }
        for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
            const Edge& e = edges_[i];
            const Vec at = nearest_on_segment(p, e.a, e.b);
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
