#include "toolpath/entry.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::toolpath {

using plane::Vec;

double ramp_length(double drop, double angle) {
    return drop / std::tan(angle * std::numbers::pi / 180);
}

Heights ramp(double s, double z0, double z1, double angle) {
    if (z0 <= z1) return {{s, z1}};
    return {{s, z0}, {s + ramp_length(z0 - z1, angle), z1}};
}

namespace {

Span reversed(const Span& span) {
    return {span.to, span.from, span.centre, -span.sweep, span.length};
}

bool holds(const plane::Shape& room, const Span& span) {
    constexpr int kSamples = 8;
    for (int k = 0; k <= kSamples; ++k)
        if (!contains(room, plane::to_grid(point_on(span, span.length * k / kSamples)))) return false;
    return true;
}

} // namespace

std::optional<Lead> lead_at(const Track& track, double in, double out, double radius, double angle, bool free_side_left,
                            const LeadRoom& room) {
    const double side = free_side_left ? 1 : -1;
    const auto arc = [&](double s, double sweep) {
        const Vec at = track.at(s);
        const Vec way = track.direction(s);
        return arc_span(at, at + Vec{-way.y, way.x} * (side * radius), sweep);
    };
    const Lead lead{reversed(arc(in, -side * angle)), arc(out, side * angle)};
    if (!contains(room.start, plane::to_grid(lead.on.from))) return std::nullopt;
    if (!holds(room.travel, lead.on) || !holds(room.travel, lead.off)) return std::nullopt;
    return lead;
}

void helix(Pen& pen, Vec centre, double radius, double z0, double z1, double angle, bool counter_clockwise,
           const Feeds& feeds) {
    const double half = counter_clockwise ? std::numbers::pi : -std::numbers::pi;
    const Vec start = pen.over();
    const Vec across = centre * 2 - start;
    const Track circle(std::vector<Span>{{start, across, centre, half, std::numbers::pi * radius},
                                         {across, start, centre, half, std::numbers::pi * radius}});
    const Heights heights = ramp(0, z0, z1, angle);
    pen.follow(circle, 0, heights.back().s + circle.length(), heights, feeds);
}

} // namespace kerfwright::toolpath
