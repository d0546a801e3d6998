#include "fit/disc_search.hpp"
#include "fit/fit.hpp"
#include "fit/thickness.hpp"
#include "plane/boolean.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::fit {
namespace {

/// The largest disc inside the shape that touches its edge at `p` from the side of `inward` (shrinking ball: Ma, Bae,
/// Choi 2012). Gives its diameter when it spans a wall: touched from two sides that face each other, as they do where a
/// wall is narrowest. The sides of a corner do not, unless it is as slender as a wall that tapers.
double wall_at(const plane::EdgeIndex& index, plane::Vec p, plane::Vec inward, double largest) {
    constexpr double kFacing = -0.95; // cosine of 162°: sides that taper by 18° at most
    double radius = largest / 2;
    for (int step = 0; step < 40; ++step) {
        const plane::Vec centre = p + inward * radius;
        const auto near = index.nearest(centre, radius);
        if (!near || near->distance >= radius - 1e-6) break;
        const plane::Vec chord = near->at - p;
        const double along = plane::dot(chord, inward);
        if (along <= 1e-9) return largest;
        const double next = plane::dot(chord, chord) / (2 * along);
        const bool settled = next > radius - 1e-6;
        radius = std::min(radius, next);
        if (!settled) continue;
        break;
    }
    const plane::Vec centre = p + inward * radius;
    const auto near = index.nearest(centre, radius * (1 - 1e-4) + 1e-6);
    const auto touch = near ? near : index.nearest(centre);
    if (!touch || plane::distance(touch->at, p) < 1e-6) return largest;
    const plane::Vec to_touch = (touch->at - centre) * (1 / std::max(1e-9, plane::distance(touch->at, centre)));
    return plane::dot(to_touch, inward * -1.0) < kFacing ? 2 * radius : largest;
}

double narrowest_wall(const plane::Shape& shape) {
    const plane::EdgeIndex index(shape);
    const plane::Box box = plane::bounds(shape);
    double narrowest = std::min({box.width(), box.height(), kWidestWall});
    for (const plane::Ring& ring : index.rings()) {
        for (std::size_t s = 0; s < ring.size(); ++s) {
            const plane::Vec a = to_mm(ring[s]);
            const plane::Vec b = to_mm(ring[(s + 1) % ring.size()]);
            const double length = plane::distance(a, b);
            if (length < 1e-6) continue;
            const plane::Vec inward{-(b - a).y / length, (b - a).x / length};
            const int parts = std::max(1, static_cast<int>(std::ceil(length / 0.25)));
            for (int k = 0; k < parts; ++k)
                narrowest = std::min(narrowest, wall_at(index, a + (b - a) * ((k + 0.5) / parts), inward, narrowest));
        }
    }
    return narrowest;
}

/// How deep the drawn border lies inside the closed shape, at most.
double deepest(const plane::Shape& drawn, const plane::Shape& filled) {
    const plane::EdgeIndex index(filled);
    double depth = 0;
    for (const plane::Ring& ring : plane::rings_of(drawn))
        for (const plane::Vec p : plane::sampled(ring, 0.1))
            depth = std::max(depth, -signed_distance(index, p));
    return depth;
}

} // namespace

DetailCost detail_cost(const RegionToFit& region, const FitRules& rules) {
    DetailCost cost;
    cost.radius = region.cutter_radius;
    cost.narrowest = 1e300;
    const double easing = std::max(0.0, region.cutter_radius - rules.clearance / 2);
    for (const plane::Polygon& part : region.shape) {
        const plane::Shape filled = fills({part}, easing);
        const plane::Shape eased = filled.empty() ? plane::Shape{part} : plane::unite({part}, nudged(filled, 1e-4));
        cost.area_lost += plane::area(filled);
        cost.moved_max = std::max(cost.moved_max, deepest({part}, eased));
        for (const plane::Polygon& fill : filled)
            if (deepest({fill}, eased) > rules.detail) ++cost.peninsulas;
        const plane::Shape piece = plane::offset(eased, -rules.clearance / 2, {kArcTolerance});
        cost.narrowest = std::min(cost.narrowest, piece.empty() ? 0.0 : narrowest_wall({plane::largest(piece)}));
    }
    cost.within = cost.moved_max <= rules.detail;
    return cost;
}

} // namespace kerfwright::fit
