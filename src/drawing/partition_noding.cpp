#include "drawing/partition_noding.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::drawing {
namespace {

using plane::Point;

constexpr int kMostPasses = 12;
constexpr std::size_t kMostCandidates = 400'000'000;
constexpr std::size_t kCutsForEachSegment = 16;

// With coordinates in [0, 2.1e9] a cross or dot product of two differences fits 64 bits.
std::int64_t cross(Point origin, Point a, Point b) {
    return (a.x - origin.x) * (b.y - origin.y) - (a.y - origin.y) * (b.x - origin.x);
}

int sign(std::int64_t v) {
    return (v > 0) - (v < 0);
}

/// A place where a segment is to be cut.
struct Cut {
    std::size_t segment;
    Point at;
};

/// Does the segment pass through the closed unit square around grid point `p`, other than at its ends?
bool passes_pixel(const RingSegment& s, Point p) {
    if (p == s.a || p == s.b) return false;
    const GridBox box = box_of(s.a, s.b);
    if (p.x < box.low.x || p.x > box.high.x || p.y < box.low.y || p.y > box.high.y) return false;
    const std::int64_t half_span = (box.high.x - box.low.x + box.high.y - box.low.y) / 2;
    return std::abs(cross(s.a, s.b, p)) <= half_span;
}

/// The rounded point where the insides of two segments cross.
std::optional<Point> crossing(const RingSegment& s, const RingSegment& t) {
    const std::int64_t s_a = cross(t.a, t.b, s.a);
    const std::int64_t s_b = cross(t.a, t.b, s.b);
    if (sign(s_a) * sign(s_b) >= 0) return std::nullopt;
    if (sign(cross(s.a, s.b, t.a)) * sign(cross(s.a, s.b, t.b)) >= 0) return std::nullopt;
    const double part = static_cast<double>(s_a) / (static_cast<double>(s_a) - static_cast<double>(s_b));
    return Point{s.a.x + std::llround(static_cast<double>(s.b.x - s.a.x) * part),
                 s.a.y + std::llround(static_cast<double>(s.b.y - s.a.y) * part)};
}

bool same_ends(const RingSegment& s, const RingSegment& t) {
    return (s.a == t.a && s.b == t.b) || (s.a == t.b && s.b == t.a);
}

/// All cuts of one pass; nothing when there are too many.
std::optional<std::vector<Cut>> find_cuts(const std::vector<RingSegment>& segments) {
    std::vector<GridSegment> plain;
    plain.reserve(segments.size());
    for (const RingSegment& s : segments)
        plain.push_back({s.a, s.b});
    const BoxTree tree(plain);
    const std::size_t most_cuts = kCutsForEachSegment * segments.size() + 100'000;
    std::vector<Cut> cuts;
    std::vector<Point> crossings;
    std::size_t pairs = 0;
    for (std::size_t i = 0; i < segments.size(); ++i) {
        const RingSegment& s = segments[i];
        tree.visit(box_of(s.a, s.b), [&](std::size_t j) {
            ++pairs;
            if (j <= i) return;
            const RingSegment& t = segments[j];
            if (same_ends(s, t)) return;
            if (passes_pixel(s, t.a)) cuts.push_back({i, t.a});
            if (passes_pixel(s, t.b)) cuts.push_back({i, t.b});
            if (passes_pixel(t, s.a)) cuts.push_back({j, s.a});
            if (passes_pixel(t, s.b)) cuts.push_back({j, s.b});
            if (const auto at = crossing(s, t)) {
                cuts.push_back({i, *at});
                cuts.push_back({j, *at});
                crossings.push_back(*at);
            }
        });
        if (pairs > kMostCandidates || cuts.size() > most_cuts) return std::nullopt;
    }
    std::sort(crossings.begin(), crossings.end());
    crossings.erase(std::unique(crossings.begin(), crossings.end()), crossings.end());
    for (const Point p : crossings)
        tree.visit({p, p}, [&](std::size_t j) {
            if (passes_pixel(segments[j], p)) cuts.push_back({j, p});
        });
    return cuts;
}

/// Cuts every segment at its points, in their order along it.
std::vector<RingSegment> cut(const std::vector<RingSegment>& segments, std::vector<Cut> cuts) {
    const auto along = [&](const Cut& c) {
        const RingSegment& s = segments[c.segment];
        return (s.b.x - s.a.x) * (c.at.x - s.a.x) + (s.b.y - s.a.y) * (c.at.y - s.a.y);
    };
    std::sort(cuts.begin(), cuts.end(), [&](const Cut& c, const Cut& d) {
        if (c.segment != d.segment) return c.segment < d.segment;
        const std::int64_t at_c = along(c);
        const std::int64_t at_d = along(d);
        return at_c != at_d ? at_c < at_d : c.at < d.at;
    });
    std::vector<RingSegment> pieces;
    pieces.reserve(segments.size() + cuts.size());
    std::size_t next = 0;
    for (std::size_t i = 0; i < segments.size(); ++i) {
        Point from = segments[i].a;
        const auto add = [&](Point to) {
            if (from != to) pieces.push_back({from, to, segments[i].ring});
            from = to;
        };
        for (; next < cuts.size() && cuts[next].segment == i; ++next)
            add(cuts[next].at);
        add(segments[i].b);
    }
    return pieces;
}

} // namespace

std::optional<std::vector<RingSegment>> noded(std::vector<RingSegment> segments) {
    // Rounding moves a piece by less than a unit, which may make it meet something new: again, until nothing is cut.
    for (int pass = 0; pass < kMostPasses; ++pass) {
        auto cuts = find_cuts(segments);
        if (!cuts) return std::nullopt;
        if (cuts->empty()) return segments;
        segments = cut(segments, std::move(*cuts));
    }
    return std::nullopt;
}

} // namespace kerfwright::drawing
