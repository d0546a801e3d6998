#include "plane/shape.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::plane {

Point to_grid(Vec v) {
    return {std::llround(v.x / kGrid), std::llround(v.y / kGrid)};
}

double signed_area(const Ring& ring) {
    if (ring.size() < 3) return 0;
    const Vec origin = to_mm(ring.front());
    double twice = 0;
    for (std::size_t i = 1; i + 1 < ring.size(); ++i)
        twice += cross(to_mm(ring[i]) - origin, to_mm(ring[i + 1]) - origin);
    return twice / 2;
}

double area(const Polygon& polygon) {
    double total = std::abs(signed_area(polygon.outer));
    for (const Ring& hole : polygon.holes)
        total -= std::abs(signed_area(hole));
    return total;
}

double area(const Shape& shape) {
    double total = 0;
    for (const Polygon& polygon : shape)
        total += area(polygon);
    return total;
}

double perimeter(const Ring& ring) {
    double total = 0;
    for (std::size_t i = 0; i < ring.size(); ++i)
        total += distance(to_mm(ring[i]), to_mm(ring[(i + 1) % ring.size()]));
    return total;
}

double perimeter(const Polygon& polygon) {
    double total = perimeter(polygon.outer);
    for (const Ring& hole : polygon.holes)
        total += perimeter(hole);
    return total;
}

double perimeter(const Shape& shape) {
    double total = 0;
    for (const Polygon& polygon : shape)
        total += perimeter(polygon);
    return total;
}

void extend(Box& box, Vec v) {
    box.low = {std::min(box.low.x, v.x), std::min(box.low.y, v.y)};
    box.high = {std::max(box.high.x, v.x), std::max(box.high.y, v.y)};
}

void extend(Box& box, const Box& other) {
    if (other.empty()) return;
    extend(box, other.low);
    extend(box, other.high);
}

Box grown(Box box, double by) {
    if (box.empty()) return box;
    return {box.low - Vec{by, by}, box.high + Vec{by, by}};
}

bool overlap(const Box& a, const Box& b) {
    return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y;
}

Box bounds(const Ring& ring) {
    Box box;
    for (const Point p : ring)
        extend(box, to_mm(p));
    return box;
}

Box bounds(const Polygon& polygon) {
    return bounds(polygon.outer);
}

Box bounds(const Shape& shape) {
    Box box;
    for (const Polygon& polygon : shape)
        extend(box, bounds(polygon));
    return box;
}

Vec centroid(const Polygon& polygon) {
    const Vec origin = to_mm(polygon.outer.front());
    double twice = 0;
    Vec sum;
    const auto add = [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Vec a = to_mm(ring[i]) - origin;
            const Vec b = to_mm(ring[(i + 1) % ring.size()]) - origin;
            const double c = cross(a, b);
            twice += c;
            sum = sum + (a + b) * c;
        }
    };
    add(polygon.outer);
    for (const Ring& hole : polygon.holes)
        add(hole);
    return origin + sum * (1 / (3 * twice));
}

Side side_of(const Ring& ring, Point p) {
    bool inside = false;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const Point a = ring[j];
        const Point b = ring[i];
        if (p == b) return Side::edge;
        // Differences reach 4.2e9, so their products need more than 64 bits.
        __extension__ using Wide = __int128;
        const Wide turn = Wide(b.x - a.x) * (p.y - a.y) - Wide(b.y - a.y) * (p.x - a.x);
        const bool within_x = std::min(a.x, b.x) <= p.x && p.x <= std::max(a.x, b.x);
        const bool within_y = std::min(a.y, b.y) <= p.y && p.y <= std::max(a.y, b.y);
        if (turn == 0 && within_x && within_y) return Side::edge;
        if ((a.y > p.y) != (b.y > p.y) && (turn > 0) == (b.y > a.y)) inside = !inside;
    }
    return inside ? Side::inside : Side::outside;
}

Side side_of(const Polygon& polygon, Point p) {
    const Side outer = side_of(polygon.outer, p);
    if (outer != Side::inside) return outer;
    for (const Ring& hole : polygon.holes) {
        const Side side = side_of(hole, p);
        if (side == Side::edge) return Side::edge;
        if (side == Side::inside) return Side::outside;
    }
    return Side::inside;
}

bool contains(const Shape& shape, Point p) {
    return std::any_of(shape.begin(), shape.end(),
                       [&](const Polygon& polygon) { return side_of(polygon, p) != Side::outside; });
}

namespace {

double depth_at(const Polygon& polygon, Vec at) {
    if (side_of(polygon, to_grid(at)) != Side::inside) return -1;
    double depth = 1e300;
    const auto look = [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.size(); ++i)
            depth = std::min(depth, distance_to_segment(at, to_mm(ring[i]), to_mm(ring[(i + 1) % ring.size()])));
    };
    look(polygon.outer);
    for (const Ring& hole : polygon.holes)
        look(hole);
    return depth;
}

} // namespace

Vec inner_point(const Polygon& polygon) {
    constexpr int kSteps = 24;
    const Box box = bounds(polygon);
    Vec best = to_mm(polygon.outer.front());
    double best_depth = -1;
    Vec low = box.low;
    Vec high = box.high;
    // A coarse grid, then two finer ones around the best cell.
    for (int round = 0; round < 3; ++round) {
        const Vec step{(high.x - low.x) / kSteps, (high.y - low.y) / kSteps};
        for (int i = 0; i < kSteps; ++i) {
            for (int j = 0; j < kSteps; ++j) {
                const Vec at{low.x + (i + 0.5) * step.x, low.y + (j + 0.5) * step.y};
                const double depth = depth_at(polygon, at);
                if (depth > best_depth) {
                    best_depth = depth;
                    best = at;
                }
            }
        }
        low = best - step * 2;
        high = best + step * 2;
    }
    return best;
}

Vec placed(Vec v, const Placement& placement) {
    // Quarter turns are exact, so that grain-kept pieces stay on the grid.
    const double turns = placement.angle_deg / 90;
    double c = 0;
    double s = 0;
    if (turns == std::floor(turns)) {
        constexpr int kCos[] = {1, 0, -1, 0};
        const auto quarter = static_cast<int>(std::fmod(std::fmod(turns, 4) + 4, 4));
        c = kCos[quarter];
        s = kCos[(quarter + 3) % 4];
    } else {
        const double angle = placement.angle_deg * std::numbers::pi / 180;
        c = std::cos(angle);
        s = std::sin(angle);
    }
    return {c * v.x - s * v.y + placement.x, s * v.x + c * v.y + placement.y};
}

Ring placed(const Ring& ring, const Placement& placement) {
    Ring out;
    out.reserve(ring.size());
    for (const Point p : ring)
        out.push_back(to_grid(placed(to_mm(p), placement)));
    return out;
}

Polygon placed(const Polygon& polygon, const Placement& placement) {
    Polygon out{placed(polygon.outer, placement), {}};
    for (const Ring& hole : polygon.holes)
        out.holes.push_back(placed(hole, placement));
    return out;
}

Shape placed(const Shape& shape, const Placement& placement) {
    Shape out;
    for (const Polygon& polygon : shape)
        out.push_back(placed(polygon, placement));
    return out;
}

Ring reversed(Ring ring) {
    std::reverse(ring.begin(), ring.end());
    return ring;
}

Ring rectangle(Vec low, Vec high) {
    return {to_grid(low), to_grid({high.x, low.y}), to_grid(high), to_grid({low.x, high.y})};
}

std::vector<Ring> rings_of(const Polygon& polygon) {
    std::vector<Ring> rings{polygon.outer};
    rings.insert(rings.end(), polygon.holes.begin(), polygon.holes.end());
    return rings;
}

std::vector<Ring> rings_of(const Shape& shape) {
    std::vector<Ring> rings;
    for (const Polygon& polygon : shape) {
        const auto more = rings_of(polygon);
        rings.insert(rings.end(), more.begin(), more.end());
    }
    return rings;
}

} // namespace kerfwright::plane
