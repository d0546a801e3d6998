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

/// A place where a level is asked on which side of it the place lies.
struct Probe {
    Vec at;
    double clearance = 0; ///< mm to the edge of the shape
    bool inside = false;  ///< the shape
};

/// A grid of them over the shape and `room` mm around it; those on the edge itself tell nothing.
std::vector<Probe> probes_over(const Shape& shape, const EdgeIndex& edges, double room) {
    constexpr int kEachWay = 9;
    std::vector<Probe> probes;
    const Box box = grown(bounds(shape), room);
    for (int i = 0; i < kEachWay; ++i)
        for (int k = 0; k < kEachWay; ++k) {
            const Vec p{box.low.x + box.width() * (i + 0.5) / kEachWay,
                        box.low.y + box.height() * (k + 0.47) / kEachWay};
            const double clearance = edges.nearest(p)->distance;
            if (clearance <= kTrue) continue;
            const bool on_grid = std::abs(p.x) < kRangeMm && std::abs(p.y) < kRangeMm;
            probes.push_back({p, clearance, on_grid && contains(shape, to_grid(p))});
        }
    return probes;
}

std::string fault_against(const OffsetLevel& level, const EdgeIndex& edges, const std::vector<Probe>& probes) {
    constexpr std::size_t kSamples = 250;
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
                if (const auto near = edges.nearest(p, asked + kTrue); !near || near->distance < asked - kTrue)
                    return "a point at another distance";
        }
    for (const Probe& probe : probes) {
        if (std::abs(probe.clearance - asked) <= kTrue) continue;
        const bool near = probe.clearance < asked;
        const bool covered = level.distance < 0 ? probe.inside && !near : probe.inside || near;
        if (winding(rings, probe.at) != (covered ? 1 : 0)) return "a loop is missing or runs the wrong way";
    }
    return {};
}

} // namespace

std::string fault_of(const OffsetLevel& level, const Shape& shape) {
    if (shape.empty()) return level.paths.empty() ? "" : "paths of nothing";
    const EdgeIndex edges(shape);
    return fault_against(level, edges, probes_over(shape, edges, std::max(level.distance, 0.0)));
}

namespace {

/// Levels of one shape, each with its guard.
class GuardedLevels {
  public:
    explicit GuardedLevels(const Shape& shape)
        : shape_(shape), made_(voronoi_of(shape)), edges_(made_.diagram ? made_.diagram->shape : Shape{}) {
        if (!made_.diagram) note(made_.trouble + ": offsets by the plain library");
    }
    [[nodiscard]] OffsetLevel at(double distance) {
        if (made_.diagram && made_.diagram->sites.empty()) return {distance, {}};
        if (!made_.diagram || std::abs(distance) < kLeastLevel) return by_library(shape_, distance);
        OffsetLevel level = level_of(*made_.diagram, distance);
        const Shape& shape = made_.diagram->shape;
        if (distance < 0 && probes_.empty()) probes_ = probes_over(shape, edges_, 0);
        const std::string fault =
            fault_against(level, edges_, distance < 0 ? probes_ : probes_over(shape, edges_, distance));
        if (fault.empty()) return level;
        note(fault + ": this level by the plain library");
        return by_library(shape_, distance);
    }
    /// Half of the shape's width where it is widest, or more.
    [[nodiscard]] double deepest() const {
        if (made_.diagram) return widest(*made_.diagram).width / 2;
        const Box box = bounds(shape_);
        return std::min(box.width(), box.height()) / 2;
    }
    [[nodiscard]] std::vector<std::string> take_notes() { return std::move(notes_); }

  private:
    void note(std::string text) { notes_.push_back(std::move(text)); }

    const Shape& shape_;
    VoronoiResult made_;
    EdgeIndex edges_;
    std::vector<Probe> probes_; ///< for levels inside
    std::vector<std::string> notes_;
};

} // namespace

OffsetLevels offset_levels(const Shape& shape, const std::vector<double>& distances) {
    GuardedLevels guarded(shape);
    OffsetLevels out;
    for (const double distance : distances)
        out.levels.push_back(guarded.at(distance));
    out.notes = guarded.take_notes();
    return out;
}

OffsetLevels levels_inside(const Shape& shape, double step) {
    OffsetLevels out;
    if (shape.empty()) return out;
    GuardedLevels guarded(shape);
    const double deepest = guarded.deepest();
    for (int k = 1; k * step < deepest; ++k) {
        OffsetLevel level = guarded.at(-k * step);
        if (level.paths.empty()) break;
        out.levels.push_back(std::move(level));
    }
    out.notes = guarded.take_notes();
    return out;
}

Reach reach(const Shape& shape, double radius, double arc_tolerance) {
    GuardedLevels guarded(shape);
    const Shape centres = to_shape(guarded.at(-radius), arc_tolerance / 4);
    return {offset(centres, radius, {arc_tolerance / 2}), guarded.take_notes()};
}

} // namespace kerfwright::plane
