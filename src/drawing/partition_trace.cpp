#include "drawing/partition.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;

constexpr std::int64_t kStraight = 2; ///< grid units: noding moves an edge by less than one

/// Takes the vertices out that only cutting made, where that changes nothing. Both neighbours of a border come to the
/// same answer, because it depends on the stretch between two needed vertices alone.
class Straightener {
  public:
    /// `needed`: vertices that stay. `rings`: the borders of all regions.
    Straightener(std::vector<Point> needed, const std::vector<std::vector<Ring>>& rings) : needed_(std::move(needed)) {
        std::sort(needed_.begin(), needed_.end());
        needed_.erase(std::unique(needed_.begin(), needed_.end()), needed_.end());
        std::vector<GridSegment> corners;
        for (const auto& region : rings)
            for (const Ring& ring : region)
                for (const Point p : ring) {
                    corners.push_back({p, p});
                    if (!is_needed(p)) idle_ = false;
                }
        if (idle_) return;
        tree_ = BoxTree(corners);
        corners_ = std::move(corners);
        for (const auto& region : rings)
            for (const Ring& ring : region)
                for_each_stretch(ring,
                                 [&](const std::vector<Point>& stretch) { stretches_.push_back(key_of(stretch)); });
        std::sort(stretches_.begin(), stretches_.end());
        stretches_.erase(std::unique(stretches_.begin(), stretches_.end()), stretches_.end());
    }

    [[nodiscard]] Ring operator()(const Ring& ring) const {
        if (idle_) return ring;
        Ring straight;
        for_each_stretch(ring, [&](const std::vector<Point>& stretch) {
            const auto last = is_straight(stretch) ? stretch.begin() + 1 : stretch.end() - 1;
            straight.insert(straight.end(), stretch.begin(), last);
        });
        if (straight.empty()) return ring; // no needed vertex on it
        std::rotate(straight.begin(), std::min_element(straight.begin(), straight.end()), straight.end());
        return straight;
    }

  private:
    /// Ends of a stretch, smaller first, and the vertex next to the smaller end.
    using Key = std::tuple<Point, Point, Point>;

    [[nodiscard]] bool is_needed(Point p) const { return std::binary_search(needed_.begin(), needed_.end(), p); }

    static Key key_of(const std::vector<Point>& stretch) {
        const bool forward = stretch.front() < stretch.back();
        return forward ? Key{stretch.front(), stretch.back(), stretch[1]}
                       : Key{stretch.back(), stretch.front(), stretch[stretch.size() - 2]};
    }

    /// Calls act with each run of the ring from one needed vertex to the next, both included.
    template <class Act>
    void for_each_stretch(const Ring& ring, const Act& act) const {
        std::size_t first = 0;
        while (first < ring.size() && !is_needed(ring[first]))
            ++first;
        if (first == ring.size()) return;
        std::vector<Point> stretch{ring[first]};
        for (std::size_t i = 1; i <= ring.size(); ++i) {
            stretch.push_back(ring[(first + i) % ring.size()]);
            if (!is_needed(stretch.back())) continue;
            act(stretch);
            stretch.assign(1, ring[(first + i) % ring.size()]);
        }
    }

    static bool is_near(Point a, Point b, Point p) {
        const double dx = static_cast<double>(b.x - a.x);
        const double dy = static_cast<double>(b.y - a.y);
        const double off = dx * static_cast<double>(p.y - a.y) - dy * static_cast<double>(p.x - a.x);
        return std::abs(off) <= static_cast<double>(kStraight) * std::hypot(dx, dy);
    }

    /// May the stretch become one edge? Its vertices lie on the line, no others lie near it, and nothing else runs
    /// between its ends (that would leave an area without width).
    [[nodiscard]] bool is_straight(const std::vector<Point>& stretch) const {
        if (stretch.size() == 2 || stretch.front() == stretch.back()) return false;
        const Point a = std::min(stretch.front(), stretch.back());
        const Point b = std::max(stretch.front(), stretch.back());
        const auto alike = std::lower_bound(stretches_.begin(), stretches_.end(), Key{a, b, Point{-1, -1}});
        const bool alone = alike + 1 == stretches_.end() || std::get<0>(alike[1]) != a || std::get<1>(alike[1]) != b;
        if (!alone) return false;
        for (const Point p : stretch)
            if (!is_near(a, b, p)) return false;
        std::vector<Point> own = stretch;
        std::sort(own.begin(), own.end());
        bool free = true;
        tree_.visit(grown(box_of(a, b), kStraight), [&](std::size_t corner) {
            const Point p = corners_[corner].a;
            if (is_near(a, b, p) && !std::binary_search(own.begin(), own.end(), p)) free = false;
        });
        return free;
    }

    std::vector<Point> needed_;
    std::vector<GridSegment> corners_;
    BoxTree tree_{{}};
    std::vector<Key> stretches_;
    bool idle_ = true; ///< every vertex is needed
};

/// Vertices of the drawing, and those where more than two borders meet.
std::vector<Point> needed_vertices(const Arrangement& faces, const std::vector<int>& owner, const Drawn& drawn) {
    std::vector<Point> needed;
    for (const DrawnRing& ring : drawn.rings)
        needed.insert(needed.end(), ring.points.begin(), ring.points.end());
    std::vector<int> degree(faces.points().size(), 0);
    for (std::size_t h = 0; h < faces.half_edges(); ++h)
        if (owner[static_cast<std::size_t>(faces.face(h))] != owner[static_cast<std::size_t>(faces.face(h ^ 1))])
            ++degree[static_cast<std::size_t>(faces.from(h))];
    for (std::size_t v = 0; v < degree.size(); ++v)
        if (degree[v] > 2) needed.push_back(faces.points()[v]);
    return needed;
}

} // namespace

std::vector<plane::Shape> trace_regions(const Arrangement& faces, const std::vector<int>& owner, const Drawn& drawn) {
    std::vector<std::vector<std::size_t>> borders(drawn.names.size());
    for (std::size_t h = 0; h < faces.half_edges(); ++h) {
        const int region = owner[static_cast<std::size_t>(faces.face(h))];
        if (region != kNobody && region != owner[static_cast<std::size_t>(faces.face(h ^ 1))])
            borders[static_cast<std::size_t>(region)].push_back(h);
    }
    std::vector<std::vector<Ring>> rings;
    for (std::size_t r = 0; r < borders.size(); ++r)
        rings.push_back(
            faces.trace(borders[r], [&](int f) { return owner[static_cast<std::size_t>(f)] == static_cast<int>(r); }));
    const Straightener straightened(needed_vertices(faces, owner, drawn), rings);
    std::vector<plane::Shape> shapes;
    for (std::vector<Ring>& region : rings) {
        for (Ring& ring : region)
            ring = straightened(ring);
        shapes.push_back(to_shape(std::move(region)));
    }
    return shapes;
}

} // namespace kerfwright::drawing
