#include "plane/offset_diagram_checks.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::plane::checks {
namespace {

__extension__ using Wide = __int128; // products of differences pass 64 bits

int turn(Point a, Point b, Point c) {
    const Wide value = Wide(b.x - a.x) * (c.y - a.y) - Wide(b.y - a.y) * (c.x - a.x);
    return value > 0 ? 1 : (value < 0 ? -1 : 0);
}

Ring without_collinear(const Ring& ring) {
    Ring kept;
    for (const Point p : ring) {
        while (!kept.empty() &&
               (kept.back() == p || (kept.size() > 1 && turn(kept[kept.size() - 2], kept.back(), p) == 0)))
            kept.pop_back();
        kept.push_back(p);
    }
    const auto loose = [&](std::size_t i) {
        const std::size_t n = kept.size();
        return turn(kept[(i + n - 1) % n], kept[i], kept[(i + 1) % n]) == 0; // also of two equal points
    };
    while (kept.size() > 2 && (loose(kept.size() - 1) || loose(0)))
        kept.erase(loose(0) ? kept.begin() : kept.end() - 1);
    return kept;
}

struct Segment {
    Point a, b;
    Point low, high;
};

bool between(const Segment& s, Point p) {
    return s.low.x <= p.x && p.x <= s.high.x && s.low.y <= p.y && p.y <= s.high.y;
}

bool touches(const Segment& s, Point p) {
    return p != s.a && p != s.b && turn(s.a, s.b, p) == 0 && between(s, p);
}

bool meet(const Segment& s, const Segment& t) {
    if ((s.a == t.a && s.b == t.b) || (s.a == t.b && s.b == t.a)) return true;
    if (touches(s, t.a) || touches(s, t.b) || touches(t, s.a) || touches(t, s.b)) return true;
    return turn(s.a, s.b, t.a) * turn(s.a, s.b, t.b) < 0 && turn(t.a, t.b, s.a) * turn(t.a, t.b, s.b) < 0;
}

} // namespace

std::vector<Ring> without_collinear(const Shape& shape) {
    std::vector<Ring> rings;
    for (const Ring& ring : rings_of(shape))
        if (Ring kept = without_collinear(ring); kept.size() > 2) rings.push_back(std::move(kept));
    return rings;
}

bool edges_meet(const std::vector<Ring>& rings) {
    std::vector<Segment> segments;
    for (const Ring& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Point a = ring[i];
            const Point b = ring[(i + 1) % ring.size()];
            segments.push_back(
                {a, b, {std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}});
        }
    std::sort(segments.begin(), segments.end(), [](const Segment& s, const Segment& t) { return s.low.x < t.low.x; });
    std::vector<Segment> open; // those that the sweep line may still cut
    for (const Segment& s : segments) {
        open.erase(std::remove_if(open.begin(), open.end(), [&](const Segment& t) { return t.high.x < s.low.x; }),
                   open.end());
        for (const Segment& t : open)
            if (t.low.y <= s.high.y && s.low.y <= t.high.y && meet(s, t)) return true;
        open.push_back(s);
    }
    return false;
}

namespace {

constexpr double kDeviation = 1e-3; // mm

/// Vertices, and the middles of edges.
std::vector<Vec> probes(const Path& path) {
    std::vector<Vec> points;
    for (std::size_t i = 0; i < path.vertices.size(); ++i) {
        const auto& [a, bulge] = path.vertices[i];
        const Vec b = path.vertices[(i + 1) % path.vertices.size()].at;
        const Vec half = (b - a) * 0.5;
        points.push_back(a);
        points.push_back(a + half + Vec{half.y, -half.x} * bulge);
    }
    return points;
}

bool in_range(Vec v) {
    return std::abs(v.x) <= kRangeMm && std::abs(v.y) <= kRangeMm; // false for what is not a number
}

/// Is the point of this lattice inside the loops exactly where it lies deeper than the level?
bool agree(const std::vector<Ring>& rings, const Shape& shape, const EdgeIndex& edges, double depth) {
    constexpr int kSteps = 9;
    constexpr double kNear = 0.005; // mm, for chords
    const Box box = bounds(shape);
    for (int i = 0; i < kSteps * kSteps; ++i) {
        const int column = i % kSteps;
        const int row = i / kSteps;
        const Point p = to_grid(
            {box.low.x + box.width() * (column + 0.5) / kSteps, box.low.y + box.height() * (row + 0.5) / kSteps});
        const double away = edges.nearest(to_mm(p))->distance;
        if (std::abs(away - depth) < kNear) continue;
        bool within = false;
        for (const Ring& ring : rings)
            within ^= side_of(ring, p) == Side::inside;
        if (within != (away > depth && contains(shape, p))) return false;
    }
    return true;
}

} // namespace

std::string fault_of(const std::vector<Path>& loops, const Shape& shape, const EdgeIndex& edges, double depth) {
    std::vector<Ring> rings;
    for (const Path& loop : loops) {
        for (const Vec p : probes(loop)) {
            if (!in_range(p)) return "a loop leaves the plane";
            const auto nearest = edges.nearest(p, depth + kDeviation);
            if (!nearest || nearest->distance < depth - kDeviation) return "a loop strays from its distance";
        }
        rings.push_back(to_ring(loop, kDeviation));
        if (rings.back().size() < 3) {
            rings.pop_back(); // smaller than the grid
            continue;
        }
        if (!contains(shape, rings.back().front())) return "a loop lies outside of the shape";
    }
    return agree(rings, shape, edges, depth) ? "" : "a loop is missing or turned the wrong way";
}

} // namespace kerfwright::plane::checks
