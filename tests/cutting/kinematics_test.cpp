// Worked examples of speeds, feeds, chips and power. "published": the answer stands in the source.

#include "cutting/kinematics.hpp"
#include "shop/machine.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

namespace kerfwright::cutting {
namespace {

constexpr double kInch = 25.4, kFoot = 304.8;
using std::numbers::pi;

double rpm(double sfm, double inches) {
    return speed_for(inches * kInch, sfm * kFoot / 1000);
}

#define EXPECT_WITHIN(actual, expected, share) EXPECT_NEAR(actual, expected, std::abs(expected) * (share))

// Published (academic page): 3/8 in, 300 SFM, 2 teeth, 0.001 in/tooth: 3056 rev/min, 6.1 in/min.
TEST(Kinematics, SmallEndMillInInches) {
    EXPECT_WITHIN(rpm(300, 0.375), 3056, 0.001);
    EXPECT_WITHIN(rpm(300, 0.375) * 2 * 0.001, 6.1, 0.003);
}

// Published (University of Arizona shop page), ±1 rev/min.
TEST(Kinematics, SpeedTable) {
    const double diameters[] = {1.0 / 16, 1.0 / 8, 1.0 / 4, 3.0 / 8, 1.0 / 2};
    const double at_300[] = {18335, 9167, 4584, 3056, 2292}, at_120[] = {7334, 3667, 1833, 1222, 917};
    for (int i = 0; i < 5; ++i) {
        EXPECT_NEAR(rpm(300, diameters[i]), at_300[i], 1);
        EXPECT_NEAR(rpm(120, diameters[i]), at_120[i], 1);
    }
}

// Peripheral milling, textbook statements after Groover; answers computed.
TEST(Kinematics, PeripheralMilling) {
    struct Row {
        double length, width, diameter, teeth, vc, fz, depth, n, vf, approach, minutes, q;
    };
    for (const Row& r : {Row{400, 50, 70, 5, 60, 0.25, 6.5, 272.84, 341.05, 20.316, 1.2324, 110840},
                         Row{650, 50, 60, 5, 55, 0.30, 9, 291.78, 437.68, 21.424, 1.5341, 196954}}) {
        const double n = speed_for(r.diameter, r.vc), vf = n * r.teeth * r.fz;
        EXPECT_WITHIN(n, r.n, 0.001);
        EXPECT_WITHIN(vf, r.vf, 0.001);
        const double approach = std::sqrt(r.depth * (r.diameter - r.depth));
        EXPECT_WITHIN(approach, r.approach, 0.001);
        EXPECT_WITHIN((r.length + approach) / vf, r.minutes, 0.001);
        EXPECT_WITHIN(removal_rate(r.depth, r.width, vf), r.q, 0.001);
    }
}

// Face mill, textbook statement after Kalpakjian; answers computed, exact.
TEST(Kinematics, FaceMillPowerAndTorque) {
    const double vf = 300 * 8 * 0.125, q = removal_rate(3, 0.75 * 150, vf), power = q / 60 * 5;
    EXPECT_DOUBLE_EQ(vf, 300);
    EXPECT_DOUBLE_EQ(q, 101250);
    EXPECT_DOUBLE_EQ(power, 8437.5);
    EXPECT_NEAR(torque_of(power, 300), 268.57, 0.01);
    EXPECT_NEAR(power_of(torque_of(power, 300), 300), power, 1e-9);
}

// Textbook statement after Kalpakjian, from memory; answers computed: slab milling of 300 × 100.
TEST(Kinematics, SlabMillPowerTorqueAndTime) {
    const double vf = 100 * 20 * 0.25, q = removal_rate(3, 100, vf), approach = std::sqrt(3.0 * (50 - 3));
    EXPECT_DOUBLE_EQ(vf, 500);
    EXPECT_DOUBLE_EQ(q, 150'000);
    EXPECT_WITHIN(q / 60 * 3, 7500, 0.002);
    EXPECT_WITHIN(torque_of(7500, 100), 716.2, 0.002);
    EXPECT_WITHIN(approach, 12.25, 0.04) << "the printed approach is √(3 · 50)";
    EXPECT_WITHIN(std::sqrt(3.0 * 50), 12.25, 0.002);
    EXPECT_WITHIN((300 + std::sqrt(3.0 * 50)) / vf * 60, 37.5, 0.002);
}

// Handbook form (Machinery's Handbook, power constant published, factors from memory); answers computed, inches.
TEST(Kinematics, HandbookPower) {
    const double q = 12 * 350 * 0.016 * 0.100, cutting = 0.62 * 0.94 * q * 1.30;
    EXPECT_WITHIN(q, 6.72, 0.001);
    EXPECT_WITHIN(cutting, 5.091, 0.001);
    EXPECT_WITHIN(cutting / 0.80, 6.364, 0.001);
}

// Synthetic: 2.2 kW at 24,000 rev/min, constant torque: 0.8754 N·m, and half of the power at half of the speed.
TEST(Kinematics, ConstantTorqueSpindle) {
    shop::Spindle spindle;
    spindle.power = 2200;
    spindle.constant_power_from = 24'000;
    EXPECT_WITHIN(torque_of(2200, 24'000), 0.8754, 1e-4);
    EXPECT_WITHIN(shop::power_at(spindle, 12'000), 1100, 1e-4);
    EXPECT_WITHIN(torque_of(shop::power_at(spindle, 12'000), 12'000), 0.8754, 1e-4);
}

// Synthetic, exact: the 3-4-5 triangle. D 10, ae 1, fz 0.05.
TEST(Kinematics, ChipThinning) {
    EXPECT_NEAR(engagement_angle(1, 10) * 180 / pi, 36.8699, 1e-4);
    EXPECT_NEAR(0.05 * chip_ratio(1, 10), 0.03, 1e-12);
    EXPECT_NEAR(0.05 * mean_chip_ratio(1, 10), 0.015540, 1e-6);
    EXPECT_NEAR(0.05 / chip_ratio(1, 10), 0.083333, 1e-6);
    const double shares[] = {0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50};
    const double thinning[] = {2.2942, 1.6667, 1.4003, 1.25, 1.1547, 1.0911, 1.0206, 1.0};
    const double means[] = {0.2217, 0.3108, 0.3772, 0.4314, 0.4775, 0.5176, 0.5842, 0.6366};
    for (int i = 0; i < 8; ++i) {
        EXPECT_NEAR(1 / chip_ratio(shares[i], 1), thinning[i], 5e-5);
        EXPECT_NEAR(mean_chip_ratio(shares[i], 1), means[i], 5e-5);
    }
    EXPECT_NEAR(mean_chip_ratio(1, 1), 2 / pi, 1e-12) << "slot";
}

// Synthetic, exact: fz 0.05, run-out 0.02.
TEST(Kinematics, RunOut) {
    const auto two = feeds_with_runout(0.05, 0.02, 2);
    EXPECT_NEAR(*std::max_element(two.begin(), two.end()), 0.07, 1e-12);
    EXPECT_NEAR(*std::min_element(two.begin(), two.end()), 0.03, 1e-12);
    const auto largest = [](int teeth) {
        const auto feeds = feeds_with_runout(0.05, 0.02, teeth);
        return *std::max_element(feeds.begin(), feeds.end()) - 0.05;
    };
    EXPECT_NEAR(largest(1), 0, 1e-12);
    EXPECT_NEAR(largest(3), 0.01732, 5e-6);
    EXPECT_NEAR(largest(4), 0.01414, 5e-6);
    const auto one_cuts = feeds_with_runout(0.01, 0.02, 2);
    EXPECT_NEAR(one_cuts[0] + one_cuts[1], 0.02, 1e-12) << "run-out above fz: one tooth takes all";
    EXPECT_NEAR(std::min(one_cuts[0], one_cuts[1]), 0, 1e-12);
}

// Material is neither made nor lost: the teeth of one turn remove what the feed of one turn brings.
RC_GTEST_PROP(Kinematics, RunOutKeepsTheFeedOfATurn, ()) {
    const int teeth = *rc::gen::inRange(1, 9);
    const double fz = *rc::gen::inRange(1, 500) / 1000.0, tir = *rc::gen::inRange(0, 400) / 1000.0;
    double sum = 0;
    for (const double feed : feeds_with_runout(fz, tir, teeth))
        sum += feed;
    RC_ASSERT(std::abs(sum - teeth * fz) < 1e-9);
}

// Published (ISRO 2013): n 0.25, half the speed: 16 times the life. The others: statements published, answers computed.
TEST(Kinematics, TaylorLife) {
    EXPECT_NEAR(taylor_life(50, 0.25, 900) / taylor_life(100, 0.25, 900), 16, 1e-9);
    const double fast = pi * 50 * 284 / 1000, slow = pi * 50 * 232 / 1000;
    const double n = std::log(fast / slow) / std::log(60.0 / 10);
    EXPECT_WITHIN(n, 0.11287, 0.001);
    EXPECT_WITHIN(fast * std::pow(10, n), 57.85, 0.001);
    EXPECT_NEAR(taylor_life(80, 0.4, 100) / taylor_life(100, 0.4, 100), 1.747, 0.001);
    EXPECT_NEAR(taylor_life(130, 0.4, 100) / taylor_life(100, 0.4, 100), 0.519, 0.001);
    EXPECT_NEAR(taylor_life(50, 0.5, 100) / taylor_life(100, 0.5, 100), 4, 1e-9);
    EXPECT_NEAR(taylor_life(323.4, 0.25, 900), 60, 0.03);
}

} // namespace
} // namespace kerfwright::cutting
