#include "partitions.hpp"

#include "fit/fit.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace kerfwright::fit {
namespace {

/// A 30 x 20 block with a slot of the given width and depth cut into its top.
RegionToFit slotted(double width, double depth, double radius) {
    const plane::Shape block{{plane::rectangle({0, 0}, {30, 20}), {}}};
    const plane::Shape slot{{plane::rectangle({15 - width / 2, 20 - depth}, {15 + width / 2, 25}), {}}};
    return {"slotted", plane::subtract(block, slot), radius};
}

// An isolated reflex corner of 90 degrees moves by rho (sqrt 2 - 1) and loses rho^2 (1 - pi / 4); a wide slot has two.
TEST(DetailCost, WideSlotRoundsItsTwoCorners) {
    FitRules rules;
    const double rho = 1.5 - 0.15;
    const DetailCost cost = detail_cost(slotted(8, 6, 1.5), rules);
    EXPECT_NEAR(cost.moved_max, rho * (std::numbers::sqrt2 - 1), 0.004);
    EXPECT_NEAR(cost.area_lost, 2 * rho * rho * (1 - std::numbers::pi / 4), 0.01);
    EXPECT_FALSE(cost.within); // 0.56 mm, more than 0.5
    EXPECT_TRUE(detail_cost(slotted(8, 6, 1.3), rules).within);
}

TEST(DetailCost, NarrowSlotIsFilledNearlyWhole) {
    FitRules rules;
    const DetailCost cost = detail_cost(slotted(2, 6, 1.5), rules);
    // Filled from rho - sqrt(rho^2 - w^2 / 4) above... of its mouth: the bottom is that deep inside.
    const double rho = 1.35;
    EXPECT_GT(cost.area_lost, 2 * (6 - (rho - std::sqrt(rho * rho - 1))) - 0.05);
    EXPECT_GT(cost.moved_max, 4);
    EXPECT_EQ(cost.peninsulas, 1);
    EXPECT_FALSE(cost.within);
}

TEST(DetailCost, NarrowestWallIsMeasuredAcross) {
    FitRules rules;
    // Below the slot 20 - 16 = 4 mm are left, less half the clearance on both sides.
    const DetailCost cost = detail_cost(slotted(8, 16, 1.0), rules);
    EXPECT_NEAR(cost.narrowest, 4 - 0.30, 0.02);
    // A rectangle has no corner that counts as a wall.
    const DetailCost plain = detail_cost({"plain", {{plane::rectangle({0, 0}, {30, 20}), {}}}, 1.5}, rules);
    EXPECT_NEAR(plain.narrowest, 20 - 0.30, 0.02);
    EXPECT_EQ(plain.moved_max, 0);
    EXPECT_TRUE(plain.within);
    // Nor has a tip of 40 degrees; a neck is measured however its sides are bent beside it.
    const plane::Shape tip{{{{0, 0}, {3'000'000, 0}, {0, 2'517'000}}, {}}};
    EXPECT_EQ(detail_cost({"tip", tip, 1.5}, rules).narrowest, kWidestWall);
    plane::Ring waist;
    for (int side : {-1, 1})
        for (int i = 0; i <= 200; ++i) {
            const double x = side * (i - 100) * -0.1; // along, forth below and back above
            waist.push_back(plane::to_grid({x, side * (1.5 + 0.1 * x * x)}));
        }
    EXPECT_NEAR(detail_cost({"waist", {{waist, {}}}, 1.0}, rules).narrowest, 3 - 0.30, 0.02);
}

} // namespace
} // namespace kerfwright::fit
