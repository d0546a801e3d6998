#include "shop/evidence.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

namespace kerfwright::shop {
namespace {

TEST(EffectiveDiameter, NoEvidenceLeavesTheNominal) {
    const Evidence e = effective_diameter(3, {});
    EXPECT_DOUBLE_EQ(e.value, 3);
    EXPECT_EQ(e.count, 0);
}

// Normal mean with known variance (Gelman et al. 2013, eq. 2.12): equal spreads of prior and one measurement meet in
// the middle.
TEST(EffectiveDiameter, OneMeasurementMovesItHalfWay) {
    const SizeMeasured part[] = {{24, 24.06, false}};
    EXPECT_NEAR(effective_diameter(3, part).value, 2.97, 1e-9);
    const SizeMeasured hole[] = {{24, 23.94, true}};
    EXPECT_NEAR(effective_diameter(3, hole).value, 2.97, 1e-9);
}

RC_GTEST_PROP(EffectiveDiameter, MoreEvidenceNarrowsAndStaysBetweenNominalAndMean, ()) {
    const auto excess = *rc::gen::inRange(-100, 100);
    const auto count = *rc::gen::inRange<std::size_t>(1, 40);
    const std::vector<SizeMeasured> sizes(count, SizeMeasured{24, 24 + excess * 1e-3, false});
    const Evidence fewer = effective_diameter(6, std::span(sizes).first(count - 1));
    const Evidence all = effective_diameter(6, sizes);
    RC_ASSERT(all.sd < fewer.sd);
    const double mean = 6 - excess * 1e-3;
    RC_ASSERT(all.value >= std::min(6.0, mean) - 1e-12 && all.value <= std::max(6.0, mean) + 1e-12);
    RC_ASSERT(std::abs(all.value - mean) <= std::abs(fewer.value - mean) + 1e-12);
}

TEST(FeedRange, BoundsComeFromTheNearestBadCuts) {
    using Outcome = CutTried::Outcome;
    const CutTried cuts[] = {{0.02, Outcome::melted}, {0.03, Outcome::burnt}, {0.05, Outcome::good},
                             {0.08, Outcome::good},   {0.12, Outcome::noisy}, {0.10, Outcome::rough}};
    const FeedRange range = feed_range(cuts);
    EXPECT_DOUBLE_EQ(range.floor, 0.03);
    EXPECT_DOUBLE_EQ(range.ceiling, 0.10);
    EXPECT_DOUBLE_EQ(range.good_low, 0.05);
    EXPECT_DOUBLE_EQ(range.good_high, 0.08);
    EXPECT_EQ(range.count, 6);
}

TEST(FeedRange, ABadCutIsOutvotedByTwiceAsManyGoodOnes) {
    using Outcome = CutTried::Outcome;
    std::vector<CutTried> cuts{{0.10, Outcome::noisy, 18000}, {0.10, Outcome::good, 18000}};
    EXPECT_DOUBLE_EQ(feed_range(cuts).ceiling, 0.10);
    EXPECT_DOUBLE_EQ(most_fz(feed_range(cuts)), 0.09);
    cuts.push_back({0.09, Outcome::good, 18000}); // lighter: says nothing against it
    EXPECT_DOUBLE_EQ(feed_range(cuts).ceiling, 0.10);
    cuts.push_back({0.12, Outcome::good, 18000});
    EXPECT_DOUBLE_EQ(feed_range(cuts).ceiling, 0);
    EXPECT_EQ(feed_range(cuts).too_much, 1) << "it is counted all the same";
    EXPECT_DOUBLE_EQ(most_fz(feed_range(cuts)), 0);
}

TEST(FeedRange, WhatMeltedAsksForThickerChipsAtItsSpeedAndAbove) {
    using Outcome = CutTried::Outcome;
    const CutTried cuts[] = {{0.05, Outcome::melted, 18000}, {0.02, Outcome::burnt, 12000}};
    const FeedRange range = feed_range(cuts);
    EXPECT_DOUBLE_EQ(least_fz(range, 24000), 0.055);
    EXPECT_DOUBLE_EQ(least_fz(range, 16200), 0.055);
    EXPECT_DOUBLE_EQ(least_fz(range, 16100), 0.022);
    EXPECT_DOUBLE_EQ(least_fz(range, 10700), 0);
}

// One part, by hand: x ~ N(0, 0.5) and luck ~ N(0, 0.3); lost at margin m means x + luck < -ln m.
TEST(HoldingFactor, OneLostPartByQuadrature) {
    for (const double margin : {1.0, 1.5, 3.0}) {
        double all = 0;
        std::vector<std::pair<double, double>> density;
        for (double x = -2; x <= 2; x += 1e-4) {
            const double lost = 0.5 * std::erfc((std::log(margin) + x) / 0.3 / std::sqrt(2.0));
            density.emplace_back(x, std::exp(-x * x / 0.5) * lost);
            all += density.back().second;
        }
        double below = 0;
        std::size_t i = 0;
        while (below < all / 2)
            below += density[i++].second;
        const PartHeld part[] = {{margin, false}};
        EXPECT_NEAR(holding_factor(part).factor, std::exp(-density[i].first), 0.02) << margin;
    }
}

TEST(HoldingFactor, LostPartsRaiseItAndHeldOnesLowerIt) {
    std::vector<PartHeld> parts{{1.4, true}, {1.6, true}};
    EXPECT_EQ(holding_factor(parts).factor, 1);
    parts.push_back({1.6, false});
    const HoldingFactor one = holding_factor(parts);
    EXPECT_GT(one.factor, 1.1);
    EXPECT_EQ(one.held, 2);
    EXPECT_EQ(one.lost, 1);
    parts.push_back({1.6, false});
    EXPECT_GT(holding_factor(parts).factor, one.factor);
    for (int i = 0; i < 40; ++i)
        parts.push_back({1.2, true});
    EXPECT_LT(holding_factor(parts).factor, one.factor);
    const PartHeld weak[] = {{0.4, false}}; // nobody counted on it
    EXPECT_LT(holding_factor(weak).factor, 1.1);
}

RC_GTEST_PROP(HoldingFactor, IsMonotonicInWhatWasLost, ()) {
    std::vector<PartHeld> parts;
    for (int i = *rc::gen::inRange(0, 12); i > 0; --i)
        parts.push_back({*rc::gen::inRange(5, 400) / 100.0, *rc::gen::arbitrary<bool>()});
    const double before = holding_factor(parts).factor;
    RC_ASSERT(before >= 1 && std::isfinite(before));
    parts.push_back({*rc::gen::inRange(5, 400) / 100.0, false});
    const double after = holding_factor(parts).factor;
    RC_ASSERT(after >= before);
    parts.back().held = true;
    RC_ASSERT(holding_factor(parts).factor <= before);
}

} // namespace
} // namespace kerfwright::shop
