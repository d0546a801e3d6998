// Open chains to closed outlines.

#include "sketching.hpp"

#include "drawing/joining.hpp"

#include <rapidcheck/gtest.h>

#include <numbers>

namespace kerfwright::drawing {
namespace {

OpenChain segment(std::size_t item, Vec a, Vec b, std::string_view layer = "") {
    return {Chain{a, {Line{b}}, false}, item, layer};
}

double area_of(const Chain& chain) {
    const auto points = flattened(chain, 0.001, 1'000'000);
    double twice = 0;
    for (std::size_t i = 0; i < points.size(); ++i)
        twice += cross(points[i], points[(i + 1) % points.size()]);
    return std::abs(twice / 2);
}

TEST(Joining, SidesInAnyOrderAndSense) {
    const Joining joined = join({segment(0, {0, 0}, {10, 0}), segment(1, {0, 10}, {10, 10}),
                                 segment(2, {10, 0}, {10, 10}), segment(3, {0, 0}, {0, 10})},
                                0.05);
    ASSERT_EQ(joined.closed.size(), 1U);
    EXPECT_TRUE(joined.loose.empty());
    EXPECT_DOUBLE_EQ(area_of(joined.closed[0].chain), 100);
    EXPECT_EQ(joined.closed[0].item, 0U);
}

TEST(Joining, GapsUpToSnapAndTheirSize) {
    const std::vector<OpenChain> chains{segment(0, {0, 0}, {10, 0}), segment(1, {10, 0.04}, {5, 8}),
                                        segment(2, {5, 8}, {0, 0})};
    const Joining joined = join(chains, 0.05);
    ASSERT_EQ(joined.closed.size(), 1U);
    EXPECT_NEAR(joined.closed[0].widest_gap, 0.04, 1e-12);
    const Joining open = join(chains, 0.03);
    EXPECT_TRUE(open.closed.empty());
    ASSERT_EQ(open.loose.size(), 2U);
    EXPECT_EQ(open.loose[0].meeting, 1U);
}

TEST(Joining, OneChainThatNearlyCloses) {
    Chain chain{{0, 0}, {Line{{10, 0}}, Line{{10, 10}}, Line{{0, 0.03}}}, false};
    const Joining joined = join({{chain, 7, ""}}, 0.05);
    ASSERT_EQ(joined.closed.size(), 1U);
    EXPECT_TRUE(joined.closed[0].chain.closed);
    EXPECT_EQ(joined.closed[0].item, 7U);
}

TEST(Joining, LayersStayApart) {
    const Joining joined = join(
        {segment(0, {0, 0}, {10, 0}, "a"), segment(1, {10, 0}, {5, 5}, "b"), segment(2, {5, 5}, {0, 0}, "a")}, 0.05);
    EXPECT_TRUE(joined.closed.empty());
    EXPECT_EQ(joined.loose.size(), 4U);
}

TEST(Joining, ThreeEndsAreForAPersonToDecide) {
    // Two regions that share a border which is drawn once, sides in mixed order.
    const Joining joined =
        join({segment(0, {0, 0}, {10, 0}), segment(1, {20, 10}, {10, 10}), segment(2, {10, 0}, {20, 0}),
              segment(3, {0, 10}, {0, 0}), segment(4, {10, 0}, {10, 10}), segment(5, {20, 0}, {20, 10}),
              segment(6, {10, 10}, {0, 10})},
             0.05);
    EXPECT_TRUE(joined.closed.empty());
    ASSERT_FALSE(joined.loose.empty());
    for (const LooseChain& loose : joined.loose)
        EXPECT_EQ(loose.meeting, 3U);
}

TEST(Joining, TwoLoopsThatTouchAreToldApartByTheirOrder) {
    const Joining joined =
        join({segment(0, {0, 0}, {-5, 3}), segment(1, {-5, 3}, {-5, -3}), segment(2, {-5, -3}, {0, 0}),
              segment(3, {5, 3}, {0, 0}), segment(4, {5, -3}, {5, 3}), segment(5, {0, 0}, {5, -3})},
             0.05);
    ASSERT_EQ(joined.closed.size(), 2U);
    EXPECT_TRUE(joined.loose.empty());
    EXPECT_DOUBLE_EQ(area_of(joined.closed[0].chain), 15);
    EXPECT_DOUBLE_EQ(area_of(joined.closed[1].chain), 15);
}

TEST(Joining, EndsOnOnePointComeBeforeEndsNearby) {
    // Two squares 0.02 mm apart at one corner: each closes on itself.
    std::vector<OpenChain> chains;
    const auto side = [&](Vec a, Vec b) { chains.push_back(segment(chains.size(), a, b)); };
    for (const double dx : {0.0, 10.02}) {
        side({dx, 0}, {dx + 10, 0});
        side({dx + 10, 10}, {dx, 10});
    }
    for (const double dx : {0.0, 10.02}) {
        side({dx + 10, 0}, {dx + 10, 10});
        side({dx, 10}, {dx, 0});
    }
    const Joining joined = join(chains, 0.05);
    ASSERT_EQ(joined.closed.size(), 2U);
    for (const JoinedChain& one : joined.closed)
        EXPECT_DOUBLE_EQ(area_of(one.chain), 100);
}

TEST(Joining, SpecksBetweenEndsDoNotHinder) {
    const Joining joined = join({segment(0, {0, 0}, {10, 0}), segment(1, {10, 0}, {10.01, 0.01}),
                                 segment(2, {5, 8}, {10.01, 0.01}), segment(3, {5, 8}, {0, 0})},
                                0.05);
    ASSERT_EQ(joined.closed.size(), 1U);
    EXPECT_TRUE(joined.loose.empty());
}

RC_GTEST_PROP(Joining, ShuffledLoopsComeBack, ()) {
    // Some round loops far apart, each cut into pieces with ends moved a little, in any order and sense.
    const int loops = *rc::gen::inRange(1, 6);
    std::vector<OpenChain> chains;
    for (int k = 0; k < loops; ++k) {
        const int pieces = *rc::gen::inRange(2, 9);
        for (int i = 0; i < pieces; ++i) {
            const auto at = [&](int n, double off) {
                const double t = 2 * std::numbers::pi * n / pieces;
                return Vec{100.0 * k + 30 * std::cos(t) + off, 30 * std::sin(t)};
            };
            OpenChain one{Chain{at(i, 0.001 * *rc::gen::inRange(-12, 13)), {}, false}, 0, ""};
            one.chain.pieces.push_back(bulged(one.chain.start, at(i + 1, 0.001 * *rc::gen::inRange(-12, 13)),
                                              std::tan(std::numbers::pi / 2 / pieces)));
            if (*rc::gen::arbitrary<bool>()) one.chain = reversed(one.chain);
            chains.push_back(one);
        }
    }
    for (std::size_t i = chains.size(); i > 1; --i)
        std::swap(chains[i - 1], chains[static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(i)))]);
    for (std::size_t i = 0; i < chains.size(); ++i)
        chains[i].item = i;
    const Joining joined = join(chains, 0.05);
    RC_ASSERT(joined.loose.empty());
    RC_ASSERT(joined.closed.size() == static_cast<std::size_t>(loops));
    for (const JoinedChain& one : joined.closed) {
        RC_ASSERT(std::abs(area_of(one.chain) - 900 * std::numbers::pi) < 4);
        RC_ASSERT(one.widest_gap <= 0.0241);
    }
}

TEST(Joining, ManyChainsMeetAtOnePointOrInARow) {
    std::vector<OpenChain> stars, zigzag;
    for (std::size_t i = 0; i < 50'000; ++i) {
        stars.push_back(segment(i, {0, 0}, {1.0 + static_cast<double>(i), 5}));
        zigzag.push_back(segment(i, {static_cast<double>(i), 0}, {static_cast<double>(i + 1), 0}));
    }
    EXPECT_TRUE(join(stars, 0.05).closed.empty());
    EXPECT_EQ(join(zigzag, 0.05).loose.size(), 2U);
}

} // namespace
} // namespace kerfwright::drawing
