#include "drawing/dxf_space.hpp"

#include <cmath>
#include <numbers>

namespace kerfwright::drawing {

Vec3 cross(Vec3 a, Vec3 b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

Vec3 unit(Vec3 v) {
    const double length = std::hypot(v.x, v.y, v.z);
    return length > 0 && std::isfinite(length) ? v * (1 / length) : Vec3{0, 0, 1};
}

Affine3 operator*(const Affine3& outer, const Affine3& inner) {
    return {outer.turned(inner.x), outer.turned(inner.y), outer.turned(inner.z), outer(inner.origin)};
}

Affine3 shift3(Vec3 by) {
    Affine3 map;
    map.origin = by;
    return map;
}

Affine3 stretch3(double x, double y, double z) {
    return {{x, 0, 0}, {0, y, 0}, {0, 0, z}, {}};
}

Affine3 turn_about_z(double degrees) {
    const double quarter = degrees / 90;
    double c = std::cos(degrees * std::numbers::pi / 180), s = std::sin(degrees * std::numbers::pi / 180);
    if (quarter == std::floor(quarter)) { // exact, so that turned copies meet
        c = std::round(c);
        s = std::round(s);
    }
    return {{c, s, 0}, {-s, c, 0}, {0, 0, 1}, {}};
}

Affine3 object_coordinates(Vec3 normal) {
    const Vec3 z = unit(normal);
    const bool near_z = std::abs(z.x) < 1.0 / 64 && std::abs(z.y) < 1.0 / 64;
    const Vec3 x = unit(cross(near_z ? Vec3{0, 1, 0} : Vec3{0, 0, 1}, z));
    return {x, unit(cross(z, x)), z, {}};
}

Affine seen(const Affine3& map, double elevation) {
    const Vec3 origin = map({0, 0, elevation});
    return {map.x.x, map.x.y, map.y.x, map.y.y, origin.x, origin.y};
}

} // namespace kerfwright::drawing
