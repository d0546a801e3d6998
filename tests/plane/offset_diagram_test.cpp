#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"
#include "plane/offset_diagram.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

namespace kerfwright::plane {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kFine = 0.0002; // mm, chords

double length_of(const OffsetLevel& level) {
    double total = 0;
    for (const Path& loop : level.loops)
        total += length(loop);
    return total;
}

TEST(OffsetDiagram, LevelsOfASquare) {
    const OffsetDiagram diagram({{rectangle({0, 0}, {10, 10}), {}}});
    ASSERT_EQ(diagram.fault(), "");
    for (const double depth : {0.001, 1.0, 3.0, 4.999}) {
        const OffsetLevel level = diagram.level(depth);
        EXPECT_EQ(level.note, "");
        ASSERT_EQ(level.loops.size(), 1u);
        EXPECT_NEAR(length_of(level), 4 * (10 - 2 * depth), 1e-9);
        EXPECT_NEAR(area(to_shape(level, kFine)), std::pow(10 - 2 * depth, 2), 1e-3);
    }
    EXPECT_TRUE(diagram.level(5.001).loops.empty());
    EXPECT_EQ(diagram.level(5.001).note, "");
}

TEST(OffsetDiagram, ArcsStayArcs) {
    // Around the hole: four sides of 10 and four quarter circles.
    const OffsetDiagram diagram({{rectangle({0, 0}, {30, 30}), {reversed(rectangle({10, 10}, {20, 20}))}}});
    const OffsetLevel level = diagram.level(2);
    EXPECT_EQ(level.note, "");
    ASSERT_EQ(level.loops.size(), 2u);
    EXPECT_NEAR(length_of(level), 4 * 26 + 40 + 2 * kPi * 2, 1e-9);
    EXPECT_EQ(level.loops[0].vertices.size() + level.loops[1].vertices.size(), 12u);
    EXPECT_NEAR(area(to_shape(level, kFine)), 26 * 26 - (100 + 4 * 20 + kPi * 4), 0.01);
    // Deeper than the ring is wide, except in its corners: one loop in each.
    EXPECT_EQ(diagram.level(5.3).loops.size(), 4u);
}

TEST(OffsetDiagram, NothingHasNoLevels) {
    EXPECT_TRUE(OffsetDiagram(Shape{}).level(1).loops.empty());
    EXPECT_TRUE(OffsetDiagram(Shape{Polygon{}}).level(1).loops.empty());
    EXPECT_EQ(OffsetDiagram(Shape{Polygon{}}).level(1).note, "");
}

TEST(OffsetDiagram, NecksPart) {
    Shape dumbbell{{rectangle({0, 0}, {10, 10}), {}}};
    dumbbell = unite({dumbbell, {{rectangle({20, 0}, {30, 10}), {}}}, {{rectangle({5, 4}, {25, 6}), {}}}});
    const OffsetDiagram diagram(dumbbell);
    EXPECT_EQ(diagram.level(0.9).loops.size(), 1u);
    EXPECT_EQ(diagram.level(1.1).loops.size(), 2u);
    EXPECT_EQ(diagram.level(1.1).note, "");
}

// Input that a diagram does not take as it is. Every answer must be the plain library's within its tolerance.
struct Hard {
    const char* name;
    Shape shape;
    bool diagram; ///< is one made?
};

std::vector<Hard> hard_shapes() {
    const auto ring = [](std::initializer_list<Vec> points) {
        Ring out;
        for (const Vec p : points)
            out.push_back(to_grid(p));
        return out;
    };
    const Ring notched = ring({{0, 0}, {10, 0}, {10, 10}, {5.00001, 10}, {5.00001, 9}, {5, 9}, {5, 10}, {0, 10}});
    return {
        {"repeated", {{ring({{0, 0}, {0, 0}, {10, 0}, {10, 10}, {10, 10}, {0, 10}}), {}}}, true},
        {"collinear", {{ring({{0, 0}, {3, 0}, {4, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 5}}), {}}}, true},
        {"spike", {{ring({{0, 0}, {10, 0}, {15, 0}, {10, 0}, {10, 10}, {0, 10}}), {}}}, true},
        {"needle", {{ring({{0, 0}, {30, 0}, {30, 0.00001}}), {}}}, true},
        {"notch one unit wide", {{notched, {}}}, true},
        {"step of one unit", {{ring({{0, 0}, {5, 0}, {5, 0.00001}, {10, 0.00001}, {10, 10}, {0, 10}}), {}}}, true},
        {"hole touches corner", {{rectangle({0, 0}, {20, 20}), {ring({{0, 0}, {5, 8}, {8, 5}})}}}, true},
        {"holes touch in a corner",
         {{rectangle({0, 0}, {20, 20}),
           {reversed(rectangle({5, 5}, {10, 10})), reversed(rectangle({10, 10}, {15, 15}))}}},
         true},
        {"hole touches side", {{rectangle({0, 0}, {20, 20}), {ring({{0, 10}, {5, 13}, {5, 7}})}}}, false},
        {"crossing", {{ring({{0, 0}, {10, 10}, {10, 0}, {0, 10}}), {}}}, false},
        {"two polygons touch", {{rectangle({0, 0}, {10, 10}), {}}, {rectangle({10, 10}, {20, 20}), {}}}, true},
        {"twice the same", {{rectangle({0, 0}, {10, 10}), {}}, {rectangle({0, 0}, {10, 10}), {}}}, false},
        {"two points", {{ring({{0, 0}, {10, 10}}), {}}}, true},
        {"far off",
         {{rectangle({20'990, 20'990}, {21'000, 21'000}), {}}, {rectangle({-21'000, -21'000}, {-20'990, -20'990}), {}}},
         true},
    };
}

TEST(OffsetDiagram, HardInputIsAnsweredAsThePlainLibraryDoes) {
    for (const Hard& hard : hard_shapes()) {
        SCOPED_TRACE(hard.name);
        const OffsetDiagram diagram(hard.shape);
        EXPECT_EQ(diagram.fault().empty(), hard.diagram);
        for (const double depth : {0.00002, 0.5, 2.0, 4.0}) {
            const OffsetLevel level = diagram.level(depth);
            EXPECT_EQ(level.note.empty(), hard.diagram) << depth << " " << level.note;
            const Shape plain = offset(hard.shape, -depth);
            EXPECT_NEAR(area(to_shape(level, kFine)), area(plain), 0.002 * (1 + perimeter(hard.shape)));
        }
    }
}

// The distance of every level, by the edges alone; area and length beside two libraries.
RC_GTEST_PROP(OffsetDiagram, LevelsAreExactAndComplete, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    const OffsetDiagram diagram(shape);
    const EdgeIndex edges(shape);
    RC_PRE(diagram.fault().empty());
    const oracle::Geos geos;
    for (double depth = random.uniform(0.01, 1); depth < 12; depth += 4) {
        const OffsetLevel level = diagram.level(depth);
        RC_ASSERT(level.note.empty());
        double furthest = 0;
        for (const Path& loop : level.loops)
            for (const Vec p : flattened(loop, 0.001)) // points of the arcs themselves
                furthest = std::max(furthest, std::abs(edges.nearest(p)->distance - depth));
        RC_ASSERT(furthest < 1e-5);
        const Shape mine = to_shape(level, kFine);
        const double room = 0.0015 * (1 + perimeter(mine));
        RC_ASSERT(std::abs(area(mine) - area(offset(shape, -depth))) < room);
        RC_ASSERT(std::abs(area(mine) - geos.area(geos.buffer(geos.shape(shape), -depth, 32))) <
                  room + 0.01 * depth * perimeter(mine));
    }
}

/// Rings on a few grid units: everything touches, repeats, crosses or is one unit wide.
RC_GTEST_PROP(OffsetDiagram, AnythingOnAFewUnitsIsAnswered, (std::uint64_t seed)) {
    Random random(seed);
    Shape shape;
    const int parts = 1 + static_cast<int>(random.below(3));
    for (int i = 0; i < parts; ++i) {
        Ring ring;
        const int corners = static_cast<int>(random.below(9));
        for (int k = 0; k < corners; ++k)
            ring.push_back({static_cast<std::int64_t>(random.below(8)), static_cast<std::int64_t>(random.below(8))});
        shape.push_back({ring, {}});
    }
    if (random.below(2) == 0) { // as a normal shape
        std::vector<Ring> rings;
        for (const Polygon& polygon : shape)
            if (polygon.outer.size() > 2) rings.push_back(polygon.outer);
        shape = normal(rings);
    }
    const OffsetDiagram diagram(shape);
    for (const double depth : {1.0, 1.3, 2.0, 3.1})
        for (const Path& loop : diagram.level(depth * kGrid).loops)
            for (const PathVertex& vertex : loop.vertices)
                RC_ASSERT(std::isfinite(vertex.at.x) && std::isfinite(vertex.at.y) && std::isfinite(vertex.bulge));
}

} // namespace
} // namespace kerfwright::plane
