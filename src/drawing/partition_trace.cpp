#include "drawing/partition.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;

constexpr std::int64_t kStraight = 2; ///< grid units: noding moves an edge by less than one

/// Vertices that borders need: those of the drawing, and those where more than two borders meet.
class Straightener {
  public:
    Straightener(const Arrangement& faces, const std::vector<int>& owner, const Drawn& drawn) {
        for (const DrawnRing& ring : drawn.rings)
            needed_.insert(needed_.end(), ring.points.begin(), ring.points.end());
        std::vector<int> degree(faces.points().size(), 0);
        for (std::size_t h = 0; h < faces.half_edges(); ++h)
            if (owner[static_cast<std::size_t>(faces.face(h))] != owner[static_cast<std::size_t>(faces.face(h ^ 1))])
                ++degree[static_cast<std::size_t>(faces.from(h))];
        std::vector<GridSegment> corners;
        for (std::size_t v = 0; v < degree.size(); ++v) {
            const Point p = faces.points()[v];
            if (degree[v] > 2) needed_.push_back(p);
            if (degree[v] > 0) corners.push_back({p, p});
        }
        std::sort(needed_.begin(), needed_.end());
        needed_.erase(std::unique(needed_.begin(), needed_.end()), needed_.end());
        if (std::any_of(corners.begin(), corners.end(), [&](const GridSegment& s) { return !is_needed(s.a); })) {
            tree_.emplace(corners);
            corners_ = std::move(corners);
        }
    }

    /// The ring with runs of unneeded vertices taken out where that changes nothing. Both neighbours of a border come
    /// to the same answer.
    [[nodiscard]] Ring operator()(Ring ring) const {
        if (!tree_) return ring;
        const auto first = std::find_if(ring.begin(), ring.end(), [&](Point p) { return is_needed(p); });
        if (first == ring.end()) return ring;
        std::rotate(ring.begin(), first, ring.end());
        Ring straight;
        for (std::size_t i = 0; i < ring.size();) {
            std::size_t next = i + 1;
            while (next < ring.size() && !is_needed(ring[next]))
                ++next;
            const Point to = ring[next % ring.size()];
            straight.push_back(ring[i]);
            if (!is_free(ring, i, next, to))
                straight.insert(straight.end(), ring.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                                ring.begin() + static_cast<std::ptrdiff_t>(next));
            i = next;
        }
        if (straight.size() < 3) straight = std::move(ring);
        std::rotate(straight.begin(), std::min_element(straight.begin(), straight.end()), straight.end());
        return straight;
    }

  private:
    [[nodiscard]] bool is_needed(Point p) const { return std::binary_search(needed_.begin(), needed_.end(), p); }

    static bool is_near(Point a, Point b, Point p) {
        const double dx = static_cast<double>(b.x - a.x);
        const double dy = static_cast<double>(b.y - a.y);
        const double off = dx * static_cast<double>(p.y - a.y) - dy * static_cast<double>(p.x - a.x);
        return std::abs(off) <= static_cast<double>(kStraight) * std::hypot(dx, dy);
    }

    /// Are all vertices between `i` and `next` on the straight line, and no others near it?
    [[nodiscard]] bool is_free(const Ring& ring, std::size_t i, std::size_t next, Point to) const {
        if (next == i + 1) return true;
        const Point a = std::min(ring[i], to);
        const Point b = std::max(ring[i], to);
        std::vector<Point> run(ring.begin() + static_cast<std::ptrdiff_t>(i),
                               ring.begin() + static_cast<std::ptrdiff_t>(next));
        run.push_back(to);
        if (!std::all_of(run.begin(), run.end(), [&](Point p) { return is_near(a, b, p); })) return false;
        std::sort(run.begin(), run.end());
        bool free = true;
        tree_->visit(grown(box_of(a, b), kStraight), [&](std::size_t corner) {
            const Point p = corners_[corner].a;
            if (is_near(a, b, p) && !std::binary_search(run.begin(), run.end(), p)) free = false;
        });
        return free;
    }

    std::vector<Point> needed_;
    std::vector<GridSegment> corners_;
    std::optional<BoxTree> tree_;
};

} // namespace

std::vector<plane::Shape> trace_regions(const Arrangement& faces, const std::vector<int>& owner, const Drawn& drawn) {
    std::vector<std::vector<std::size_t>> borders(drawn.names.size());
    for (std::size_t h = 0; h < faces.half_edges(); ++h) {
        const int region = owner[static_cast<std::size_t>(faces.face(h))];
        if (region != kNobody && region != owner[static_cast<std::size_t>(faces.face(h ^ 1))])
            borders[static_cast<std::size_t>(region)].push_back(h);
    }
    const Straightener straightened(faces, owner, drawn);
    std::vector<plane::Shape> shapes;
    for (std::size_t r = 0; r < borders.size(); ++r) {
        const auto in = [&](int f) { return owner[static_cast<std::size_t>(f)] == static_cast<int>(r); };
        std::vector<Ring> rings = faces.trace(borders[r], in);
        for (Ring& ring : rings)
            ring = straightened(std::move(ring));
        shapes.push_back(to_shape(std::move(rings)));
    }
    return shapes;
}

} // namespace kerfwright::drawing
