#include "motion/moves.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::motion {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kSamePoint = 1e-9; // mm

/// What is needed to walk along an arc: spokes from the centre in its plane.
struct Spokes {
    PlaneVec centre, start, end;
    double radius, end_radius;
    double sweep; // signed, counter-clockwise positive
};

Spokes spokes_of(const Move& arc) {
    const PlaneVec centre = in_plane(arc.centre, arc.normal);
    PlaneVec start = in_plane(arc.from, arc.normal);
    PlaneVec end = in_plane(arc.to, arc.normal);
    const bool closed = std::hypot(end.u - start.u, end.v - start.v) <= kSamePoint;
    for (PlaneVec* spoke : {&start, &end}) {
        spoke->u -= centre.u;
        spoke->v -= centre.v;
    }
    const double cross = start.u * end.v - start.v * end.u;
    const double dot = start.u * end.u + start.v * end.v;
    const double sign = arc.clockwise ? -1 : 1;
    double sweep = closed ? kTurn : sign * std::atan2(cross, dot);
    if (sweep <= 0) sweep += kTurn;
    return {centre, start, end, std::hypot(start.u, start.v), std::hypot(end.u, end.v), sign * sweep};
}

bool has_way(const Move& move) {
    return move.kind != MoveKind::dwell && move.kind != MoveKind::stop;
}

} // namespace

double length(Vec3 v) {
    return std::hypot(v.x, v.y, v.z);
}

PlaneVec in_plane(Vec3 v, Normal normal) {
    switch (normal) {
    case Normal::x:
        return {v.y, v.z, v.x};
    case Normal::y:
        return {v.z, v.x, v.y};
    case Normal::z:
        break;
    }
    return {v.x, v.y, v.z};
}

Vec3 from_plane(PlaneVec v, Normal normal) {
    switch (normal) {
    case Normal::x:
        return {v.w, v.u, v.v};
    case Normal::y:
        return {v.v, v.w, v.u};
    case Normal::z:
        break;
    }
    return {v.u, v.v, v.w};
}

double sweep_of(const Move& arc) {
    return std::abs(spokes_of(arc).sweep);
}

double radius_of(const Move& arc) {
    return spokes_of(arc).radius;
}

double length(const Move& move) {
    if (!has_way(move)) return 0;
    if (move.kind != MoveKind::arc) return length(move.to - move.from);
    const Spokes s = spokes_of(move);
    return std::hypot(s.radius * std::abs(s.sweep), s.end.w - s.start.w);
}

Vec3 point_at(const Move& move, double share) {
    if (share <= 0) return move.from;
    if (share >= 1) return move.to;
    if (move.kind != MoveKind::arc) return move.from + (move.to - move.from) * share;
    const Spokes s = spokes_of(move);
    const double angle = s.sweep * share;
    // The two radii may differ by what the language tolerates; the difference is spread over the way.
    const double scale = s.radius > 0 ? 1 + (s.end_radius / s.radius - 1) * share : 1;
    const double c = std::cos(angle) * scale;
    const double d = std::sin(angle) * scale;
    return from_plane({s.centre.u + c * s.start.u - d * s.start.v, s.centre.v + d * s.start.u + c * s.start.v,
                       s.start.w + (s.end.w - s.start.w) * share},
                      move.normal);
}

Vec3 direction_at(const Move& move, double share) {
    const double whole = length(move);
    if (!(whole > 0)) return {};
    if (move.kind != MoveKind::arc) return (move.to - move.from) * (1 / whole);
    const Spokes s = spokes_of(move);
    const double angle = s.sweep * std::clamp(share, 0.0, 1.0);
    const double c = std::cos(angle) * s.sweep / whole;
    const double d = std::sin(angle) * s.sweep / whole;
    return from_plane({-d * s.start.u - c * s.start.v, c * s.start.u - d * s.start.v, (s.end.w - s.start.w) / whole},
                      move.normal);
}

Box3 box_of(const Move& move) {
    Box3 box{move.from, move.from};
    const auto take = [&](Vec3 p) {
        box.low = {std::min(box.low.x, p.x), std::min(box.low.y, p.y), std::min(box.low.z, p.z)};
        box.high = {std::max(box.high.x, p.x), std::max(box.high.y, p.y), std::max(box.high.z, p.z)};
    };
    take(move.to);
    if (move.kind != MoveKind::arc) return box;
    const Spokes s = spokes_of(move);
    const double radius = std::max(s.radius, s.end_radius);
    const double first = std::atan2(s.start.v, s.start.u);
    for (int quarter = 0; quarter < 4; ++quarter) {
        const double angle = quarter * kTurn / 4;
        double turn = std::fmod((s.sweep > 0 ? 1 : -1) * (angle - first), kTurn);
        if (turn < 0) turn += kTurn;
        if (turn > std::abs(s.sweep)) continue;
        PlaneVec p{s.centre.u, s.centre.v, s.start.w};
        (quarter % 2 == 0 ? p.u : p.v) += quarter < 2 ? radius : -radius;
        take(from_plane(p, move.normal));
    }
    return box;
}

} // namespace kerfwright::motion
