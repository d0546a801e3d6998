#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/boolean.hpp"
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

TEST(Offset, SquareOutAndIn) {
    // Out: four strips and four quarter discs. In: a smaller square.
    EXPECT_NEAR(area(offset(square(10), 3)), 100 + 4 * 30 + kPi * 9, 0.02);
    EXPECT_NEAR(area(offset(square(10), -3)), 16, 1e-6);
    EXPECT_TRUE(offset(square(10), -5.001).empty());
    EXPECT_EQ(offset(square(10), 0), square(10));
    EXPECT_TRUE(offset({}, 1).empty());
    EXPECT_NEAR(area(offset(square(10), 1, {0.001, OffsetOptions::Join::mitre})), 144, 1e-6);
}

TEST(Offset, HolesShrinkWhenTheShapeGrows) {
    const Shape shape{{rectangle({0, 0}, {20, 20}), {reversed(rectangle({5, 5}, {15, 15}))}}};
    EXPECT_NEAR(area(offset(shape, 2)), 400 + 4 * 40 + kPi * 4 - 36, 0.02);
    EXPECT_EQ(offset(shape, 5.001)[0].holes.size(), 0u);
    EXPECT_NEAR(area(offset(shape, -2)), 16 * 16 - (100 + 4 * 20 + kPi * 4), 0.02);
}

TEST(Offset, OpeningRoundsCornersClosingFillsNotches) {
    EXPECT_NEAR(area(opening(square(10), 2)), 100 - (4 - kPi) * 4, 0.02);
    EXPECT_NEAR(area(closing(square(10), 2)), 100, 0.01);
    // A slot of 3 mm is filled by a disc of radius 2, and stays for one of radius 1.
    const Shape slotted = subtract(square(20), {{rectangle({8, 5}, {11, 30}), {}}});
    EXPECT_NEAR(area(closing(slotted, 1)), area(slotted) + (4 - kPi) / 2, 0.02); // the two inner corners are rounded
    EXPECT_GT(area(closing(slotted, 2)), area(slotted) + 40);
}

/// Every point of the result's edge lies `distance` from the edge of what was offset, within the arc tolerance.
void check_distance(const Shape& shape, double by, double tolerance) {
    const Shape result = offset(shape, by, {tolerance, OffsetOptions::Join::round});
    if (result.empty()) return;
    const EdgeIndex edges(shape);
    for (const Ring& ring : rings_of(result))
        for (const Vec p : sampled(ring, 0.7)) {
            const double d = edges.nearest(p)->distance;
            RC_ASSERT(d <= std::abs(by) + 4 * kGrid);
            RC_ASSERT(d >= std::abs(by) - tolerance - 4 * kGrid);
        }
}

RC_GTEST_PROP(Offset, KeepsItsDistance, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    check_distance(shape, random.uniform(-6, 6), std::exp(random.uniform(std::log(0.0005), std::log(0.02))));
}

// Results of offsets hold loops and spikes of a few grid units; offsets of those must still keep their distance.
RC_GTEST_PROP(Offset, KeepsItsDistanceAfterOthers, (std::uint64_t seed)) {
    Random random(seed);
    const double r = random.uniform(0.2, 5);
    const Shape opened = opening(oracle::heap(random, 15), r);
    const Shape inner = offset(opened, -(r - 0.005));
    check_distance(opened, -(r - 0.005), 0.001);
    check_distance(inner, r - 0.005, 0.001);
}

RC_GTEST_PROP(Offset, OpeningLiesWithinClosingAround, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    const double r = random.uniform(0.2, 5);
    const double slack = perimeter(shape) * 0.003;
    RC_ASSERT(area(subtract(opening(shape, r), shape)) <= slack);
    RC_ASSERT(area(subtract(shape, closing(shape, r))) <= slack);
}

#ifdef KERFWRIGHT_HAS_GEOS
RC_GTEST_PROP(Offset, AgreesWithGeos, (std::uint64_t seed)) {
    Random random(seed);
    const oracle::Geos geos;
    const Polygon polygon = oracle::pierced(random, {0, 0}, 30);
    const double by = random.uniform(-3, 6);
    const Shape ours = offset({polygon}, by);
    const double theirs = geos.area(geos.buffer(geos.polygon(polygon), by, 256));
    RC_ASSERT(std::abs(area(ours) - theirs) <= 0.0015 * (perimeter(polygon) + 40) + 1e-6 * theirs);
}
#endif

} // namespace
} // namespace kerfwright::plane
