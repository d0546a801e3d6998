#pragma once
// Plain values of plane geometry on an integer grid of 10 nm, and the measurements everybody needs.
//
// Rings do not repeat their first point. Outer rings run counter-clockwise, holes clockwise (Y up).
// Coordinates stay within ±kRange (±21 m): 32 bits. A product of two differences may need 66 bits.

#include <cmath>
#include <compare>
#include <cstdint>
#include <vector>

namespace kerfwright::plane {

inline constexpr double kGrid = 1e-5;                 ///< mm in one grid unit
inline constexpr std::int64_t kRange = 2'100'000'000; ///< largest coordinate, grid units
inline constexpr double kRangeMm = 21'000;            ///< the same in mm

/// A grid point.
struct Point {
    std::int64_t x = 0, y = 0;
    auto operator<=>(const Point&) const = default;
};

/// A point or a vector in mm.
struct Vec {
    double x = 0, y = 0;
    bool operator==(const Vec&) const = default;
};

using Ring = std::vector<Point>;

/// One connected area. REQUIRES of every function here: rings as stated in the head of this file.
struct Polygon {
    Ring outer;
    std::vector<Ring> holes;
    bool operator==(const Polygon&) const = default;
};

/// Any number of disjoint areas.
using Shape = std::vector<Polygon>;

/// Closed box; empty when low > high.
struct Box {
    Vec low{1e300, 1e300};
    Vec high{-1e300, -1e300};
    [[nodiscard]] bool empty() const { return low.x > high.x || low.y > high.y; }
    [[nodiscard]] double width() const { return high.x - low.x; }
    [[nodiscard]] double height() const { return high.y - low.y; }
};

[[nodiscard]] inline Vec to_mm(Point p) {
    return {static_cast<double>(p.x) * kGrid, static_cast<double>(p.y) * kGrid};
}
/// Nearest grid point. REQUIRES: |coordinate| <= kRangeMm (readers check it).
[[nodiscard]] Point to_grid(Vec v);

[[nodiscard]] inline Vec operator+(Vec a, Vec b) {
    return {a.x + b.x, a.y + b.y};
}
[[nodiscard]] inline Vec operator-(Vec a, Vec b) {
    return {a.x - b.x, a.y - b.y};
}
[[nodiscard]] inline Vec operator*(Vec a, double s) {
    return {a.x * s, a.y * s};
}
[[nodiscard]] inline double dot(Vec a, Vec b) {
    return a.x * b.x + a.y * b.y;
}
[[nodiscard]] inline double cross(Vec a, Vec b) {
    return a.x * b.y - a.y * b.x;
}
/// Coordinates are far from overflow and underflow: no need for the slow std::hypot.
[[nodiscard]] inline double length(Vec v) {
    return std::sqrt(dot(v, v));
}
[[nodiscard]] inline double distance(Vec a, Vec b) {
    return length(a - b);
}

/// mm²; positive for a counter-clockwise ring.
[[nodiscard]] double signed_area(const Ring& ring);
/// mm², holes taken off.
[[nodiscard]] double area(const Polygon& polygon);
[[nodiscard]] double area(const Shape& shape);
/// mm.
[[nodiscard]] double perimeter(const Ring& ring);
[[nodiscard]] double perimeter(const Polygon& polygon);
[[nodiscard]] double perimeter(const Shape& shape);

[[nodiscard]] Box bounds(const Ring& ring);
[[nodiscard]] Box bounds(const Polygon& polygon);
[[nodiscard]] Box bounds(const Shape& shape);
void extend(Box& box, Vec v);
void extend(Box& box, const Box& other);
[[nodiscard]] Box grown(Box box, double by);
[[nodiscard]] bool overlap(const Box& a, const Box& b);

/// Centre of area, mm. REQUIRES: area is not zero.
[[nodiscard]] Vec centroid(const Polygon& polygon);

enum class Side { inside, edge, outside };
/// Exact on the grid.
[[nodiscard]] Side side_of(const Ring& ring, Point p);
[[nodiscard]] Side side_of(const Polygon& polygon, Point p);
[[nodiscard]] bool contains(const Shape& shape, Point p); ///< inside or on the edge

/// A point well inside: the deepest of a coarse search (for labels and for asking "which one is this").
[[nodiscard]] Vec inner_point(const Polygon& polygon);

/// Rotate about the frame's origin, then shift.
struct Placement {
    double x = 0, y = 0;
    double angle_deg = 0;
    bool operator==(const Placement&) const = default;
};
[[nodiscard]] Vec placed(Vec v, const Placement& placement);
[[nodiscard]] Ring placed(const Ring& ring, const Placement& placement);
[[nodiscard]] Polygon placed(const Polygon& polygon, const Placement& placement);
[[nodiscard]] Shape placed(const Shape& shape, const Placement& placement);

[[nodiscard]] Ring reversed(Ring ring);
[[nodiscard]] Ring rectangle(Vec low, Vec high);
/// All rings of the shape, outer ones first within each polygon.
[[nodiscard]] std::vector<Ring> rings_of(const Shape& shape);
[[nodiscard]] std::vector<Ring> rings_of(const Polygon& polygon);

} // namespace kerfwright::plane
