#include "sweep.hpp"

namespace kerfwright::proof {

using plane::Vec;

namespace {

std::optional<double> over_line(const Piece& line, const CutterBody& body, Vec at) {
    const Vec a{line.from.x, line.from.y};
    const Vec along = Vec{line.to.x, line.to.y} - a;
    const double run = plane::length(along);
    const double r = body.radius();
    if (run < 1e-9) {
        const double d = plane::distance(a, at);
        return d <= r ? std::optional(line.lowest() + body.height_at(d)) : std::nullopt;
    }
    const double u = dot(at - a, along) / run;
    const double beside = std::abs(cross(at - a, along)) / run;
    if (beside > r) return std::nullopt;
    const double widest = std::sqrt(r * r - beside * beside);
    const double low = std::max(0.0, u - widest);
    const double high = std::min(run, u + widest);
    if (low > high) return std::nullopt;
    const double slope = (line.to.z - line.from.z) / run;
    const double downhill = slope > 0 ? -1 : 1;
    const double s = std::clamp(u + downhill * body.downhill_offset(beside, slope), low, high);
    return line.from.z + slope * s + body.height_at(std::min(r, std::hypot(beside, s - u)));
}

/// A flat cutter on a helix covers the point while the angle between them is at most delta; the lowest end counts.
std::optional<double> over_helix(const Piece& arc, double r, Vec at) {
    constexpr double turn = 2 * std::numbers::pi;
    const Vec v = at - arc.centre;
    const double out = plane::length(v);
    double delta = std::numbers::pi;
    if (out * arc.radius > 1e-12) {
        const double c = (arc.radius * arc.radius + out * out - r * r) / (2 * arc.radius * out);
        if (c > 1) return std::nullopt;
        delta = c <= -1 ? delta : std::acos(c);
    } else if (arc.radius > r) {
        return std::nullopt;
    }
    const double length = std::abs(arc.sweep);
    double ahead = std::atan2(v.y, v.x) - arc.start;
    ahead = std::fmod(arc.sweep >= 0 ? ahead : -ahead, turn);
    ahead = ahead < 0 ? ahead + turn : ahead;
    const bool falls = arc.to.z < arc.from.z;
    std::optional<double> lowest;
    for (int k = -1; k <= 1; ++k) {
        const double first = ahead - delta + turn * k;
        const double last = ahead + delta + turn * k;
        if (last < 0 || first > length) continue;
        const double share = (falls ? std::min(last, length) : std::max(first, 0.0)) / length;
        const double z = arc.from.z + (arc.to.z - arc.from.z) * share;
        lowest = lowest ? std::min(*lowest, z) : z;
    }
    return lowest;
}

} // namespace

std::optional<double> swept_height(const Piece& piece, const CutterBody& body, Vec at) {
    if (!piece.is_arc()) return over_line(piece, body, at);
    if (!piece.level()) return over_helix(piece, body.radius(), at);
    const double d = nearest(piece, at).distance;
    return d <= body.radius() ? std::optional(piece.from.z + body.height_at(d)) : std::nullopt;
}

RowReach reach_of_line(const Piece& line, double radius, double y) {
    const Vec a{line.from.x, line.from.y};
    const Vec b{line.to.x, line.to.y};
    RowReach reach;
    for (const Vec end : {a, b}) {
        const double square = radius * radius - (y - end.y) * (y - end.y);
        if (square < 0) continue;
        const double half = std::sqrt(square);
        reach.low = std::min(reach.low, end.x - half);
        reach.high = std::max(reach.high, end.x + half);
    }
    const Vec along = b - a;
    const double run = plane::length(along);
    if (run > 0 && along.y != 0) {
        const Vec side = Vec{-along.y, along.x} * (radius / run);
        for (const Vec from : {a + side, a - side}) {
            const double share = (y - from.y) / along.y;
            if (share < 0 || share > 1) continue;
            reach.low = std::min(reach.low, from.x + along.x * share);
            reach.high = std::max(reach.high, from.x + along.x * share);
        }
    }
    if (along.y == 0 && std::abs(y - a.y) <= radius) { // the sides run along the row
        reach.low = std::min({reach.low, a.x, b.x});
        reach.high = std::max({reach.high, a.x, b.x});
    }
    return reach;
}

namespace detail {

Wedge::Wedge(const Piece& arc) {
    const Vec start = Vec{arc.from.x, arc.from.y} - arc.centre;
    const Vec end = Vec{arc.to.x, arc.to.y} - arc.centre;
    first_ = arc.sweep >= 0 ? start : end;
    last_ = arc.sweep >= 0 ? end : start;
    reflex_ = std::abs(arc.sweep) > std::numbers::pi;
    full_ = std::abs(arc.sweep) >= 2 * std::numbers::pi - 1e-12;
}

} // namespace detail

} // namespace kerfwright::proof
