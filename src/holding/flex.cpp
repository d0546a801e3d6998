#include "holding/flex.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::holding {
namespace {

constexpr double kPoisson = 0.3;
constexpr int kGrid = 40; ///< places tried along each side of the sheet

double plate_stiffness(double thickness, double elastic_modulus) {
    return elastic_modulus * std::pow(thickness, 3) / (12 * (1 - kPoisson * kPoisson));
}

double distance_to(const shop::Clamp& clamp, plane::Vec at) {
    const double dx = std::max({clamp.at.x - at.x, 0.0, at.x - clamp.at.x - clamp.size.x});
    const double dy = std::max({clamp.at.y - at.y, 0.0, at.y - clamp.at.y - clamp.size.y});
    return std::hypot(dx, dy);
}

struct Farthest {
    plane::Vec at;
    double distance = 0;
};

Farthest farthest_from_clamps(const shop::Sheet& sheet) {
    const plane::Box box = plane::bounds(sheet.outline);
    Farthest farthest{(box.low + box.high) * 0.5, 0};
    if (sheet.clamps.empty()) return farthest;
    for (int i = 0; i <= kGrid; ++i)
        for (int j = 0; j <= kGrid; ++j) {
            const plane::Vec at{box.low.x + box.width() * i / kGrid, box.low.y + box.height() * j / kGrid};
            if (plane::side_of(sheet.outline, plane::to_grid(at)) == plane::Side::outside) continue;
            double nearest = 1e300;
            for (const shop::Clamp& clamp : sheet.clamps)
                nearest = std::min(nearest, distance_to(clamp, at));
            if (nearest > farthest.distance) farthest = {at, nearest};
        }
    return farthest;
}

} // namespace

double clear_span(const shop::Sheet& sheet) {
    if (sheet.clamps.empty()) return 0;
    const plane::Box box = plane::bounds(sheet.outline);
    return std::min(2 * farthest_from_clamps(sheet).distance, std::min(box.width(), box.height()));
}

plane::Vec clear_place(const shop::Sheet& sheet) {
    return farthest_from_clamps(sheet).at;
}

double plate_deflection(double force, double span, double thickness, double elastic_modulus) {
    return 0.01160 * force * span * span / plate_stiffness(thickness, elastic_modulus);
}

double plate_frequency(double span, double thickness, double elastic_modulus, double density) {
    // mm, N, and tonnes: 1 kg/m³ = 1e-12 t/mm³.
    return std::numbers::pi / (span * span) *
           std::sqrt(plate_stiffness(thickness, elastic_modulus) / (density * 1e-12 * thickness));
}

} // namespace kerfwright::holding
