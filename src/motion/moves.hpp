#pragma once
// Moves of the cutter tip: what toolpaths are made of, and what a program's text comes back as.

#include <array>
#include <string>
#include <vector>

namespace kerfwright::motion {

/// mm, program coordinates.
struct Vec3 {
    double x = 0, y = 0, z = 0;
    bool operator==(const Vec3&) const = default;
};
[[nodiscard]] inline Vec3 operator+(Vec3 a, Vec3 b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
[[nodiscard]] inline Vec3 operator-(Vec3 a, Vec3 b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
[[nodiscard]] inline Vec3 operator*(Vec3 a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}
[[nodiscard]] inline double dot(Vec3 a, Vec3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
[[nodiscard]] double length(Vec3 v);

enum class MoveKind {
    rapid, ///< G0: as fast as the axes go
    line,  ///< G1
    arc,   ///< G2, G3; a helix when the third axis moves
    dwell, ///< G4: `seconds` at `to`
    stop,  ///< M0 and the like: waits for a person
};

enum class Normal { x, y, z }; ///< axis the arc turns about: G19, G18, G17

struct Move {
    MoveKind kind = MoveKind::rapid;
    Vec3 from, to;
    Vec3 centre; ///< arcs: centre in the arc's plane (the component along the normal is not used)
    Normal normal = Normal::z;
    bool clockwise = false; ///< arcs: seen from the positive end of the normal; end = start is a full circle
    double feed = 0;        ///< mm/min along the move; 0 for rapids
    double spindle = 0;     ///< rev/min during the move; > 0 clockwise, < 0 counter-clockwise, 0 stands still
    double seconds = 0;     ///< dwells; and inverse-time moves, where it is the asked time
    int line = 0;           ///< program line, 1-based; 0 for moves that never were text
};

/// A vector in the frame of an arc: `u`, `v` in its plane, right-handed about the normal `w`. So G17 is (x, y, z),
/// G18 is (z, x, y), G19 is (y, z, x), and a counter-clockwise arc turns from u to v in each.
struct PlaneVec {
    double u = 0, v = 0, w = 0;
};
[[nodiscard]] PlaneVec in_plane(Vec3 v, Normal normal);
[[nodiscard]] Vec3 from_plane(PlaneVec v, Normal normal);

/// Sweep of an arc in radians, in (0, 2π]. Ends closer than 1 pm are the same point: a full circle.
[[nodiscard]] double sweep_of(const Move& arc);
/// Radius at the start of an arc, mm.
[[nodiscard]] double radius_of(const Move& arc);
/// Length of the path, mm; along the helix for helical arcs.
[[nodiscard]] double length(const Move& move);
/// The point at `share` in [0, 1] of the way.
[[nodiscard]] Vec3 point_at(const Move& move, double share);
/// Unit vector along the way at `share`; zero for a move without length.
[[nodiscard]] Vec3 direction_at(const Move& move, double share);

/// Closed box around the whole way, arcs with their bulge.
struct Box3 {
    Vec3 low, high;
};
[[nodiscard]] Box3 box_of(const Move& move);

} // namespace kerfwright::motion
