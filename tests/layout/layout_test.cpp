#include "layout/layout.hpp"
#include "support/geos.hpp"

#include "base/random.hpp"
#include "plane/offset.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <numbers>

namespace kerfwright::layout {
namespace {

using plane::Polygon;
using plane::Vec;

plane::Ring blob(Random& random, double radius, int points) {
    std::vector<double> phase;
    for (int k = 0; k < 6; ++k) phase.push_back(random.uniform(0, 2 * std::numbers::pi));
    const double stretch = random.uniform(0.6, 1.0);
    plane::Ring ring;
    for (int i = 0; i < points; ++i) {
        const double t = 2 * std::numbers::pi * i / points;
        double r = 1;
        for (int k = 0; k < 6; ++k) r += 0.25 / (k + 1) * std::cos((k + 2) * t + phase[static_cast<std::size_t>(k)]);
        r = std::max(0.2, r) * radius;
        ring.push_back(plane::to_grid({r * std::cos(t), stretch * r * std::sin(t)}));
    }
    return ring;
}

shop::Sheet sheet(const std::string& name, const std::string& material, Vec size) {
    shop::Sheet s;
    s.name = name;
    s.material = material;
    s.outline = {plane::rectangle({0, 0}, size), {}};
    s.thickness = 6;
    return s;
}

TEST(Speed, SixtyOnOne) {
    Random random(7);
    std::vector<Part> parts;
    for (int i = 0; i < 60; ++i) {
        Part p;
        p.id = "p" + std::to_string(i);
        p.outline = {blob(random, random.uniform(15, 40), 1000), {}};
        p.material = "walnut";
        parts.push_back(p);
    }
    const std::vector<shop::Sheet> sheets{sheet("a", "walnut", {1000, 605})};
    const auto t0 = std::chrono::steady_clock::now();
    LayoutOptions options;
    auto result = place_parts(parts, sheets, {}, options);
    const double s = std::chrono::duration<double>(std::chrono::steady_clock::now() - t0).count();
    std::printf("time %.2f s\n", s);
    ASSERT_TRUE(result.ok()) << to_string(result.problem());
    double right = 0, area = 0;
    for (const Part& p : parts) area += plane::area(p.outline);
    for (const Placed& p : result.value().placed)
        for (const Part& q : parts)
            if (q.id == p.id) right = std::max(right, plane::bounds(plane::placed(q.outline, p.placement)).high.x);
    std::printf("right %.1f area %.0f density %.3f\n", right, area, area / right / 605);
    EXPECT_TRUE(clashes(parts, sheets, result.value().placed, options).empty());
}

} // namespace
} // namespace kerfwright::layout
