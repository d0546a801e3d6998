#include "plane/arcs.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::plane {
namespace {

constexpr int kMostChords = 100'000; // of one arc

Vec turned(Vec v, double angle) {
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    return {c * v.x - s * v.y, s * v.x + c * v.y};
}

/// A point of the arc from a to b, `share` of its sweep from a. By chords from a, so that it stays exact for nearly
/// straight arcs, whose centres lie far off.
Vec point_on_arc(Vec a, Vec b, double bulge, double share) {
    const double half = 2 * std::atan(bulge);
    const double scale = std::sin(half * share) / std::sin(half);
    return a + turned(b - a, half * (share - 1)) * scale;
}

int chords_of(const Arc& arc, double tolerance) {
    constexpr double kLargestStep = std::numbers::pi / 2;
    const double flatness = std::clamp(1 - tolerance / arc.radius, -1.0, 1.0);
    const double step = std::min(kLargestStep, 2 * std::acos(flatness));
    const double chords = std::ceil(std::abs(arc.sweep) / step - 1e-9);
    return chords < kMostChords ? std::max(1, static_cast<int>(chords)) : kMostChords;
}

std::size_t edges_of(const Path& path) {
    const std::size_t n = path.vertices.size();
    return n < 2 ? 0 : (path.closed ? n : n - 1);
}

bool is_arc(Vec a, Vec b, double bulge) {
    return bulge != 0 && a != b;
}

} // namespace

Arc arc_between(Vec a, Vec b, double bulge) {
    const Vec half = (b - a) * 0.5;
    const double height = (1 - bulge * bulge) / (2 * bulge); // of the centre over the chord, in half chords
    const Vec left{-half.y, half.x};
    return {(a + b) * 0.5 + left * height, length(half) * (1 + bulge * bulge) / (2 * std::abs(bulge)),
            4 * std::atan(bulge)};
}

double length(const Path& path) {
    double total = 0;
    for (std::size_t i = 0; i < edges_of(path); ++i) {
        const auto& [a, bulge] = path.vertices[i];
        const Vec b = path.vertices[(i + 1) % path.vertices.size()].at;
        const double half = 2 * std::atan(bulge);
        total += distance(a, b) * (is_arc(a, b, bulge) ? half / std::sin(half) : 1.0);
    }
    return total;
}

std::vector<Vec> flattened(const Path& path, double tolerance) {
    std::vector<Vec> points;
    const std::size_t n = path.vertices.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto& [a, bulge] = path.vertices[i];
        points.push_back(a);
        const Vec b = path.vertices[(i + 1) % n].at;
        if (i >= edges_of(path) || !is_arc(a, b, bulge)) continue;
        const int chords = chords_of(arc_between(a, b, bulge), tolerance);
        for (int k = 1; k < chords; ++k)
            points.push_back(point_on_arc(a, b, bulge, static_cast<double>(k) / chords));
    }
    return points;
}

Ring to_ring(const Path& path, double tolerance) {
    Ring ring;
    for (const Vec v : flattened(path, tolerance)) {
        const Point p = to_grid(v);
        if (ring.empty() || ring.back() != p) ring.push_back(p);
    }
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    return ring;
}

namespace {

/// Marks the vertices between `first` and `last` (indices may run past the end) that Douglas and Peucker keep.
void keep_between(const Ring& ring, std::size_t first, std::size_t last, double tolerance, std::vector<bool>& keep) {
    const std::size_t n = ring.size();
    std::vector<std::pair<std::size_t, std::size_t>> spans{{first, last}};
    while (!spans.empty()) {
        const auto [from, to] = spans.back();
        spans.pop_back();
        const Vec a = to_mm(ring[from % n]);
        const Vec b = to_mm(ring[to % n]);
        double farthest = tolerance;
        std::size_t split = to;
        for (std::size_t k = from + 1; k < to; ++k) {
            const double d = distance_to_segment(to_mm(ring[k % n]), a, b);
            if (d > farthest) {
                farthest = d;
                split = k;
            }
        }
        if (split == to) continue;
        keep[split % n] = true;
        spans.emplace_back(from, split);
        spans.emplace_back(split, to);
    }
}

__extension__ using Wide = __int128; // differences of points reach 4.2e9, and their products pass 64 bits

Wide turn_of(Point a, Point b, Point c) {
    return Wide{b.x - a.x} * (c.y - a.y) - Wide{b.y - a.y} * (c.x - a.x);
}

/// Indices of the vertices of the convex hull, counter-clockwise (Andrew 1979).
std::vector<std::size_t> hull_of(const Ring& ring) {
    std::vector<std::size_t> order(ring.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = i;
    std::sort(order.begin(), order.end(),
              [&](std::size_t i, std::size_t j) { return ring[i] != ring[j] ? ring[i] < ring[j] : i < j; });
    std::vector<std::size_t> hull;
    const auto chain = [&](auto begin, auto end) {
        const std::size_t base = hull.size();
        for (auto it = begin; it != end; ++it) {
            while (hull.size() >= base + 2 && turn_of(ring[hull[hull.size() - 2]], ring[hull.back()], ring[*it]) <= 0)
                hull.pop_back();
            hull.push_back(*it);
        }
        hull.pop_back(); // the other chain begins with it
    };
    chain(order.begin(), order.end());
    chain(order.rbegin(), order.rend());
    return hull;
}

/// The two vertices farthest apart, by calipers turned around the hull (Shamos 1978).
std::pair<std::size_t, std::size_t> farthest_pair(const Ring& ring) {
    const std::vector<std::size_t> hull = hull_of(ring);
    const std::size_t n = hull.size();
    std::pair<std::size_t, std::size_t> best{0, 1};
    double most = -1;
    const auto look = [&](std::size_t i, std::size_t j) {
        const double d = distance(to_mm(ring[i]), to_mm(ring[j]));
        if (d > most) {
            most = d;
            best = std::minmax(i, j);
        }
    };
    for (std::size_t i = 0, j = 1; i < n; ++i) {
        const Point a = ring[hull[i]];
        const Point b = ring[hull[(i + 1) % n]];
        while (j < i + n && turn_of(a, b, ring[hull[(j + 1) % n]]) > turn_of(a, b, ring[hull[j % n]])) {
            ++j;
            look(hull[i], hull[j % n]);
        }
        look(hull[i], hull[j % n]);
        look(hull[(i + 1) % n], hull[j % n]);
    }
    return best;
}

} // namespace

Ring simplified(const Ring& ring, double tolerance) {
    if (ring.size() <= 3) return ring;
    std::vector<bool> keep(ring.size(), false);
    const auto [first, second] = farthest_pair(ring);
    keep[first] = keep[second] = true;
    keep_between(ring, first, second, tolerance, keep);
    keep_between(ring, second, first + ring.size(), tolerance, keep);
    Ring out;
    for (std::size_t i = 0; i < ring.size(); ++i)
        if (keep[i]) out.push_back(ring[i]);
    return out;
}

} // namespace kerfwright::plane
