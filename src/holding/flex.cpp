#include "holding/flex.hpp"

#include "plane/nearest.hpp"

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

double to_nearest_clamp(const shop::Sheet& sheet, plane::Vec at) {
    double nearest = 1e300;
    for (const shop::Clamp& clamp : sheet.clamps)
        nearest = std::min(nearest, distance_to(clamp, at));
    return nearest;
}

/// Calls visit(place) for a grid over the sheet, edges included.
template <class Visit>
void over_sheet(const shop::Sheet& sheet, const Visit& visit) {
    const plane::Box box = plane::bounds(sheet.outline);
    for (int i = 0; i <= kGrid; ++i)
        for (int j = 0; j <= kGrid; ++j) {
            const plane::Vec at{box.low.x + box.width() * i / kGrid, box.low.y + box.height() * j / kGrid};
            if (plane::side_of(sheet.outline, plane::to_grid(at)) != plane::Side::outside) visit(at);
        }
}

bool clear_of(const plane::EdgeIndex& outlines, const std::vector<PartToHold>& parts, plane::Vec at, double room) {
    if (const auto nearest = outlines.nearest(at); nearest && nearest->distance < room) return false;
    return std::none_of(parts.begin(), parts.end(), [&](const PartToHold& part) {
        return plane::side_of(part.outline.outer, plane::to_grid(at)) == plane::Side::inside;
    });
}

} // namespace

double clear_span(const shop::Sheet& sheet) {
    if (sheet.clamps.empty()) return 0;
    const plane::Box box = plane::bounds(sheet.outline);
    double farthest = 0;
    over_sheet(sheet, [&](plane::Vec at) { farthest = std::max(farthest, to_nearest_clamp(sheet, at)); });
    return std::min(2 * farthest, std::min(box.width(), box.height()));
}

std::optional<plane::Vec> clear_place(const shop::Sheet& sheet, const std::vector<PartToHold>& parts, double room) {
    plane::Shape outlines;
    if (room > 0)
        for (const PartToHold& part : parts)
            outlines.push_back(part.outline);
    const plane::EdgeIndex borders(outlines);
    const plane::Box box = plane::bounds(sheet.outline);
    const plane::Vec middle = (box.low + box.high) * 0.5;
    std::optional<plane::Vec> best;
    double most = -1e300;
    over_sheet(sheet, [&](plane::Vec at) {
        const double worth = sheet.clamps.empty() ? -plane::distance(at, middle) : to_nearest_clamp(sheet, at);
        if (worth <= most || (room > 0 && !clear_of(borders, parts, at, room))) return;
        most = worth;
        best = at;
    });
    return best;
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
