#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace kerfwright::plane {
namespace {

Shape square(double x, double y, double size) {
    return {{rectangle({x, y}, {x + size, y + size}), {}}};
}

TEST(Boolean, Squares) {
    const Shape a = square(0, 0, 10);
    const Shape b = square(5, 5, 10);
    EXPECT_NEAR(area(unite(a, b)), 175, 1e-9);
    EXPECT_NEAR(area(intersect(a, b)), 25, 1e-9);
    EXPECT_NEAR(area(subtract(a, b)), 75, 1e-9);
    EXPECT_TRUE(intersect(a, square(20, 0, 1)).empty());
    EXPECT_TRUE(subtract(a, a).empty());
    EXPECT_EQ(unite(a, {}), unite({}, a));
    EXPECT_TRUE(unite({}, {}).empty());
}

TEST(Boolean, HolesTurnTheOtherWay) {
    const Shape ring = subtract(square(0, 0, 10), square(3, 3, 2));
    ASSERT_EQ(ring.size(), 1u);
    ASSERT_EQ(ring[0].holes.size(), 1u);
    EXPECT_GT(signed_area(ring[0].outer), 0);
    EXPECT_LT(signed_area(ring[0].holes[0]), 0);
    // An island in the hole is a polygon of its own.
    EXPECT_EQ(unite(ring, square(3.5, 3.5, 1)).size(), 2u);
}

TEST(Boolean, FillRulesAndTouchingSquares) {
    const std::vector<Ring> twice{rectangle({0, 0}, {10, 10}), rectangle({2, 2}, {8, 8})};
    EXPECT_NEAR(area(normal(twice)), 100, 1e-9);
    EXPECT_NEAR(area(normal(twice, FillRule::even_odd)), 64, 1e-9);
    EXPECT_NEAR(area(unite(square(0, 0, 5), square(5, 0, 5))), 50, 1e-9);
    EXPECT_EQ(unite(square(0, 0, 5), square(5, 0, 5)).size(), 1u);
    EXPECT_EQ(unite(square(0, 0, 5), square(5, 5, 5)).size(), 2u); // in a point only
}

TEST(Boolean, LargestAndSpecks) {
    const Shape shape = unite({square(0, 0, 10), square(20, 0, 3), square(30, 0, 0.1)});
    EXPECT_NEAR(area(largest(shape)), 100, 1e-9);
    EXPECT_TRUE(largest({}).outer.empty());
    EXPECT_EQ(without_specks(shape, 1).size(), 2u);
    EXPECT_TRUE(
        without_specks({{rectangle({0, 0}, {9, 9}), {reversed(rectangle({1, 1}, {1.5, 1.5}))}}}, 1)[0].holes.empty());
}

RC_GTEST_PROP(Boolean, AreasAddUp, (std::uint64_t seed)) {
    Random random(seed);
    const Shape a = oracle::heap(random, 50);
    const Shape b = oracle::heap(random, 50);
    const double slack = (perimeter(a) + perimeter(b)) * 4 * kGrid;
    const double both = area(intersect(a, b));
    RC_ASSERT(std::abs(area(unite(a, b)) - (area(a) + area(b) - both)) <= slack);
    RC_ASSERT(std::abs(area(subtract(a, b)) - (area(a) - both)) <= slack);
    RC_ASSERT(std::abs(area(normal(rings_of(a))) - area(a)) <= slack);
    for (const Polygon& polygon : unite(a, b)) {
        RC_ASSERT(signed_area(polygon.outer) > 0);
        for (const Ring& hole : polygon.holes)
            RC_ASSERT(signed_area(hole) < 0);
        for (const Ring& ring : rings_of(polygon))
            for (std::size_t i = 0; i < ring.size(); ++i)
                RC_ASSERT(ring[i] != ring[(i + 1) % ring.size()]);
    }
}

#ifdef KERFWRIGHT_HAS_GEOS
RC_GTEST_PROP(Boolean, AgreesWithGeos, (std::uint64_t seed)) {
    Random random(seed);
    const oracle::Geos geos;
    const Polygon a = oracle::pierced(random, {0, 0}, 50);
    const Polygon b = oracle::pierced(random, {random.uniform(-50, 50), random.uniform(-50, 50)}, 50);
    const auto ga = geos.polygon(a);
    const auto gb = geos.polygon(b);
    const double slack = (perimeter(a) + perimeter(b)) * 4 * kGrid;
    RC_ASSERT(std::abs(area(intersect({a}, {b})) - geos.overlap_area(ga, gb)) <= slack);
    RC_ASSERT(std::abs(area(subtract({a}, {b})) - geos.difference_area(ga, gb)) <= slack);
}
#endif

} // namespace
} // namespace kerfwright::plane
