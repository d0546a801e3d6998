#pragma once
// Private to drawing/: the little of three dimensions that DXF needs; drawings are seen from above.

#include "drawing/curves.hpp"

namespace kerfwright::drawing {

struct Vec3 {
    double x = 0, y = 0, z = 0;
};
[[nodiscard]] inline Vec3 operator+(Vec3 a, Vec3 b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
[[nodiscard]] inline Vec3 operator*(Vec3 a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}
[[nodiscard]] Vec3 cross(Vec3 a, Vec3 b);
/// The vector at length 1; Z for the null vector.
[[nodiscard]] Vec3 unit(Vec3 v);

/// origin + x p.x + y p.y + z p.z.
struct Affine3 {
    Vec3 x{1, 0, 0}, y{0, 1, 0}, z{0, 0, 1}, origin;
    [[nodiscard]] Vec3 turned(Vec3 p) const { return x * p.x + y * p.y + z * p.z; }
    [[nodiscard]] Vec3 operator()(Vec3 p) const { return origin + turned(p); }
};
/// First `inner`, then `outer`.
[[nodiscard]] Affine3 operator*(const Affine3& outer, const Affine3& inner);
[[nodiscard]] Affine3 shift3(Vec3 by);
[[nodiscard]] Affine3 stretch3(double x, double y, double z);
[[nodiscard]] Affine3 turn_about_z(double degrees);

/// From the object coordinates of a plane with this normal to the world's: the arbitrary axis algorithm of the DXF
/// reference (normals within 1/64 of Z take the world's Y as helper, others its Z).
[[nodiscard]] Affine3 object_coordinates(Vec3 normal);

/// The map of the plane z = `elevation`, seen from above.
[[nodiscard]] Affine seen(const Affine3& map, double elevation);
[[nodiscard]] inline Vec seen(Vec3 v) {
    return {v.x, v.y};
}

} // namespace kerfwright::drawing
