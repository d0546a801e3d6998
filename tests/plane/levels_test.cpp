#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/boolean.hpp"
#include "plane/levels.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

namespace kerfwright::plane {
namespace {

constexpr double kPi = std::numbers::pi;

Shape square(double size) {
    return {{rectangle({0, 0}, {size, size}), {}}};
}

Voronoi diagram_of(const Shape& shape) {
    VoronoiResult made = voronoi_of(shape);
    EXPECT_EQ(made.trouble, "");
    return made.diagram ? *std::move(made.diagram) : Voronoi{};
}

/// Largest difference from the true distance, at vertices and along edges.
double deviation(const OffsetLevel& level, const Shape& shape) {
    const EdgeIndex edges(shape);
    double worst = 0;
    for (const Path& path : level.paths) {
        const auto points = flattened(path, 1e-5);
        for (std::size_t i = 0; i < points.size(); ++i) {
            const Vec next = points[(i + 1) % points.size()];
            for (const Vec p : {points[i], (points[i] + next) * 0.5})
                worst = std::max(worst, std::abs(edges.nearest(p)->distance - std::abs(level.distance)));
        }
    }
    return worst;
}

TEST(Levels, SquareInAndOut) {
    const Voronoi diagram = diagram_of(square(10));
    EXPECT_NEAR(widest(diagram).width, 10, 1e-6);
    const OffsetLevel in = level_of(diagram, -3);
    ASSERT_EQ(in.paths.size(), 1u);
    EXPECT_EQ(in.paths[0].vertices.size(), 4u);
    EXPECT_NEAR(area(to_shape(in)), 16, 1e-6);
    EXPECT_TRUE(level_of(diagram, -5.001).paths.empty());
    const OffsetLevel out = level_of(diagram, 3);
    ASSERT_EQ(out.paths.size(), 1u);
    EXPECT_EQ(out.paths[0].vertices.size(), 8u); // four lines, four arcs
    EXPECT_NEAR(length(out.paths[0]), 40 + 2 * kPi * 3, 1e-9);
    EXPECT_NEAR(area(to_shape(out)), 100 + 4 * 30 + kPi * 9, 0.02);
}

TEST(Levels, InnerCornerOfAnLIsATrueArc) {
    const Shape ell = subtract(square(20), {{rectangle({8, 8}, {30, 30}), {}}});
    const OffsetLevel in = level_of(diagram_of(ell), -2);
    ASSERT_EQ(in.paths.size(), 1u);
    std::size_t arcs = 0;
    for (const PathVertex& v : in.paths[0].vertices)
        if (v.bulge != 0) {
            ++arcs;
            EXPECT_NEAR(v.bulge, -std::tan(kPi / 8), 1e-9); // a quarter turn around the corner, to the right
        }
    EXPECT_EQ(arcs, 1u);
    EXPECT_LE(deviation(in, ell), 1e-5); // the grid
}

TEST(Levels, AnnulusHasTwoLoopsUntilTheyMeet) {
    const Shape ring{{rectangle({0, 0}, {30, 30}), {reversed(rectangle({10, 10}, {20, 20}))}}};
    const Voronoi diagram = diagram_of(ring);
    EXPECT_EQ(level_of(diagram, -4.9).paths.size(), 2u);
    EXPECT_EQ(level_of(diagram, 4.9).paths.size(), 2u);
    EXPECT_EQ(level_of(diagram, 5.1).paths.size(), 1u);
}

TEST(Levels, ReachIsTheOpening) {
    EXPECT_NEAR(area(reach(square(10), 2).area), 100 - (4 - kPi) * 4, 0.02);
}

TEST(Levels, CleaningTakesWhatTheDiagramCannot) {
    // Duplicate and collinear points, a spike, a crossing, a pinch, a needle one grid unit wide.
    const std::vector<Ring> rings = {
        {{0, 0}, {0, 0}, {500'000, 0}, {1'000'000, 0}, {1'000'000, 1'000'000}, {0, 1'000'000}},
        {{0, 0}, {1'000'000, 0}, {2'000'000, 0}, {1'000'000, 0}, {1'000'000, 1'000'000}, {0, 1'000'000}},
        {{0, 0}, {1'000'000, 1'000'001}, {1'000'000, 0}, {0, 1'000'000}},
        {{0, 0}, {500'000, 500'000}, {1'000'000, 0}, {1'000'000, 1'000'000}, {500'000, 500'000}, {0, 1'000'000}},
        {{0, 0}, {3'000'000, 1}, {0, 2}},
        {{0, 0}, {1, 0}, {0, 1}},
        {{0, 0}, {1, 1}},
        {{5, 5}},
        {}};
    for (const Ring& ring : rings) {
        const Shape shape{{ring, {}}};
        const OffsetLevels levels = offset_levels(shape, {-0.5, -0.01, 0.01, 0.5});
        ASSERT_EQ(levels.levels.size(), 4u);
        for (const OffsetLevel& level : levels.levels)
            for (const Path& path : level.paths)
                EXPECT_GE(path.vertices.size(), 2u);
    }
}

TEST(Levels, HolesMayTouchTheOutline) {
    // In a vertex, and in the middle of an edge.
    const Shape vertex{{{{0, 0}, {1'000'000, 0}, {1'000'000, 1'000'000}, {0, 1'000'000}},
                        {{{0, 0}, {300'000, 600'000}, {600'000, 300'000}}}}};
    const Shape middle{{{{0, 0}, {1'000'000, 0}, {1'000'000, 1'000'000}, {0, 1'000'000}},
                        {{{500'000, 0}, {300'000, 600'000}, {600'000, 300'000}}}}};
    for (const Shape& shape : {vertex, middle}) {
        const auto levels = offset_levels(shape, {-0.3, -0.8});
        for (const OffsetLevel& level : levels.levels)
            EXPECT_NEAR(area(to_shape(level)), area(offset(shape, level.distance)), 0.02);
    }
}

RC_GTEST_PROP(Levels, AreTrueAndAgreeWithTheLibrary, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    const VoronoiResult made = voronoi_of(shape);
    if (!made.diagram) return;
    double before = 1e300;
    for (const double by : {4.0, 1.5, 0.02, -0.02, -0.7, -2.0, -5.0}) {
        const OffsetLevel level = level_of(*made.diagram, by);
        RC_ASSERT(deviation(level, shape) <= 0.001);
        RC_ASSERT(fault_of(level, shape).empty());
        const Shape ours = to_shape(level);
        const double slack = 0.0015 * (perimeter(shape) + perimeter(ours) + 10);
        RC_ASSERT(std::abs(area(ours) - area(offset(shape, by))) <= slack);
        RC_ASSERT(area(ours) <= before + slack); // levels nest
        before = area(ours);
    }
}

RC_GTEST_PROP(Levels, TheAxisIsAsFarFromTheEdgeAsItSays, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    const VoronoiResult made = voronoi_of(shape);
    if (!made.diagram) return;
    const EdgeIndex edges(made.diagram->shape);
    for (const MedialEdge& edge : made.diagram->axis) {
        RC_ASSERT(std::abs(edges.nearest(edge.a)->distance - edge.radius_a) <= 1e-6 * (1 + edge.radius_a));
        RC_ASSERT(std::abs(edges.nearest(edge.b)->distance - edge.radius_b) <= 1e-6 * (1 + edge.radius_b));
    }
}

RC_GTEST_PROP(Levels, DegenerateRingsNeverBreakIt, (std::uint64_t seed)) {
    Random random(seed);
    const std::int64_t steps[] = {1, 3, 1'000, 100'000};
    const std::int64_t step = steps[random.below(4)];
    Shape shape;
    Ring ring;
    for (std::uint64_t k = 3 + random.below(12); k > 0; --k)
        ring.push_back(
            {static_cast<std::int64_t>(random.below(8)) * step, static_cast<std::int64_t>(random.below(8)) * step});
    for (const Shape& input : {Shape{{ring, {}}}, normal({ring})}) {
        const auto levels = offset_levels(input, {-3e-4 * static_cast<double>(step), 0.5});
        RC_ASSERT(levels.levels.size() == 2);
    }
}

} // namespace
} // namespace kerfwright::plane
