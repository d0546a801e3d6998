#include "fit/thickness.hpp"

#include "plane/boolean.hpp"

#include <algorithm>
#include <numbers>

namespace kerfwright::fit {
namespace {

constexpr double kHair = 1e-4; // mm
constexpr plane::OffsetOptions kMitre{kArcTolerance, plane::OffsetOptions::Join::mitre};

} // namespace

bool thicker_than(const plane::Polygon& polygon, double thickness) {
    const double area = plane::area(polygon);
    if (area < std::numbers::pi / 4 * thickness * thickness) return false;
    // The inradius of any shape is at least area / perimeter.
    if (2 * area > thickness * plane::perimeter(polygon)) return true;
    return !plane::offset({polygon}, -thickness / 2, kMitre).empty();
}

bool thicker_than(const plane::Shape& shape, double thickness) {
    return std::any_of(shape.begin(), shape.end(),
                       [&](const plane::Polygon& polygon) { return thicker_than(polygon, thickness); });
}

plane::Shape without_hairs(const plane::Shape& shape) {
    return plane::opening(shape, kHair, kMitre);
}

plane::Shape nudged(const plane::Shape& shape, double by) {
    return plane::offset(shape, by, kMitre);
}

plane::Shape fills(const plane::Shape& shape, double radius, double noise) {
    if (radius <= 0) return {};
    const plane::OffsetOptions options{kArcTolerance, plane::OffsetOptions::Join::round};
    plane::Shape found = plane::subtract(plane::closing(shape, radius, options), shape);
    std::erase_if(found, [&](const plane::Polygon& polygon) { return !thicker_than(polygon, noise); });
    found = without_hairs(found);
    std::erase_if(found, [&](const plane::Polygon& polygon) { return !thicker_than(polygon, noise); });
    return found;
}

} // namespace kerfwright::fit
