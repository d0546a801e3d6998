#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/shape.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace kerfwright::plane {
namespace {

Polygon square_with_hole() {
    return {rectangle({0, 0}, {10, 10}), {reversed(rectangle({2, 2}, {4, 5}))}};
}

TEST(Shape, AreasPerimetersAndCentroids) {
    const Polygon polygon = square_with_hole();
    EXPECT_DOUBLE_EQ(signed_area(polygon.outer), 100);
    EXPECT_DOUBLE_EQ(signed_area(polygon.holes[0]), -6);
    EXPECT_DOUBLE_EQ(area(polygon), 94);
    EXPECT_DOUBLE_EQ(perimeter(polygon), 50);
    const Vec c = centroid(polygon);
    EXPECT_NEAR(c.x, (500 - 18) / 94.0, 1e-9);
    EXPECT_NEAR(c.y, (500 - 21) / 94.0, 1e-9);
    EXPECT_EQ(signed_area({}), 0);
    EXPECT_EQ(signed_area({{1, 1}, {2, 2}}), 0);
    EXPECT_TRUE(bounds(Ring{}).empty());
    EXPECT_DOUBLE_EQ(bounds(polygon).width(), 10);
}

TEST(Shape, FarFromTheOriginAreasStayExact) {
    // A square millimetre at the end of the range: products of absolute coordinates would lose it.
    const Ring ring = rectangle({20'000, -20'000}, {20'001, -19'999});
    EXPECT_NEAR(signed_area(ring), 1, 1e-9);
}

TEST(Shape, SideOfIsExactOnTheGrid) {
    const Ring ring = rectangle({0, 0}, {10, 10});
    const Point corner = to_grid({10, 10});
    EXPECT_EQ(side_of(ring, corner), Side::edge);
    EXPECT_EQ(side_of(ring, Point{corner.x - 1, corner.y}), Side::edge);
    EXPECT_EQ(side_of(ring, Point{corner.x - 1, corner.y - 1}), Side::inside);
    EXPECT_EQ(side_of(ring, Point{corner.x + 1, corner.y - 1}), Side::outside);
    const Ring slanted{{0, 0}, {3'000'000, 1}, {0, 2}};
    EXPECT_EQ(side_of(slanted, Point{1'500'000, 1}), Side::inside);
    EXPECT_EQ(side_of(slanted, Point{2'999'999, 1}), Side::inside);
    EXPECT_EQ(side_of(slanted, Point{1, 0}), Side::outside);
    const Polygon polygon = square_with_hole();
    EXPECT_EQ(side_of(polygon, to_grid({3, 3})), Side::outside);
    EXPECT_EQ(side_of(polygon, to_grid({2, 3})), Side::edge);
    EXPECT_TRUE(contains({polygon}, to_grid({2, 3})));
    EXPECT_FALSE(contains({polygon}, to_grid({3, 3})));
}

TEST(Shape, QuarterTurnsAreExact) {
    const Ring ring{{1, 2}, {300'000, -7}, {12'345'678, 9'876'543}};
    Ring turned = ring;
    for (int i = 0; i < 4; ++i)
        turned = placed(turned, {0, 0, 90});
    EXPECT_EQ(turned, ring);
    EXPECT_EQ(placed(ring, {0, 0, -90}), placed(ring, {0, 0, 270}));
    EXPECT_EQ(placed(Vec{1, 0}, {5, 6, 90}), (Vec{5, 7}));
    EXPECT_EQ(placed(Vec{1, 2}, {0, 0, 180}), (Vec{-1, -2}));
    EXPECT_NEAR(placed(Vec{1, 0}, {0, 0, 30}).y, 0.5, 1e-12);
}

RC_GTEST_PROP(Shape, InnerPointIsInside, (std::uint64_t seed)) {
    Random random(seed);
    const Polygon polygon = oracle::pierced(random, {3, 4}, random.uniform(1, 100));
    RC_ASSERT(side_of(polygon, to_grid(inner_point(polygon))) == Side::inside);
}

RC_GTEST_PROP(Shape, PlacingKeepsAreaAndSide, (std::uint64_t seed)) {
    Random random(seed);
    const Polygon polygon = oracle::pierced(random, {0, 0}, 50);
    const Placement placement{random.uniform(-500, 500), random.uniform(-500, 500), random.uniform(-360, 360)};
    const Polygon there = placed(polygon, placement);
    RC_ASSERT(std::abs(area(there) - area(polygon)) <= perimeter(polygon) * kGrid);
    const Vec inside = inner_point(polygon);
    RC_ASSERT(side_of(there, to_grid(placed(inside, placement))) == Side::inside);
}

#ifdef KERFWRIGHT_HAS_GEOS
bool holds(const oracle::Geos::Geometry& polygon, Point p) {
    const Vec v = to_mm(p);
    const oracle::Geos::Geometry point(GEOSGeom_createPointFromXY(v.x, v.y), GEOSGeom_destroy);
    return GEOSContains(polygon.get(), point.get()) == 1;
}

RC_GTEST_PROP(Shape, SidesAgreeWithGeos, (std::uint64_t seed)) {
    Random random(seed);
    const oracle::Geos geos;
    const Polygon polygon = oracle::pierced(random, {0, 0}, 20);
    const auto theirs = geos.polygon(polygon);
    if (!geos.valid(theirs)) return; // now and then the hole reaches out of a thin star
    RC_ASSERT(std::abs(geos.area(theirs) - area(polygon)) < 1e-9 * area(polygon));
    for (int i = 0; i < 50; ++i) {
        const Point p = to_grid({random.uniform(-20, 20), random.uniform(-20, 20)});
        const bool inside = holds(theirs, p);
        const Side side = side_of(polygon, p);
        if (side != Side::edge) RC_ASSERT(inside == (side == Side::inside));
    }
}
#endif

} // namespace
} // namespace kerfwright::plane
