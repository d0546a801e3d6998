#include "fit/disc_search.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>
#include <vector>

namespace kerfwright::fit {

double signed_distance(const plane::EdgeIndex& index, plane::Vec p) {
    const auto near = index.nearest(p);
    return near ? signed_distance(index.rings(), *near, p) : 1e300;
}

double signed_distance(const std::vector<plane::Ring>& rings, const plane::Nearest& nearest, plane::Vec p) {
    const plane::Nearest* near = &nearest;
    const plane::Ring& ring = rings[near->ring];
    const std::size_t n = ring.size();
    const std::size_t s = near->segment;
    const plane::Vec a = to_mm(ring[s]);
    const plane::Vec b = to_mm(ring[(s + 1) % n]);
    // At a vertex both edges have a say: inside a convex corner is left of both, inside a reflex one left of either.
    // Where the ring goes straight on, both say the same.
    const auto sign = [&](plane::Vec before, plane::Vec at, plane::Vec after) {
        const bool left_of_first = cross(at - before, p - before) > 0;
        const bool left_of_second = cross(after - at, p - at) > 0;
        const bool convex = cross(at - before, after - at) > 0;
        return (convex ? left_of_first && left_of_second : left_of_first || left_of_second) ? -1.0 : 1.0;
    };
    if (near->at == a) return near->distance * sign(to_mm(ring[(s + n - 1) % n]), a, b);
    if (distance(near->at, b) < 1e-12) return near->distance * sign(a, b, to_mm(ring[(s + 2) % n]));
    return cross(b - a, p - a) > 0 ? -near->distance : near->distance;
}

namespace {

/// Moves a centre until the disc is clear of every edge; nothing when it does not come free nearby.
std::optional<plane::Vec> freed(const plane::EdgeIndex& index, plane::Vec centre, double radius) {
    for (int step = 0; step < 24; ++step) {
        const double clear = signed_distance(index, centre);
        if (clear >= radius - 1e-7) return centre;
        const auto near = index.nearest(centre);
        if (near->distance < 1e-9) return std::nullopt;
        const plane::Vec away = (centre - near->at) * ((clear > 0 ? 1 : -1) / near->distance);
        centre = centre + away * (radius - clear + 2e-8);
    }
    return std::nullopt;
}

/// How far beyond the radius the centre of a free disc lies from the point, in one direction; `most` when that is more.
/// No step can pass a free place: distances change no faster than the way.
double off_along(const plane::EdgeIndex& index, plane::Vec p, double angle, double radius, double most) {
    const plane::Vec direction{std::cos(angle), std::sin(angle)};
    for (double off = 0; off < most;) {
        const double short_by = radius - signed_distance(index, p + direction * (radius + off));
        if (short_by <= 1e-7) return off;
        off += short_by;
    }
    return most;
}

/// Turns about the point from `angle`, with ever smaller steps, as long as the disc comes nearer than `best`.
double turned_nearer(const plane::EdgeIndex& index, plane::Vec p, double angle, double radius, double best,
                     double good_enough) {
    double step = 0.1;
    while (best > good_enough && step > 1e-7) {
        const double before = best;
        for (const double turned : {angle - step, angle + step})
            if (const double off = off_along(index, p, turned, radius, best); off < best) {
                best = off;
                angle = turned;
            }
        if (best > 0.95 * before) step /= 2;
    }
    return best;
}

struct Found {
    double off = 0, angle = 0;
};

} // namespace

double out_of_reach(const plane::EdgeIndex& index, plane::Vec p, double radius, double good_enough) {
    constexpr int kDirections = 48;
    std::vector<Found> found;
    double best = 1e300;
    const auto attempt = [&](plane::Vec centre) {
        const auto free = freed(index, centre, radius);
        if (!free) return;
        const plane::Vec to = *free - p;
        found.push_back({std::max(0.0, length(to) - radius), std::atan2(to.y, to.x)});
        best = std::min(best, found.back().off);
    };
    // Straight out first; a disc that rolls over chords is held up by a neighbouring one, and is moved free of it.
    if (const auto near = index.nearest(p)) {
        const plane::Ring& ring = index.rings()[near->ring];
        const plane::Vec along = to_mm(ring[(near->segment + 1) % ring.size()]) - to_mm(ring[near->segment]);
        attempt(p + plane::Vec{along.y, -along.x} * (radius / std::max(1e-12, plane::length(along))));
    }
    for (int k = 0; k < kDirections && best > good_enough; ++k) {
        const double angle = 2 * std::numbers::pi * k / kDirections;
        attempt(p + plane::Vec{std::cos(angle), std::sin(angle)} * radius);
    }
    // Then nearer from the best of them, one from each side: a thin wall has a second.
    constexpr std::size_t kSides = 4;
    constexpr double kApart = 0.3; // rad
    std::sort(found.begin(), found.end(),
              [](Found a, Found b) { return std::tie(a.off, a.angle) < std::tie(b.off, b.angle); });
    std::vector<double> sides;
    for (const Found& one : found) {
        if (best <= good_enough || sides.size() == kSides) break;
        const auto beside = [&](double angle) {
            return std::abs(std::remainder(angle - one.angle, 2 * std::numbers::pi)) < kApart;
        };
        if (std::any_of(sides.begin(), sides.end(), beside)) continue;
        sides.push_back(one.angle);
        best = std::min(best, turned_nearer(index, p, one.angle, radius, one.off, good_enough));
    }
    return best;
}

} // namespace kerfwright::fit
