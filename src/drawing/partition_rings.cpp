#include "drawing/partition_faces.hpp"

#include <algorithm>

namespace kerfwright::drawing {

using plane::Point;
using plane::Ring;

namespace {

/// Cuts a walk that comes through a vertex more than once into simple rings.
void add_simple_rings(const std::vector<Point>& walk, std::vector<Ring>& rings) {
    std::vector<std::pair<Point, std::size_t>> order;
    for (std::size_t i = 0; i < walk.size(); ++i)
        order.emplace_back(walk[i], i);
    std::sort(order.begin(), order.end());
    std::vector<std::size_t> name(walk.size()); // equal points have equal names
    for (std::size_t i = 0; i < order.size(); ++i)
        name[order[i].second] =
            i > 0 && order[i].first == order[i - 1].first ? name[order[i - 1].second] : order[i].second;
    constexpr std::size_t kNone = static_cast<std::size_t>(-1);
    std::vector<std::size_t> place(walk.size(), kNone); // of a name: where it stands on the stack
    std::vector<std::size_t> stack;
    const auto emit = [&](std::size_t first) {
        Ring ring;
        for (std::size_t i = first; i < stack.size(); ++i) {
            ring.push_back(walk[stack[i]]);
            place[stack[i]] = kNone;
        }
        stack.resize(first);
        std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end()), ring.end());
        if (ring.size() >= 3) rings.push_back(std::move(ring));
    };
    for (std::size_t i = 0; i < walk.size(); ++i) {
        if (place[name[i]] != kNone) emit(place[name[i]]);
        place[name[i]] = stack.size();
        stack.push_back(name[i]);
    }
    emit(0);
}

} // namespace

std::vector<Ring> Arrangement::trace(const std::vector<std::size_t>& border, const std::function<bool(int)>& in) const {
    const auto on_border = [&](std::size_t h) { return in(face_[h]) && !in(face_[h ^ 1]); };
    std::vector<std::size_t> starts;
    for (const std::size_t h : border)
        if (on_border(h)) starts.push_back(h);
    std::sort(starts.begin(), starts.end());
    std::vector<char> done(starts.size(), 0);
    std::vector<Ring> rings;
    for (std::size_t i = 0; i < starts.size(); ++i) {
        if (done[i] != 0) continue;
        std::vector<Point> walk;
        std::size_t h = starts[i];
        for (;;) {
            const auto at =
                static_cast<std::size_t>(std::lower_bound(starts.begin(), starts.end(), h) - starts.begin());
            if (at >= starts.size() || done[at] != 0) break;
            done[at] = 1;
            walk.push_back(point(from(h)));
            h = next_[h];
            while (!on_border(h))
                h = next_[h ^ 1]; // sweep through the inside to its other edge
        }
        add_simple_rings(walk, rings);
    }
    std::sort(rings.begin(), rings.end());
    return rings;
}

plane::Shape to_shape(std::vector<Ring> rings) {
    plane::Shape shape;
    std::vector<Ring> holes;
    for (Ring& ring : rings) {
        if (plane::signed_area(ring) > 0)
            shape.push_back({std::move(ring), {}});
        else
            holes.push_back(std::move(ring));
    }
    std::vector<plane::Box> boxes;
    std::vector<double> areas;
    for (const plane::Polygon& polygon : shape) {
        boxes.push_back(plane::bounds(polygon.outer));
        areas.push_back(plane::signed_area(polygon.outer));
    }
    for (Ring& hole : holes) {
        std::size_t owner = 0;
        double smallest = 1e300;
        const plane::Box box = plane::bounds(hole);
        for (std::size_t i = 0; i < shape.size() && shape.size() > 1; ++i) {
            const bool around = boxes[i].low.x <= box.low.x && boxes[i].low.y <= box.low.y &&
                                box.high.x <= boxes[i].high.x && box.high.y <= boxes[i].high.y;
            if (!around || areas[i] >= smallest) continue;
            const auto side = [&] {
                for (const Point p : hole) // a hole may touch the outer ring in single points
                    if (const plane::Side s = plane::side_of(shape[i].outer, p); s != plane::Side::edge) return s;
                return plane::Side::inside;
            }();
            if (side != plane::Side::inside) continue;
            owner = i;
            smallest = areas[i];
        }
        if (!shape.empty()) shape[owner].holes.push_back(std::move(hole));
    }
    return shape;
}

} // namespace kerfwright::drawing
