#include "plane/offset_diagram.hpp"

#include "plane/boolean.hpp"
#include "plane/offset.hpp"
#include "plane/offset_diagram_checks.hpp"

#include <boost/polygon/segment_data.hpp>
#include <boost/polygon/voronoi.hpp>

#include <algorithm>
#include <cmath>

namespace kerfwright::plane {
namespace {

using Diagram = boost::polygon::voronoi_diagram<double>;
using GridSegment = boost::polygon::segment_data<int>;

constexpr double kNothing = 1e-9; // mm

Vec left_of(Vec a, Vec b) {
    const Vec along = (b - a) * (1 / distance(a, b));
    return {-along.y, along.x};
}

std::vector<GridSegment> segments_of(const std::vector<Ring>& rings) {
    const auto corner = [](Point p) {
        return boost::polygon::point_data<int>(static_cast<int>(p.x), static_cast<int>(p.y));
    };
    std::vector<GridSegment> segments;
    for (const Ring& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i)
            segments.emplace_back(corner(ring[i]), corner(ring[(i + 1) % ring.size()]));
    return segments;
}

} // namespace

OffsetDiagram::OffsetDiagram(Shape shape) : shape_(std::move(shape)), index_(shape_) {
    const auto rings = checks::without_collinear(shape_);
    if (checks::edges_meet(rings)) {
        fault_ = "edges of the shape cross or touch";
        return;
    }
    if (rings.empty()) return;
    build(rings);
    find_depths();
    find_dips();
}

void OffsetDiagram::build(const std::vector<Ring>& rings) {
    const auto segments = segments_of(rings);
    Diagram diagram;
    boost::polygon::construct_voronoi(segments.begin(), segments.end(), &diagram);

    const auto mm = [](const auto& p) { return Vec{p.x() * kGrid, p.y() * kGrid}; };
    const auto index = [](const auto* item, const auto& all) { return static_cast<std::uint32_t>(item - all.data()); };
    for (const auto& cell : diagram.cells()) {
        const GridSegment& segment = segments[cell.source_index()];
        const bool starts = cell.source_category() == boost::polygon::SOURCE_CATEGORY_SEGMENT_START_POINT;
        if (cell.contains_segment())
            sites_.push_back({mm(segment.low()), mm(segment.high()), true});
        else
            sites_.push_back(
                {mm(starts ? segment.low() : segment.high()), mm(starts ? segment.low() : segment.high()), false});
    }
    for (const auto& vertex : diagram.vertices())
        corners_.push_back({mm(vertex), -1, index(vertex.incident_edge(), diagram.edges())});
    corners_.push_back({}); // where edges without end go
    const auto infinity = static_cast<std::uint32_t>(diagram.vertices().size());
    for (const auto& edge : diagram.edges())
        edges_.push_back({edge.vertex0() ? index(edge.vertex0(), diagram.vertices()) : infinity,
                          index(edge.twin(), diagram.edges()), index(edge.prev(), diagram.edges()),
                          index(edge.cell(), diagram.cells())});
}

/// A corner in a segment's cell is inside when it lies left of it; others are on the side of their neighbours, because
/// edges of the diagram pass through the shape's edges in corners of the shape only.
void OffsetDiagram::find_depths() {
    enum Known : char { unknown, inside, outside, border };
    const auto infinity = static_cast<std::uint32_t>(corners_.size() - 1);
    std::vector<char> known(corners_.size(), unknown);
    std::vector<double> depth(corners_.size(), 0);
    known[infinity] = border;
    for (const Border& edge : edges_) {
        if (edge.start == infinity) continue;
        const Site& site = sites_[edge.site];
        const Vec from = corners_[edge.start].at - site.a;
        const double away = site.segment ? dot(from, left_of(site.a, site.b)) : length(from);
        depth[edge.start] = std::abs(away);
        if (std::abs(away) < kNothing)
            known[edge.start] = border;
        else if (site.segment && known[edge.start] != border)
            known[edge.start] = away > 0 ? inside : outside;
    }
    std::vector<std::uint32_t> open;
    for (std::uint32_t c = 0; c < infinity; ++c)
        if (known[c] == inside || known[c] == outside) open.push_back(c);
    while (!open.empty()) {
        const std::uint32_t c = open.back();
        open.pop_back();
        std::uint32_t edge = corners_[c].leaving;
        do {
            const std::uint32_t other = end_of(edge);
            if (known[other] == unknown) {
                known[other] = known[c];
                open.push_back(other);
            }
            edge = edges_[edges_[edge].previous].twin;
        } while (edge != corners_[c].leaving);
    }
    for (std::uint32_t c = 0; c < infinity; ++c)
        corners_[c].depth = known[c] == inside ? depth[c] : -1;
}

/// Depth along an edge of the diagram is convex. It has its least value between two points half way, between a point
/// and a segment half way to the foot; between two segments it is linear.
void OffsetDiagram::find_dips() {
    for (Border& edge : edges_) {
        const Border& twin = edges_[edge.twin];
        const Site& point = sites_[sites_[edge.site].segment ? twin.site : edge.site];
        const Site& other = sites_[sites_[edge.site].segment ? edge.site : twin.site];
        if (point.segment || corners_[edge.start].depth < 0 || corners_[twin.start].depth < 0) continue;
        const Vec across = other.segment ? left_of(other.a, other.b) : (other.a - point.a);
        const Vec along{across.y, -across.x};
        const double from = dot(corners_[edge.start].at - point.a, along);
        const double to = dot(corners_[twin.start].at - point.a, along);
        if (from * to >= 0) continue;
        edge.dip = (other.segment ? std::abs(dot(point.a - other.a, across)) : length(across)) / 2;
    }
}

/// Does the edge, on its way, go from deeper than `depth` to less? An edge does so once at most. All decisions rest on
/// one answer for each corner and one for each pair of edges, so that loops close whatever the rounding.
bool OffsetDiagram::descends(std::uint32_t edge, double depth) const {
    if (corners_[edges_[edge].start].depth <= depth) return false;
    return corners_[end_of(edge)].depth <= depth || std::min(edges_[edge].dip, edges_[edges_[edge].twin].dip) < depth;
}

/// The place where an edge descends through `depth`: on the bisector of its two sites, on the side of its start.
Vec OffsetDiagram::crossing(std::uint32_t edge, double depth) const {
    const Border& half = edges_[edge];
    const Corner& start = corners_[half.start];
    const Corner& end = corners_[end_of(edge)];
    const bool swapped = sites_[half.site].segment;
    const Site& point = sites_[swapped ? edges_[half.twin].site : half.site];
    const Site& other = sites_[swapped ? half.site : edges_[half.twin].site];
    if (point.segment) {
        const double drop = start.depth - std::max(end.depth, 0.0);
        const Vec to = end.at - start.at;
        return drop > 0 ? start.at + to * ((start.depth - depth) / drop) : start.at;
    }
    const Vec across =
        other.segment ? left_of(other.a, other.b) : (other.a - point.a) * (1 / distance(other.a, point.a));
    const Vec along{across.y, -across.x};
    const double side = dot(start.at - point.a, along) < 0 ? -1 : 1;
    if (other.segment) {
        const double height = std::max(0.0, dot(point.a - other.a, across));
        return point.a + across * (depth - height) +
               along * (side * std::sqrt(std::max(0.0, (2 * depth - height) * height)));
    }
    const double half_way = distance(point.a, other.a) / 2;
    return point.a + across * half_way + along * (side * std::sqrt(std::max(0.0, depth * depth - half_way * half_way)));
}

/// In a cell the level runs from where the cell's border descends to where it climbed before.
Path OffsetDiagram::loop_from(std::uint32_t first, double depth, std::vector<bool>& seen) const {
    Path loop;
    std::uint32_t edge = first;
    do {
        seen[edge] = true;
        const std::uint32_t entry = edge;
        do
            edge = edges_[edge].previous;
        while (!descends(edges_[edge].twin, depth) && edge != entry);
        edge = edges_[edge].twin;
        const Vec a = crossing(entry, depth);
        const Vec b = crossing(edge, depth);
        double bulge = 0;
        if (const Site& site = sites_[edges_[entry].site]; !site.segment) {
            // Clockwise around a corner of the shape, by half a turn at most.
            const Vec from = a - site.a;
            const Vec to = b - site.a;
            bulge = -std::tan(std::max(0.0, std::atan2(cross(to, from), dot(to, from))) / 4);
        }
        if (distance(a, b) > kNothing) loop.vertices.push_back({a, bulge});
    } while (edge != first && !seen[edge]);
    return loop;
}

std::vector<Path> OffsetDiagram::walked(double depth) const {
    std::vector<Path> loops;
    std::vector<bool> seen(edges_.size(), false);
    for (std::uint32_t edge = 0; edge < edges_.size(); ++edge) {
        if (seen[edge] || !descends(edge, depth)) continue;
        Path loop = loop_from(edge, depth, seen);
        if (loop.vertices.size() > 1) loops.push_back(std::move(loop));
    }
    return loops;
}

OffsetLevel OffsetDiagram::level(double depth) const {
    OffsetLevel level{depth, {}, fault_};
    if (fault_.empty() && sites_.empty()) return level; // nothing has width
    if (level.note.empty()) {
        level.loops = walked(depth);
        level.note = checks::fault_of(level.loops, shape_, index_, depth);
    }
    if (level.note.empty()) return level;
    level.loops.clear();
    for (const Ring& ring : rings_of(offset(shape_, -depth))) {
        Path& path = level.loops.emplace_back();
        for (const Point p : ring)
            path.vertices.push_back({to_mm(p), 0});
    }
    return level;
}

Shape to_shape(const OffsetLevel& level, double tolerance) {
    std::vector<Ring> rings;
    for (const Path& loop : level.loops)
        rings.push_back(to_ring(loop, tolerance));
    return normal(rings);
}

} // namespace kerfwright::plane
