#pragma once
// Random plane shapes for properties, the same for the same seed on every machine.

#include "base/random.hpp"
#include "plane/boolean.hpp"
#include "plane/shape.hpp"

#include <cmath>
#include <numbers>

namespace kerfwright::oracle {

/// A star-shaped ring, counter-clockwise, never crossing itself.
inline plane::Ring star(Random& random, plane::Vec centre, double size, int corners) {
    plane::Ring ring;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2 * std::numbers::pi * (i + random.uniform(0.1, 0.9)) / corners;
        const double r = size * random.uniform(0.3, 1);
        ring.push_back(plane::to_grid(centre + plane::Vec{r * std::cos(angle), r * std::sin(angle)}));
    }
    return ring;
}

/// A polygon with a hole or two.
inline plane::Polygon pierced(Random& random, plane::Vec centre, double size) {
    plane::Polygon polygon{star(random, centre, size, 5 + static_cast<int>(random.below(40))), {}};
    if (random.below(2) == 0)
        polygon.holes.push_back(
            plane::reversed(star(random, centre, size * 0.25, 3 + static_cast<int>(random.below(9)))));
    return polygon;
}

/// Several overlapping ones, made normal.
inline plane::Shape heap(Random& random, double size) {
    std::vector<plane::Shape> parts;
    const int count = 1 + static_cast<int>(random.below(4));
    for (int i = 0; i < count; ++i)
        parts.push_back({pierced(random, {random.uniform(-size, size), random.uniform(-size, size)},
                                 size * random.uniform(0.3, 1))});
    return plane::unite(parts);
}

} // namespace kerfwright::oracle
