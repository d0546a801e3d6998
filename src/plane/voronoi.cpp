#include "plane/voronoi.hpp"

#include <boost/polygon/point_data.hpp>
#include <boost/polygon/segment_data.hpp>
#include <boost/polygon/voronoi.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace kerfwright::plane {
namespace {

constexpr double kEndless = std::numeric_limits<double>::infinity();
constexpr double kTouching = 1e-3 * kGrid; // mm; vertices nearer to the shape's edge lie on it

using BoostDiagram = boost::polygon::voronoi_diagram<double>;
using GridPoint = boost::polygon::point_data<int>;
using GridSegment = boost::polygon::segment_data<int>;

enum class Where : char { unknown, edge, inside, outside };

struct Corner { ///< a vertex of the diagram
    Vec at;
    double clearance = 0;
    Where where = Where::unknown;
};

double clearance_to(const Site& site, Vec p) {
    if (site.point) return distance(p, site.a);
    const Vec along = site.b - site.a;
    return std::abs(cross(along, p - site.a)) / length(along);
}

GridPoint grid_point(Point p) {
    return {static_cast<int>(p.x), static_cast<int>(p.y)};
}

std::vector<GridSegment> segments_of(const Shape& shape) {
    std::vector<GridSegment> segments;
    for (const Ring& ring : rings_of(shape))
        for (std::size_t i = 0; i < ring.size(); ++i)
            segments.emplace_back(grid_point(ring[i]), grid_point(ring[(i + 1) % ring.size()]));
    return segments;
}

Vec to_mm(const GridPoint& p) {
    return {p.x() * kGrid, p.y() * kGrid};
}

Site site_of(const BoostDiagram::cell_type& cell, const std::vector<GridSegment>& segments) {
    const GridSegment& segment = segments[cell.source_index()];
    const Vec a = to_mm(segment.low());
    const Vec b = to_mm(segment.high());
    if (cell.contains_segment()) return {a, b, false};
    const bool start = cell.source_category() == boost::polygon::SOURCE_CATEGORY_SEGMENT_START_POINT;
    return start ? Site{a, a, true} : Site{b, b, true};
}

/// How an edge runs between its two sites.
struct Curve {
    bool straight = true; ///< the clearance is linear along it
    bool apex = false;    ///< both ends lie beyond the place of least clearance
    double least = 0;     ///< clearance there
    Vec at;
};

bool ends_in(const Site& segment, Vec point) {
    return segment.a == point || segment.b == point;
}

/// The parabola's directrix frame: along the segment, and how high the point lies over it.
struct Frame {
    Vec along, up;
    double foot = 0, height = 0;
};
Frame frame_of(const Site& segment, Vec point) {
    Frame frame;
    const Vec ab = segment.b - segment.a;
    frame.along = ab * (1 / length(ab));
    frame.up = {-frame.along.y, frame.along.x};
    frame.foot = dot(point - segment.a, frame.along);
    frame.height = dot(point - segment.a, frame.up);
    if (frame.height < 0) {
        frame.up = frame.up * -1;
        frame.height = -frame.height;
    }
    return frame;
}

Curve curve_of(const Site& s, const Site& t, Vec from, Vec to) {
    Curve curve;
    if (s.point && t.point) {
        curve.straight = false;
        const Vec middle = (s.a + t.a) * 0.5;
        const Vec across = t.a - s.a;
        const Vec along{-across.y, across.x};
        curve.at = middle;
        curve.least = length(across) / 2;
        curve.apex = dot(from - middle, along) * dot(to - middle, along) < 0;
    } else if (s.point != t.point) {
        const Site& segment = s.point ? t : s;
        const Vec focus = s.point ? s.a : t.a;
        if (ends_in(segment, focus)) return curve;
        curve.straight = false;
        const Frame frame = frame_of(segment, focus);
        const double a = dot(from - segment.a, frame.along) - frame.foot;
        const double b = dot(to - segment.a, frame.along) - frame.foot;
        curve.at = segment.a + frame.along * frame.foot + frame.up * (frame.height / 2);
        curve.least = frame.height / 2;
        curve.apex = a * b < 0;
    }
    return curve;
}

/// Vertices with their clearance, and on which side of the shape's edge they lie.
class Corners {
  public:
    Corners(const BoostDiagram& boost, const std::vector<Site>& sites) : boost_(boost) {
        corners_.resize(boost.num_vertices());
        for (std::size_t v = 0; v < corners_.size(); ++v)
            place(v, sites);
        spread();
    }
    [[nodiscard]] bool consistent() const { return consistent_; }
    [[nodiscard]] const Corner* of(const BoostDiagram::vertex_type* vertex) const {
        return vertex == nullptr ? nullptr : &corners_[index(vertex)];
    }

  private:
    [[nodiscard]] std::size_t index(const BoostDiagram::vertex_type* vertex) const {
        return static_cast<std::size_t>(vertex - boost_.vertices().data());
    }

    void place(std::size_t v, const std::vector<Site>& sites) {
        const auto& vertex = boost_.vertices()[v];
        Corner& corner = corners_[v];
        corner.at = {vertex.x() * kGrid, vertex.y() * kGrid};
        bool first = true;
        const auto* edge = vertex.incident_edge();
        do {
            const Site& site = sites[static_cast<std::size_t>(edge->cell() - boost_.cells().data())];
            const double clearance = clearance_to(site, corner.at);
            corner.clearance = first ? clearance : std::min(corner.clearance, clearance);
            first = false;
            if (!site.point && clearance > kTouching) {
                const Where where = cross(site.b - site.a, corner.at - site.a) > 0 ? Where::inside : Where::outside;
                if (corner.where != Where::unknown && corner.where != where) consistent_ = false;
                corner.where = where;
            }
            edge = edge->rot_next();
        } while (edge != vertex.incident_edge());
        if (!(corner.clearance > kTouching)) {
            if (!(corner.clearance <= kTouching)) consistent_ = false; // not a number
            corner.clearance = 0;
            corner.where = Where::edge;
        }
    }

    /// Vertices between corners only take the side of a neighbour: an edge never crosses the shape's edge.
    void spread() {
        std::vector<std::size_t> waiting;
        for (std::size_t v = 0; v < corners_.size(); ++v)
            if (corners_[v].where == Where::inside || corners_[v].where == Where::outside) waiting.push_back(v);
        while (!waiting.empty()) {
            const std::size_t v = waiting.back();
            waiting.pop_back();
            const auto* edge = boost_.vertices()[v].incident_edge();
            do {
                if (edge->vertex1() != nullptr) {
                    const std::size_t w = index(edge->vertex1());
                    if (corners_[w].where == Where::unknown) {
                        corners_[w].where = corners_[v].where;
                        waiting.push_back(w);
                    } else if (corners_[w].where != Where::edge && corners_[w].where != corners_[v].where) {
                        consistent_ = false;
                    }
                }
                edge = edge->rot_next();
            } while (edge != boost_.vertices()[v].incident_edge());
        }
    }

    const BoostDiagram& boost_;
    std::vector<Corner> corners_;
    bool consistent_ = true;
};

/// Direction of the half-edge of `left` against `right` towards its end at infinity.
Vec endless_direction(const Site& left, const Site& right, bool forward) {
    if (left.point && right.point) {
        const Vec apart = left.a - right.a;
        const Vec along = Vec{apart.y, -apart.x} * (1 / length(apart));
        return forward ? along : along * -1;
    }
    const Site& segment = left.point ? right : left; // outside of the hull: right of the segment
    const Vec ab = segment.b - segment.a;
    return Vec{ab.y, -ab.x} * (1 / length(ab));
}

class Tables {
  public:
    Tables(const BoostDiagram& boost, const Corners& corners, Voronoi& out)
        : boost_(boost), corners_(corners), out_(out) {}

    /// False when the diagram does not hold together.
    bool fill() {
        const auto& edges = boost_.edges();
        out_.half_edges.resize(edges.size());
        for (std::size_t e = 0; e < edges.size(); ++e) {
            out_.half_edges[e].next = number(edges[e].next());
            out_.half_edges[e].site = static_cast<std::uint32_t>(edges[e].cell() - boost_.cells().data());
            if (number(edges[e].twin()) != (e ^ 1U)) return false;
        }
        for (std::size_t e = 0; e < edges.size(); e += 2)
            if (!add(static_cast<std::uint32_t>(e))) return false;
        const auto by_high = [&](std::uint32_t a, std::uint32_t b) {
            return out_.ramps[a].high != out_.ramps[b].high ? out_.ramps[a].high > out_.ramps[b].high : a < b;
        };
        std::sort(out_.inside.begin(), out_.inside.end(), by_high);
        std::sort(out_.outside.begin(), out_.outside.end(), by_high);
        return true;
    }

  private:
    [[nodiscard]] std::uint32_t number(const BoostDiagram::edge_type* edge) const {
        return static_cast<std::uint32_t>(edge - boost_.edges().data());
    }

    bool add(std::uint32_t e) {
        const auto& edge = boost_.edges()[e];
        const Corner* from = corners_.of(edge.vertex0());
        const Corner* to = corners_.of(edge.vertex1());
        const Site& left = out_.sites[out_.half_edges[e].site];
        const Site& right = out_.sites[out_.half_edges[e ^ 1U].site];
        if (from == nullptr && to == nullptr) return false; // two sites only: no closed shape
        if (from == nullptr || to == nullptr) return add_endless(e, left, right, from, to);
        const Where where = from->where == Where::edge ? to->where : from->where;
        if (where == Where::edge) return true; // far below a grid unit
        if (where == Where::unknown) return false;
        const bool inside = where == Where::inside;
        const Curve curve = curve_of(left, right, from->at, to->at);
        if (curve.apex) {
            const Corner middle{curve.at, std::min({curve.least, from->clearance, to->clearance}), where};
            out_.half_edges[e].first = ramp(e ^ 1U, middle, *from, inside);
            out_.half_edges[e].second = ramp(e, middle, *to, inside);
        } else if (from->clearance <= to->clearance) {
            out_.half_edges[e].first = ramp(e, *from, *to, inside);
        } else {
            out_.half_edges[e].first = ramp(e ^ 1U, *to, *from, inside);
        }
        mirror(e);
        if (edge.is_primary()) out_.axis.push_back({from->at, to->at, from->clearance, to->clearance, inside});
        return true;
    }

    bool add_endless(std::uint32_t e, const Site& left, const Site& right, const Corner* from, const Corner* to) {
        if (!left.point && !right.point) return false;
        const Corner& start = from != nullptr ? *from : *to;
        if (start.where == Where::inside) return false;
        const Vec direction = endless_direction(left, right, from != nullptr);
        Corner end{start.at + direction, kEndless, Where::outside};
        const Curve curve = curve_of(left, right, start.at, start.at + direction * 1e6);
        end.at = direction;
        if (curve.apex) {
            const Corner middle{curve.at, std::min(curve.least, start.clearance), Where::outside};
            const bool out_first = from != nullptr;
            const std::int32_t near = ramp(out_first ? e ^ 1U : e, middle, start, false);
            const std::int32_t far = ramp(out_first ? e : e ^ 1U, middle, end, false);
            out_.half_edges[e].first = out_first ? near : far;
            out_.half_edges[e].second = out_first ? far : near;
        } else {
            out_.half_edges[e].first = ramp(from != nullptr ? e : e ^ 1U, start, end, false);
        }
        mirror(e);
        return true;
    }

    std::int32_t ramp(std::uint32_t rising, const Corner& low, const Corner& high, bool inside) {
        const auto index = static_cast<std::uint32_t>(out_.ramps.size());
        out_.ramps.push_back({low.clearance, high.clearance, low.at, high.at, rising});
        (inside ? out_.inside : out_.outside).push_back(index);
        return static_cast<std::int32_t>(index);
    }

    /// The twin meets the same ramps the other way round.
    void mirror(std::uint32_t e) {
        HalfEdge& twin = out_.half_edges[e ^ 1U];
        const HalfEdge& edge = out_.half_edges[e];
        twin.first = edge.second >= 0 ? edge.second : edge.first;
        twin.second = edge.second >= 0 ? edge.first : -1;
    }

    const BoostDiagram& boost_;
    const Corners& corners_;
    Voronoi& out_;
};

} // namespace

VoronoiResult voronoi_of(const Shape& shape) {
    CleanShape clean = clean_for_voronoi(shape);
    if (!clean.trouble.empty()) return {std::nullopt, std::move(clean.trouble)};
    Voronoi out;
    out.shape = std::move(clean.shape);
    const std::vector<GridSegment> segments = segments_of(out.shape);
    if (segments.empty()) return {std::move(out), {}};
    BoostDiagram boost;
    boost::polygon::construct_voronoi(segments.begin(), segments.end(), &boost);
    for (const auto& cell : boost.cells())
        out.sites.push_back(site_of(cell, segments));
    const Corners corners(boost, out.sites);
    if (!corners.consistent() || !Tables(boost, corners, out).fill())
        return {std::nullopt, "the Voronoi diagram does not hold together"};
    return {std::move(out), {}};
}

Vec place_at(const Voronoi& diagram, const Ramp& ramp, double level) {
    const bool endless = ramp.high == kEndless;
    const Site& s = diagram.sites[diagram.half_edges[ramp.rising].site];
    const Site& t = diagram.sites[diagram.half_edges[ramp.rising ^ 1U].site];
    const Vec target = endless ? ramp.low_at + ramp.high_at : ramp.high_at;
    const Curve curve = curve_of(s, t, ramp.low_at, target);
    if (curve.straight) {
        if (endless) return ramp.low_at + ramp.high_at * (level - ramp.low);
        const double rise = ramp.high - ramp.low;
        return rise > 0 ? ramp.low_at + (ramp.high_at - ramp.low_at) * ((level - ramp.low) / rise) : ramp.low_at;
    }
    if (s.point && t.point) {
        const Vec across = t.a - s.a;
        Vec along = Vec{-across.y, across.x} * (1 / length(across));
        if (dot(target - ramp.low_at, along) < 0) along = along * -1;
        const double c = length(across) / 2;
        const double up = std::sqrt(std::max(0.0, (level - c) * (level + c)));
        const double from = dot(ramp.low_at - curve.at, along);
        const double to = endless ? kEndless : dot(target - curve.at, along);
        return curve.at + along * std::clamp(up, std::min(from, to), std::max(from, to));
    }
    const Site& segment = s.point ? t : s;
    const Frame frame = frame_of(segment, s.point ? s.a : t.a);
    const double from = dot(ramp.low_at - segment.a, frame.along) - frame.foot;
    const double to = dot(target - segment.a, frame.along) - frame.foot;
    const double along = std::sqrt(std::max(0.0, frame.height * (2 * level - frame.height)));
    const double signed_along = to < from ? -along : along;
    return segment.a + frame.along * (frame.foot + std::clamp(signed_along, std::min(from, to), std::max(from, to))) +
           frame.up * level;
}

Widest widest(const Voronoi& diagram) {
    if (diagram.inside.empty()) return {};
    const Ramp& ramp = diagram.ramps[diagram.inside.front()];
    return {2 * ramp.high, ramp.high_at};
}

} // namespace kerfwright::plane
