#include "drawing/partition.hpp"
#include "drawing/partition_boxes.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;

double square(double v) {
    return v * v;
}

double square_distance(Point a, Point b) {
    return square(static_cast<double>(a.x - b.x)) + square(static_cast<double>(a.y - b.y));
}

/// All vertices of all rings in one list.
struct Vertices {
    std::vector<Point> at;
    std::vector<int> ring;
};

Vertices vertices_of(const std::vector<DrawnRing>& rings) {
    Vertices all;
    for (std::size_t r = 0; r < rings.size(); ++r)
        for (const Point p : rings[r].points) {
            all.at.push_back(p);
            all.ring.push_back(static_cast<int>(r));
        }
    return all;
}

void drop_repeats(Ring& ring) {
    ring.erase(std::unique(ring.begin(), ring.end()), ring.end());
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
}

/// The point of the segment next to `p`, on the grid, and how far it is before rounding.
struct Foot {
    Point at;
    double distance;
};

Foot foot_on(Point a, Point b, Point p) {
    const double dx = static_cast<double>(b.x - a.x);
    const double dy = static_cast<double>(b.y - a.y);
    const double px = static_cast<double>(p.x - a.x);
    const double py = static_cast<double>(p.y - a.y);
    const double t = std::clamp((px * dx + py * dy) / (dx * dx + dy * dy), 0.0, 1.0);
    const Point at = t == 1 ? b : Point{a.x + std::llround(dx * t), a.y + std::llround(dy * t)};
    return {at, std::hypot(px - dx * t, py - dy * t)};
}

} // namespace

std::optional<std::vector<MovedVertices>> merge_vertices(std::vector<DrawnRing>& rings, std::int64_t snap) {
    const Vertices all = vertices_of(rings);
    std::vector<GridSegment> points;
    for (const Point p : all.at)
        points.push_back({p, p});
    const BoxTree tree(points);
    const auto outline = [&](std::size_t v) { return rings[static_cast<std::size_t>(all.ring[v])].outline; };
    const double reach = square(static_cast<double>(snap));
    std::vector<Point> target = all.at;
    std::size_t pairs = 0;
    for (std::size_t v = 0; v < all.at.size(); ++v) {
        const Point here = all.at[v];
        std::optional<std::size_t> best;
        double nearest = reach;
        tree.visit(grown(box_of(here, here), snap), [&](std::size_t w) {
            ++pairs;
            if (w >= v || outline(w) == outline(v)) return; // earlier ones stay where they are
            const double d = square_distance(here, target[w]);
            if (d < nearest || (d == nearest && (!best || w < *best))) {
                best = w;
                nearest = d;
            }
        });
        if (pairs > kMostPairs) return std::nullopt;
        if (!best || nearest == 0) continue;
        // Only one vertex of a ring goes there, so that the ring keeps its order.
        const Point there = target[*best];
        bool is_nearest = true;
        tree.visit(grown(box_of(there, there), snap), [&](std::size_t w) {
            ++pairs;
            if (w == v || all.ring[w] != all.ring[v]) return;
            const double d = square_distance(all.at[w], there);
            if (d < nearest || (d == nearest && w < v)) is_nearest = false;
        });
        if (is_nearest) target[v] = there;
    }
    std::vector<MovedVertices> moved;
    std::size_t next = 0;
    for (DrawnRing& ring : rings) {
        for (Point& p : ring.points) {
            const Point there = target[next++];
            if (there == p) continue;
            if (moved.empty() || moved.back().outline != ring.outline) moved.push_back({ring.outline, 0, 0, {}});
            MovedVertices& sum = moved.back();
            const double way = plane::distance(plane::to_mm(p), plane::to_mm(there));
            ++sum.count;
            if (way > sum.farthest) {
                sum.farthest = way;
                sum.at = plane::to_mm(there);
            }
            p = there;
        }
        drop_repeats(ring.points);
    }
    return moved;
}

std::optional<std::vector<RingSegment>> bridges(const std::vector<DrawnRing>& rings, std::int64_t snap) {
    constexpr double kOnEdge = 0.75; // grid units: noding takes care of these
    std::vector<GridSegment> edges;
    std::vector<int> edge_outline;
    for (const DrawnRing& ring : rings)
        for (std::size_t i = 0; i < ring.points.size(); ++i) {
            edges.push_back({ring.points[i], ring.points[(i + 1) % ring.points.size()]});
            edge_outline.push_back(ring.outline);
        }
    const BoxTree tree(edges);
    struct Candidate {
        int outline;
        Foot foot;
    };
    std::vector<RingSegment> found;
    std::vector<Candidate> near;
    std::size_t pairs = 0;
    for (const DrawnRing& ring : rings) {
        for (const Point p : ring.points) {
            near.clear();
            tree.visit(grown(box_of(p, p), snap), [&](std::size_t e) {
                ++pairs;
                if (edge_outline[e] == ring.outline) return;
                const Foot foot = foot_on(edges[e].a, edges[e].b, p);
                if (foot.distance > static_cast<double>(snap)) return;
                for (Candidate& known : near) {
                    if (known.outline != edge_outline[e]) continue;
                    const bool closer = foot.distance < known.foot.distance ||
                                        (foot.distance == known.foot.distance && foot.at < known.foot.at);
                    if (closer) known.foot = foot;
                    return;
                }
                near.push_back({edge_outline[e], foot});
            });
            if (pairs > kMostPairs) return std::nullopt;
            for (const Candidate& c : near)
                if (c.foot.distance > kOnEdge && c.foot.at != p)
                    found.push_back({std::min(p, c.foot.at), std::max(p, c.foot.at), RingSegment::kBridge});
        }
    }
    const auto order = [](const RingSegment& s, const RingSegment& t) {
        return std::pair(s.a, s.b) < std::pair(t.a, t.b);
    };
    const auto equal = [](const RingSegment& s, const RingSegment& t) { return s.a == t.a && s.b == t.b; };
    std::sort(found.begin(), found.end(), order);
    found.erase(std::unique(found.begin(), found.end(), equal), found.end());
    return found;
}

} // namespace kerfwright::drawing
