#include "toolpath/track.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::toolpath {

using plane::Vec;

namespace {

Vec turned(Vec v, double angle) {
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    return {c * v.x - s * v.y, s * v.x + c * v.y};
}

/// Length along the span to its point nearest to p.
double nearest_along(const Span& span, Vec p) {
    if (span.sweep == 0) {
        const Vec way = span.to - span.from;
        const double square = dot(way, way);
        return square > 0 ? std::clamp(dot(p - span.from, way) / square, 0.0, 1.0) * span.length : 0;
    }
    const Vec start = span.from - span.centre;
    const Vec at = p - span.centre;
    double angle = std::atan2(cross(start, at), dot(start, at)) * (span.sweep > 0 ? 1 : -1);
    if (angle < 0) angle += 2 * std::numbers::pi;
    const double whole = std::abs(span.sweep);
    if (angle > whole) return distance(p, span.from) <= distance(p, span.to) ? 0 : span.length;
    return angle / whole * span.length;
}

} // namespace

Span line_span(Vec from, Vec to) {
    return {from, to, {}, 0, distance(from, to)};
}

Span arc_span(Vec from, Vec centre, double sweep) {
    const Vec radius = from - centre;
    return {from, centre + turned(radius, sweep), centre, sweep, plane::length(radius) * std::abs(sweep)};
}

Vec point_on(const Span& span, double along) {
    if (along <= 0) return span.from;
    if (along >= span.length) return span.to;
    const double share = along / span.length;
    if (span.sweep == 0) return span.from + (span.to - span.from) * share;
    return span.centre + turned(span.from - span.centre, span.sweep * share);
}

Vec direction_on(const Span& span, double along) {
    if (span.length == 0) return {1, 0};
    if (span.sweep == 0) return (span.to - span.from) * (1 / span.length);
    const Vec radius = turned(span.from - span.centre, span.sweep * std::clamp(along / span.length, 0.0, 1.0));
    const double side = span.sweep > 0 ? 1 : -1;
    return Vec{-radius.y, radius.x} * (side / plane::length(radius));
}

Span part_of(const Span& span, double from, double to) {
    Span part = span;
    part.from = point_on(span, from);
    part.to = point_on(span, to);
    part.length = to - from;
    if (span.length > 0) part.sweep = span.sweep * (part.length / span.length);
    return part;
}

Track::Track(const plane::Path& path) {
    const auto& vertices = path.vertices;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
        const Vec a = vertices[i].at;
        const Vec b = vertices[(i + 1) % vertices.size()].at;
        if (a == b) continue;
        if (vertices[i].bulge == 0) {
            spans_.push_back(line_span(a, b));
            continue;
        }
        const plane::Arc arc = plane::arc_between(a, b, vertices[i].bulge);
        spans_.push_back({a, b, arc.centre, arc.sweep, arc.radius * std::abs(arc.sweep)});
    }
    starts_.push_back(0);
    for (const Span& span : spans_)
        starts_.push_back(starts_.back() + span.length);
}

Track::Track(std::vector<Span> spans) : spans_(std::move(spans)) {
    starts_.push_back(0);
    for (const Span& span : spans_)
        starts_.push_back(starts_.back() + span.length);
}

double Track::wrapped(double s) const {
    const double rest = std::fmod(s, length());
    return rest < 0 ? rest + length() : rest;
}

std::size_t Track::span_at(double s) const {
    const auto after = std::upper_bound(starts_.begin(), starts_.end(), s);
    const auto index = static_cast<std::size_t>(std::max<std::ptrdiff_t>(after - starts_.begin() - 1, 0));
    return std::min(index, spans_.size() - 1);
}

Vec Track::at(double s) const {
    const double position = wrapped(s);
    const std::size_t i = span_at(position);
    return point_on(spans_[i], position - starts_[i]);
}

Vec Track::direction(double s) const {
    const double position = wrapped(s);
    const std::size_t i = span_at(position);
    return direction_on(spans_[i], position - starts_[i]);
}

double Track::nearest(Vec p) const {
    double best = 0;
    double least = 1e300;
    for (std::size_t i = 0; i < spans_.size(); ++i) {
        const double along = nearest_along(spans_[i], p);
        const double d = distance(p, point_on(spans_[i], along));
        if (d >= least) continue;
        least = d;
        best = starts_[i] + along;
    }
    return wrapped(best);
}

std::vector<Span> Track::between(double from, double to) const {
    constexpr double kNothing = 1e-9;
    std::vector<Span> out;
    double left = to - from;
    double along = wrapped(from);
    std::size_t i = span_at(along);
    along -= starts_[i];
    while (left > kNothing) {
        const double end = std::min(spans_[i].length, along + left);
        if (end - along > kNothing) out.push_back(part_of(spans_[i], along, end));
        left -= end - along;
        along = 0;
        i = (i + 1) % spans_.size();
    }
    return out;
}

std::optional<Track> track_along(const plane::Ring& ring, double tolerance) {
    constexpr double kFewest = 50; // tolerances around, so that small rings keep their form
    if (ring.size() < 3) return std::nullopt;
    const double within = std::min(tolerance, plane::perimeter(ring) / kFewest);
    // An offset rounds every corner of a chord polygon; these micrometre steps would hide the curve from the fit.
    const plane::Ring plain = plane::simplified(ring, within / 3);
    plane::Path path = plane::fit_arcs(plain.size() >= 3 ? plain : ring, within * 2 / 3);
    if (path.vertices.size() < 2) {
        path.vertices.clear();
        for (const plane::Point p : ring)
            path.vertices.push_back({plane::to_mm(p), 0});
    }
    Track track(path);
    if (track.spans().empty()) return std::nullopt;
    return track;
}

double height_at(const Heights& heights, double s) {
    if (s <= heights.front().s) return heights.front().z;
    for (std::size_t i = 1; i < heights.size(); ++i) {
        const Knot& a = heights[i - 1];
        const Knot& b = heights[i];
        if (s <= b.s) return b.s > a.s ? a.z + (b.z - a.z) * ((s - a.s) / (b.s - a.s)) : b.z;
    }
    return heights.back().z;
}

Heights higher_of(const Heights& a, const Heights& b, double from, double to) {
    std::vector<double> places{from, to};
    for (const Heights* heights : {&a, &b})
        for (const Knot& knot : *heights)
            if (knot.s > from && knot.s < to) places.push_back(knot.s);
    std::sort(places.begin(), places.end());
    places.erase(std::unique(places.begin(), places.end()), places.end());
    Heights out;
    for (std::size_t i = 0; i < places.size(); ++i) {
        if (i > 0) { // where the two cross inside the stretch
            const double before = height_at(a, places[i - 1]) - height_at(b, places[i - 1]);
            const double after = height_at(a, places[i]) - height_at(b, places[i]);
            if ((before > 0 && after < 0) || (before < 0 && after > 0)) {
                const double s = places[i - 1] + (places[i] - places[i - 1]) * (before / (before - after));
                out.push_back({s, height_at(a, s)});
            }
        }
        out.push_back({places[i], std::max(height_at(a, places[i]), height_at(b, places[i]))});
    }
    return out;
}

} // namespace kerfwright::toolpath
