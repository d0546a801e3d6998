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

TEST(HoldingFactor, ALostPartAsksForItsMargin) {
    const PartHeld parts[] = {{1.4, true}, {1.6, false}, {0.9, false}};
    const HoldingFactor factor = holding_factor(parts);
    EXPECT_DOUBLE_EQ(factor.factor, 1.6);
    EXPECT_EQ(factor.lost, 2);
    EXPECT_DOUBLE_EQ(holding_factor(std::span(parts).first(1)).factor, 1);
}

} // namespace
} // namespace kerfwright::shop
