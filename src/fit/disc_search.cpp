#include "fit/disc_search.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::fit {

double signed_distance(const plane::EdgeIndex& index, plane::Vec p) {
    const auto near = index.nearest(p);
    return near ? signed_distance(index, *near, p) : 1e300;
}

double signed_distance(const plane::EdgeIndex& index, const plane::Nearest& nearest, plane::Vec p) {
    const plane::Nearest* near = &nearest;
    const plane::Ring& ring = index.rings()[near->ring];
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

} // namespace

double out_of_reach(const plane::EdgeIndex& index, plane::Vec p, double radius, double good_enough) {
    constexpr int kDirections = 48;
    double best = 1e300;
    plane::Vec best_centre;
    const auto attempt = [&](plane::Vec centre) {
        const auto free = freed(index, centre, radius);
        if (!free) return;
        const double off = std::max(0.0, distance(*free, p) - radius);
        if (off < best) {
            best = off;
            best_centre = *free;
        }
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
    if (best > 1e299) return best;
    // Then slide the best centre toward the point, with ever smaller steps.
    double step = 0.1 * radius;
    for (int round = 0; round < 60 && best > good_enough && step > 1e-7; ++round) {
        const double before = best;
        const plane::Vec pull = (p - best_centre) * (1 / distance(p, best_centre));
        const plane::Vec side{-pull.y, pull.x};
        const plane::Vec from = best_centre;
        attempt(p - pull * radius);
        attempt(from + pull * step);
        attempt(from + pull * (0.1 * step) + side * step);
        attempt(from + pull * (0.1 * step) - side * step);
        if (best > before - 1e-8) step /= 2;
    }
    return best;
}

} // namespace kerfwright::fit
