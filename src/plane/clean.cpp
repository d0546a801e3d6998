// Cleaning for the Voronoi diagram: no duplicates, no collinear points, nothing that crosses.

#include "plane/boolean.hpp"
#include "plane/voronoi.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace kerfwright::plane {
namespace {

__extension__ using Wide = __int128; // products of differences pass 64 bits

int turn(Point a, Point b, Point c) {
    const Wide cross = Wide{b.x - a.x} * (c.y - a.y) - Wide{b.y - a.y} * (c.x - a.x);
    return cross > 0 ? 1 : (cross < 0 ? -1 : 0);
}

/// Without duplicates, collinear points and spikes.
Ring slim(const Ring& ring) {
    Ring out;
    const auto settle = [&](std::size_t least) {
        while (out.size() >= least) {
            const std::size_t n = out.size();
            if (out[n - 1] == out[n - 2])
                out.pop_back();
            else if (n >= 3 && turn(out[n - 3], out[n - 2], out[n - 1]) == 0)
                out.erase(out.end() - 2);
            else
                break;
        }
    };
    for (const Point p : ring) {
        out.push_back(p);
        settle(2);
    }
    // Where the ring closes.
    std::size_t skip = 0;
    for (bool changed = true; changed && out.size() - skip >= 3;) {
        changed = true;
        const std::size_t n = out.size();
        if (out[n - 1] == out[skip] || turn(out[n - 2], out[n - 1], out[skip]) == 0)
            out.pop_back();
        else if (turn(out[n - 1], out[skip], out[skip + 1]) == 0)
            ++skip;
        else
            changed = false;
    }
    out.erase(out.begin(), out.begin() + static_cast<std::ptrdiff_t>(skip));
    return out.size() < 3 ? Ring{} : out;
}

struct Segment {
    Point a, b;
    std::size_t ring = 0, index = 0;
};

bool within(Point p, const Segment& s) {
    return std::min(s.a.x, s.b.x) <= p.x && p.x <= std::max(s.a.x, s.b.x) && std::min(s.a.y, s.b.y) <= p.y &&
           p.y <= std::max(s.a.y, s.b.y);
}

using Splits = std::map<std::pair<std::size_t, std::size_t>, std::vector<Point>>;

/// Notes where two segments meet other than in ends of both.
void meet(const Segment& s, const Segment& t, Splits& splits) {
    const int ta = turn(s.a, s.b, t.a);
    const int tb = turn(s.a, s.b, t.b);
    if (ta * tb > 0) return;
    const int sa = turn(t.a, t.b, s.a);
    const int sb = turn(t.a, t.b, s.b);
    if (sa * sb > 0) return;
    const auto split = [&](const Segment& which, Point p) {
        if (p != which.a && p != which.b) splits[{which.ring, which.index}].push_back(p);
    };
    if (ta == 0 && within(t.a, s)) split(s, t.a);
    if (tb == 0 && within(t.b, s)) split(s, t.b);
    if (sa == 0 && within(s.a, t)) split(t, s.a);
    if (sb == 0 && within(s.b, t)) split(t, s.b);
    if (ta * tb < 0 && sa * sb < 0) {
        const Vec from = to_mm(s.a);
        const Vec along = to_mm(s.b) - from;
        const Vec other = to_mm(t.b) - to_mm(t.a);
        const double share = cross(to_mm(t.a) - from, other) / cross(along, other);
        const Point p = to_grid(from + along * std::clamp(share, 0.0, 1.0));
        split(s, p);
        split(t, p);
        // Rounded to an end of one: the other gets a vertex; both ends: nothing more can be done here.
    }
}

/// All meetings, found through rows and columns of a grid.
Splits meetings(const std::vector<Ring>& rings) {
    std::vector<Segment> segments;
    Box box;
    for (std::size_t r = 0; r < rings.size(); ++r)
        for (std::size_t i = 0; i < rings[r].size(); ++i) {
            segments.push_back({rings[r][i], rings[r][(i + 1) % rings[r].size()], r, i});
            extend(box, to_mm(rings[r][i]));
        }
    Splits splits;
    if (segments.empty()) return splits;
    const auto side =
        static_cast<std::int64_t>(std::clamp(std::sqrt(2.0 * static_cast<double>(segments.size())), 1.0, 2048.0));
    const double width = std::max(box.width(), 2 * kGrid) / static_cast<double>(side) * (1 + 1e-9);
    const double height = std::max(box.height(), 2 * kGrid) / static_cast<double>(side) * (1 + 1e-9);
    const auto column = [&](double x) {
        return std::clamp(static_cast<std::int64_t>(std::floor((x - box.low.x) / width)), std::int64_t{0}, side - 1);
    };
    const auto row = [&](double y) {
        return std::clamp(static_cast<std::int64_t>(std::floor((y - box.low.y) / height)), std::int64_t{0}, side - 1);
    };
    std::vector<std::pair<std::uint32_t, std::uint32_t>> entries; // cell, segment
    for (std::uint32_t k = 0; k < segments.size(); ++k) {
        Vec a = to_mm(segments[k].a);
        Vec b = to_mm(segments[k].b);
        if (a.y > b.y) std::swap(a, b);
        for (std::int64_t r = row(a.y - kGrid); r <= row(b.y + kGrid); ++r) {
            double left = std::min(a.x, b.x);
            double right = std::max(a.x, b.x);
            if (b.y - a.y > height / 2) {
                const auto x_at = [&](double y) {
                    return a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0);
                };
                const double low = x_at(box.low.y + static_cast<double>(r) * height - kGrid);
                const double high = x_at(box.low.y + static_cast<double>(r + 1) * height + kGrid);
                left = std::min(low, high);
                right = std::max(low, high);
            }
            for (std::int64_t c = column(left - 2 * kGrid); c <= column(right + 2 * kGrid); ++c)
                entries.emplace_back(static_cast<std::uint32_t>(r * side + c), k);
        }
    }
    std::sort(entries.begin(), entries.end());
    for (std::size_t from = 0, to = 0; from < entries.size(); from = to) {
        while (to < entries.size() && entries[to].first == entries[from].first)
            ++to;
        for (std::size_t i = from; i < to; ++i)
            for (std::size_t j = i + 1; j < to; ++j)
                meet(segments[entries[i].second], segments[entries[j].second], splits);
    }
    return splits;
}

std::vector<Ring> split_at(const std::vector<Ring>& rings, Splits& splits) {
    std::vector<Ring> out(rings.size());
    for (std::size_t r = 0; r < rings.size(); ++r)
        for (std::size_t i = 0; i < rings[r].size(); ++i) {
            const Point a = rings[r][i];
            out[r].push_back(a);
            const auto it = splits.find({r, i});
            if (it == splits.end()) continue;
            std::sort(it->second.begin(), it->second.end(), [&](Point p, Point q) {
                return std::pair(distance(to_mm(a), to_mm(p)), p) < std::pair(distance(to_mm(a), to_mm(q)), q);
            });
            out[r].insert(out[r].end(), it->second.begin(), it->second.end());
        }
    return out;
}

/// Two edges between the same two points: an area without width, or one counted twice.
bool doubled(const std::vector<Ring>& rings) {
    std::vector<std::pair<Point, Point>> edges;
    for (const Ring& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i)
            edges.push_back(std::minmax(ring[i], ring[(i + 1) % ring.size()]));
    std::sort(edges.begin(), edges.end());
    return std::adjacent_find(edges.begin(), edges.end()) != edges.end();
}

std::vector<Ring> slim_rings(const Shape& shape) {
    std::vector<Ring> rings;
    for (const Ring& ring : rings_of(shape))
        if (Ring thin = slim(ring); !thin.empty()) rings.push_back(std::move(thin));
    return rings;
}

} // namespace

CleanShape clean_for_voronoi(const Shape& shape) {
    constexpr int kRounds = 8;
    Shape now = shape;
    for (const Ring& ring : rings_of(shape))
        for (const Point p : ring)
            if (std::abs(p.x) > kRange || std::abs(p.y) > kRange) return {{}, "coordinates are out of range"};
    for (int round = 0; round < kRounds; ++round) {
        Shape slimmed;
        for (const Polygon& polygon : now) {
            Polygon thin{slim(polygon.outer), {}};
            if (thin.outer.empty()) continue;
            for (const Ring& hole : polygon.holes)
                if (Ring ring = slim(hole); !ring.empty()) thin.holes.push_back(std::move(ring));
            slimmed.push_back(std::move(thin));
        }
        const std::vector<Ring> rings = slim_rings(slimmed);
        Splits splits = meetings(rings);
        const bool turned = std::any_of(slimmed.begin(), slimmed.end(), [](const Polygon& p) {
            return signed_area(p.outer) <= 0 ||
                   std::any_of(p.holes.begin(), p.holes.end(), [](const Ring& hole) { return signed_area(hole) >= 0; });
        });
        if (splits.empty() && !turned && !doubled(rings)) return {std::move(slimmed), {}};
        now = normal(split_at(rings, splits));
    }
    return {{}, "edges still touch or cross after noding"};
}

} // namespace kerfwright::plane
