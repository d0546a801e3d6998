#pragma once
// Shapes and settings for the tests of toolpaths.

#include "base/random.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"
#include "toolpath/toolpath.hpp"

#include <cmath>
#include <numbers>

namespace kerfwright::samples {

using plane::Vec;

/// A circle as a ring whose chords stay within 1 µm of it.
inline plane::Ring circle(Vec centre, double radius) {
    const int sides = static_cast<int>(std::ceil(std::numbers::pi / std::acos(1 - 0.001 / radius)));
    plane::Ring ring;
    for (int i = 0; i < sides; ++i) {
        const double angle = 2 * std::numbers::pi * i / sides;
        ring.push_back(plane::to_grid(centre + Vec{std::cos(angle), std::sin(angle)} * radius));
    }
    return ring;
}

/// A smooth closed curve with bays and capes.
inline plane::Ring blob(std::uint64_t seed, Vec centre, double size, double roughness = 0.12) {
    Random random(seed);
    std::vector<std::pair<double, double>> waves;
    for (int k = 2; k <= 9; ++k)
        waves.emplace_back(random.uniform(-roughness, roughness), random.uniform(0, 6.28));
    plane::Ring ring;
    constexpr int kSides = 400;
    for (int i = 0; i < kSides; ++i) {
        const double angle = 2 * std::numbers::pi * i / kSides;
        double radius = 1;
        for (std::size_t k = 0; k < waves.size(); ++k)
            radius += waves[k].first * std::sin(static_cast<double>(k + 2) * angle + waves[k].second);
        ring.push_back(plane::to_grid(centre + Vec{std::cos(angle), std::sin(angle)} * (size * std::max(0.3, radius))));
    }
    return ring;
}

inline plane::Ring star(Vec centre, double outer, double inner, int points) {
    plane::Ring ring;
    for (int i = 0; i < 2 * points; ++i) {
        const double angle = std::numbers::pi * i / points;
        ring.push_back(plane::to_grid(centre + Vec{std::cos(angle), std::sin(angle)} * (i % 2 == 0 ? outer : inner)));
    }
    return ring;
}

/// As the fit asks for it: an outline that a cutter of this radius can follow.
inline plane::Polygon followable(const plane::Ring& ring, double radius) {
    return plane::Polygon{plane::largest(plane::closing(plane::normal({ring}), radius)).outer, {}};
}

inline cutting::FeedPlan plan(double n, double vf, double ap, double ae) {
    cutting::FeedPlan plan;
    plan.setting = {n, vf, 0.05, ap, ae, 300, 3, 1, 0};
    return plan;
}

inline toolpath::Technology technology(double diameter, double ap = 2, double allowance = 0.2) {
    toolpath::Technology technology;
    technology.cutter.name = "flat";
    technology.cutter.DC = diameter;
    technology.rough = plan(18000, 1500, ap, 0.45 * diameter);
    technology.finish = plan(18000, 1200, 20, allowance);
    technology.finish_allowance = allowance;
    return technology;
}

/// Z zero on the bed, as for setups that cut through.
inline toolpath::SheetFrame on_bed(double thickness) {
    return {thickness, 0, thickness + 5, thickness + 1};
}
/// Z zero on the sheet's top, as for pockets.
inline toolpath::SheetFrame on_top(double thickness) {
    return {0, -thickness, 5, 1};
}

} // namespace kerfwright::samples
