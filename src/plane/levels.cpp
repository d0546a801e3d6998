#include "plane/levels.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::plane {
namespace {

bool crosses(const Ramp& ramp, double level) {
    return ramp.low <= level && level < ramp.high;
}

/// The first ramp after `ramp` that crosses the level, counter-clockwise around the cell of `edge`, which is moved on.
std::uint32_t next_crossing(const Voronoi& diagram, std::uint32_t& edge, std::uint32_t ramp, double level) {
    const auto meets = [&](std::int32_t r) {
        return r >= 0 && crosses(diagram.ramps[static_cast<std::size_t>(r)], level);
    };
    const HalfEdge& here = diagram.half_edges[edge];
    if (here.first == static_cast<std::int32_t>(ramp) && meets(here.second))
        return static_cast<std::uint32_t>(here.second);
    for (;;) {
        edge = diagram.half_edges[edge].next;
        const HalfEdge& there = diagram.half_edges[edge];
        if (meets(there.first)) return static_cast<std::uint32_t>(there.first);
        if (meets(there.second)) return static_cast<std::uint32_t>(there.second);
    }
}

/// tan of a quarter of the turn from p to q around the centre, counter-clockwise.
double bulge_around(Vec centre, Vec p, Vec q) {
    const double turn = std::atan2(cross(p - centre, q - centre), dot(p - centre, q - centre));
    return turn <= 0 ? 0 : std::tan(turn / 4);
}

/// With the nearest site on the left.
Path walk(const Voronoi& diagram, std::uint32_t start, double level, std::vector<bool>& seen) {
    Path path;
    std::uint32_t ramp = start;
    Vec at = place_at(diagram, diagram.ramps[ramp], level);
    do {
        seen[ramp] = true;
        std::uint32_t edge = diagram.ramps[ramp].rising;
        ramp = next_crossing(diagram, edge, ramp, level);
        const Vec to = place_at(diagram, diagram.ramps[ramp], level);
        const Site& site = diagram.sites[diagram.half_edges[edge].site];
        if (to != at) path.vertices.push_back({at, site.point ? bulge_around(site.a, at, to) : 0});
        at = to;
    } while (ramp != start);
    return path;
}

Path reversed(const Path& path) {
    Path back;
    const std::size_t n = path.vertices.size();
    for (std::size_t i = n; i-- > 0;)
        back.vertices.push_back({path.vertices[i].at, -path.vertices[(i + n - 1) % n].bulge});
    return back;
}

} // namespace

OffsetLevel level_of(const Voronoi& diagram, double distance) {
    OffsetLevel out{distance, {}};
    const double level = std::abs(distance);
    std::vector<bool> seen(diagram.ramps.size());
    for (const std::uint32_t r : distance < 0 ? diagram.inside : diagram.outside) {
        if (!(diagram.ramps[r].high > level)) break;
        if (seen[r] || !crosses(diagram.ramps[r], level)) continue;
        Path path = walk(diagram, r, level, seen);
        if (path.vertices.size() < 2) continue; // smaller than a double can tell
        out.paths.push_back(distance < 0 ? reversed(path) : std::move(path));
    }
    return out;
}

Shape to_shape(const OffsetLevel& level, double arc_tolerance) {
    std::vector<Ring> rings;
    for (const Path& path : level.paths)
        if (Ring ring = to_ring(path, arc_tolerance); ring.size() >= 3) rings.push_back(std::move(ring));
    return normal(rings);
}

namespace {

constexpr double kTrue = 0.001; // mm

Path path_of(const Ring& ring) {
    Path path;
    for (const Point p : ring)
        path.vertices.push_back({to_mm(p), 0});
    return path;
}

OffsetLevel by_library(const Shape& shape, double distance) {
    OffsetLevel level{distance, {}};
    for (const Ring& ring : rings_of(offset(shape, distance, {kTrue / 2})))
        level.paths.push_back(path_of(ring));
    return level;
}

int winding(const std::vector<std::vector<Vec>>& rings, Vec p) {
    int turns = 0;
    for (const auto& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Vec a = ring[i];
            const Vec b = ring[(i + 1) % ring.size()];
            if ((a.y <= p.y) == (b.y <= p.y)) continue;
            if ((cross(b - a, p - a) > 0) == (b.y > a.y)) turns += b.y > a.y ? 1 : -1;
        }
    return turns;
}

std::string fault_against(const OffsetLevel& level, const Shape& shape, const EdgeIndex& edges) {
    constexpr std::size_t kSamples = 1000;
    constexpr int kProbes = 9; // each way
    constexpr double kChord = 1e-4;
    std::vector<std::vector<Vec>> rings;
    std::size_t total = 0;
    for (const Path& path : level.paths) {
        rings.push_back(flattened(path, kChord));
        total += rings.back().size();
    }
    const double asked = std::abs(level.distance);
    const std::size_t stride = total / kSamples + 1;
    std::size_t count = 0;
    for (const auto& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            if (!std::isfinite(ring[i].x) || !std::isfinite(ring[i].y)) return "a point without a place";
            if (count++ % stride != 0) continue;
            for (const Vec p : {ring[i], (ring[i] + ring[(i + 1) % ring.size()]) * 0.5})
                if (std::abs(edges.nearest(p)->distance - asked) > kTrue) return "a point at another distance";
        }
    const Box box = grown(bounds(shape), std::max(level.distance, 0.0));
    for (int i = 0; i < kProbes; ++i)
        for (int k = 0; k < kProbes; ++k) {
            const Vec p{box.low.x + box.width() * (i + 0.5) / kProbes, box.low.y + box.height() * (k + 0.47) / kProbes};
            const double away = edges.nearest(p)->distance;
            if (std::abs(away - asked) <= kTrue) continue;
            const bool in =
                away > kTrue && std::abs(p.x) < kRangeMm && std::abs(p.y) < kRangeMm && contains(shape, to_grid(p));
            if (away <= kTrue) continue;
            const bool covered = level.distance < 0 ? in && away > asked : in || away < asked;
            if (winding(rings, p) != (covered ? 1 : 0)) return "a loop is missing or runs the wrong way";
        }
    return {};
}

} // namespace

std::string fault_of(const OffsetLevel& level, const Shape& shape) {
    if (shape.empty()) return level.paths.empty() ? "" : "paths of nothing";
    return fault_against(level, shape, EdgeIndex(shape));
}

OffsetLevels offset_levels(const Shape& shape, const std::vector<double>& distances) {
    OffsetLevels out;
    const VoronoiResult made = voronoi_of(shape);
    if (!made.diagram) out.notes.push_back(made.trouble + ": offsets by the plain library");
    if (made.diagram && made.diagram->sites.empty()) {
        for (const double distance : distances)
            out.levels.push_back({distance, {}});
        return out;
    }
    const EdgeIndex edges(made.diagram ? made.diagram->shape : Shape{});
    for (const double distance : distances) {
        if (!made.diagram || std::abs(distance) < kLeastLevel) {
            out.levels.push_back(by_library(shape, distance));
            continue;
        }
        OffsetLevel level = level_of(*made.diagram, distance);
        if (const std::string fault = fault_against(level, made.diagram->shape, edges); !fault.empty()) {
            out.notes.push_back(fault + ": this level by the plain library");
            level = by_library(shape, distance);
        }
        out.levels.push_back(std::move(level));
    }
    return out;
}

Shape reach(const Voronoi& diagram, double radius, double arc_tolerance) {
    const Shape centres = to_shape(level_of(diagram, -radius), arc_tolerance / 4);
    return offset(centres, radius, {arc_tolerance / 2});
}

} // namespace kerfwright::plane
