#include "support/geos.hpp"
#include "support/random_shapes.hpp"

#include "plane/nearest.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace kerfwright::plane {
namespace {

TEST(Nearest, SegmentsAndTheirEnds) {
    EXPECT_DOUBLE_EQ(distance_to_segment({5, 3}, {0, 0}, {10, 0}), 3);
    EXPECT_DOUBLE_EQ(distance_to_segment({-3, 4}, {0, 0}, {10, 0}), 5);
    EXPECT_DOUBLE_EQ(distance_to_segment({3, 4}, {0, 0}, {0, 0}), 5);
    EXPECT_EQ(nearest_on_segment({5, 3}, {0, 0}, {10, 0}), (Vec{5, 0}));
}

TEST(Nearest, TiesAndLimits) {
    const EdgeIndex edges(std::vector<Ring>{rectangle({0, 0}, {10, 10}), rectangle({0, 0}, {10, 10})});
    const auto centre = edges.nearest({5, 5});
    ASSERT_TRUE(centre);
    EXPECT_DOUBLE_EQ(centre->distance, 5);
    EXPECT_EQ(centre->ring, 0u); // four sides of two rings tie
    EXPECT_EQ(centre->segment, 0u);
    EXPECT_FALSE(edges.nearest({5, 5}, 4.9));
    EXPECT_TRUE(edges.nearest({5, 5}, 5));
    EXPECT_FALSE(EdgeIndex(std::vector<Ring>{}).nearest({0, 0}));
    EXPECT_FALSE(EdgeIndex(std::vector<Ring>{{}, {}}).nearest({0, 0}));
    EXPECT_TRUE(EdgeIndex(std::vector<Ring>{{{5, 5}}}).nearest({0, 0})); // a single point
}

TEST(Nearest, SampledPointsAreNoFurtherApartThanAsked) {
    const Ring ring = rectangle({0, 0}, {10, 3});
    const auto points = sampled(ring, 0.7);
    for (std::size_t i = 0; i < points.size(); ++i)
        EXPECT_LE(distance(points[i], points[(i + 1) % points.size()]), 0.7 + 1e-12);
    EXPECT_EQ(points.size(), 2u * (15 + 5));
}

RC_GTEST_PROP(Nearest, AgreesWithLookingAtEveryEdge, (std::uint64_t seed)) {
    Random random(seed);
    const Shape shape = oracle::heap(random, 30);
    const EdgeIndex edges(shape);
    const std::vector<Ring> rings = rings_of(shape);
    for (int i = 0; i < 40; ++i) {
        const Vec p{random.uniform(-70, 70), random.uniform(-70, 70)};
        Nearest best{1e300, {}, 0, 0};
        for (std::size_t r = 0; r < rings.size(); ++r)
            for (std::size_t s = 0; s < rings[r].size(); ++s) {
                const double d = distance_to_segment(p, to_mm(rings[r][s]), to_mm(rings[r][(s + 1) % rings[r].size()]));
                if (d < best.distance) best = {d, {}, r, s};
            }
        const auto found = edges.nearest(p);
        RC_ASSERT(found.has_value());
        RC_ASSERT(found->distance == best.distance);
        RC_ASSERT(found->ring == best.ring);
        RC_ASSERT(found->segment == best.segment);
        RC_ASSERT(std::abs(distance(p, found->at) - found->distance) < 1e-12);
        const double within = random.uniform(0, 50);
        RC_ASSERT(edges.nearest(p, within).has_value() == (best.distance <= within));
    }
}

#ifdef KERFWRIGHT_HAS_GEOS
RC_GTEST_PROP(Nearest, AgreesWithGeos, (std::uint64_t seed)) {
    Random random(seed);
    const oracle::Geos geos;
    const Polygon a = oracle::pierced(random, {0, 0}, 20);
    const Polygon b = oracle::pierced(random, {70, 0}, 20);
    // Distance of two disjoint polygons: the least over the vertices of each to the edges of the other.
    double least = 1e300;
    for (const auto& [from, to] : {std::pair(a, b), std::pair(b, a)}) {
        const EdgeIndex edges(Shape{to});
        for (const Point p : from.outer)
            least = std::min(least, edges.nearest(to_mm(p))->distance);
    }
    RC_ASSERT(std::abs(least - geos.distance(geos.polygon(a), geos.polygon(b))) < 1e-9);
}
#endif

} // namespace
} // namespace kerfwright::plane
