// "Computed" means worked out from the formula that is named, apart from this program.

#include "fit/assembly.hpp"
#include "fit/movement.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>

namespace kerfwright::fit {
namespace {

shop::Material material(shop::MaterialKind kind, double along, double across, double expansion) {
    shop::Material m;
    m.kind = kind;
    m.movement_by_moisture = kind == shop::MaterialKind::wood;
    m.movement_along.value = along;
    m.movement_across.value = across;
    m.expansion.value = m.expansion.low = m.expansion.high = expansion;
    return m;
}
// Coefficients: Wood Handbook (2010) Table 13-5, tangential (flatsawn) and radial (quartersawn).
const double kBeechTangential = 0.00431, kCherryRadial = 0.00126;

TEST(Movement, EquilibriumMoisture) {
    EXPECT_NEAR(equilibrium_moisture({50, 20}), 9.271, 0.0005);   // computed, WH eq. 4-5
    EXPECT_NEAR(equilibrium_moisture({55, 60}), 8.4, 0.05);       // published for 140 F
    EXPECT_NEAR(equilibrium_moisture({55, 60}), 8.3726, 0.00005); // computed; the constants for °F give 8.3775
    // At 21.1 °C, computed; WH Table 4-2 (from memory) rounds them alike.
    const double table[] = {2.48, 4.49, 6.17, 7.70, 9.24, 10.97, 13.09, 15.99, 20.48};
    for (int i = 0; i < 9; ++i)
        EXPECT_NEAR(equilibrium_moisture({10.0 * (i + 1), 21.1}), table[i], 0.0075) << 10 * (i + 1) << " % RH";
    EXPECT_NEAR(equilibrium_moisture({50, 0}), 9.52, 0.005);
    EXPECT_NEAR(equilibrium_moisture({50, 40}), 8.59, 0.005);
    EXPECT_EQ(equilibrium_moisture({0, 20}), 0);
}

TEST(Movement, HumidityForMoisture) {
    EXPECT_NEAR(humidity_for_moisture(8, 20).value_or(-1), 41.83, 0.005); // computed
    EXPECT_NEAR(humidity_for_moisture(12, 20).value_or(-1), 65.0, 0.05);
    EXPECT_FALSE(humidity_for_moisture(-0.1, 20));
    EXPECT_FALSE(humidity_for_moisture(35, 20));
    EXPECT_FALSE(humidity_for_moisture(std::numeric_limits<double>::quiet_NaN(), 20));
}

RC_GTEST_PROP(Movement, MoistureRisesWithHumidityAndComesBack, ()) {
    const double temperature = *rc::gen::inRange(-200, 1001) / 10.0;
    const double humidity = *rc::gen::inRange(0, 1000) / 10.0;
    const double moisture = equilibrium_moisture({humidity, temperature});
    RC_ASSERT(equilibrium_moisture({humidity + 0.1, temperature}) > moisture);
    RC_ASSERT(equilibrium_moisture({100, temperature}) < 30);
    const auto back = humidity_for_moisture(moisture, temperature);
    RC_ASSERT(back.has_value());
    RC_ASSERT(std::abs(*back - humidity) < 1e-9);
}

TEST(Movement, ShrinkageOfTheHandbook) {
    // WH Table 4-3 (total shrinkage, %) gives WH Table 13-5.
    EXPECT_NEAR(coefficient_of_shrinkage(7.3), 0.00256, 5e-6);  // red alder, tangential
    EXPECT_NEAR(coefficient_of_shrinkage(11.9), 0.00431, 5e-6); // beech, tangential
    EXPECT_NEAR(coefficient_of_shrinkage(4.9), 0.00169, 5e-6);  // white ash, radial
    // White fir flatsawn, 232 mm, 8 to 11 %: the handbook's example (from memory) and eq. 13-3.
    EXPECT_NEAR(232 * strain_by_moisture(0.00245, 8, 11), 1.705, 0.0005);
    EXPECT_NEAR(232 * strain_by_shrinkage(7.0, 8, 11), 1.712, 0.0005);
    // Red alder, 8 in, 6 % of moisture: a trade chart (2021).
    EXPECT_NEAR(8 * strain_by_moisture(0.0026, 7, 13), 0.1248, 1e-9);
    // From green to dry it is what total shrinkage says, and above fibre saturation nothing moves.
    EXPECT_NEAR(strain_by_shrinkage(11.9, 30, 0), -0.119, 1e-12);
    EXPECT_EQ(strain_by_shrinkage(11.9, 60, 0), strain_by_shrinkage(11.9, 30, 0));
    EXPECT_EQ(strain_by_shrinkage(0, 0, 30), 0);
}

TEST(Movement, OutsideSixToFourteenPercentTheShrinkageCounts) {
    EXPECT_DOUBLE_EQ(strain_by_moisture(kBeechTangential, 6, 14), 8 * kBeechTangential);
    const double shrinkage = 3000 * kBeechTangential / (1 + 20 * kBeechTangential);
    EXPECT_NEAR(coefficient_of_shrinkage(shrinkage), kBeechTangential, 1e-15);
    for (const auto& [from, to] : {std::pair{5.9, 10.0}, {10.0, 14.1}, {14.1, 10.0}, {10.0, 5.9}, {4.0, 20.0}}) {
        const double strain = strain_by_moisture(kBeechTangential, from, to);
        EXPECT_EQ(strain, strain_by_shrinkage(shrinkage, from, to));
        // The jump that the header owns up to, with a margin for what is left of the second order.
        const double linear = kBeechTangential * (to - from);
        EXPECT_LE(std::abs(strain - linear), 1.05 * std::abs(linear) * kBeechTangential * std::abs(from - 10) + 1e-12);
    }
    // There and back is where it was: (1 + e)(1 + e') = 1.
    EXPECT_NEAR((1 + strain_by_moisture(kBeechTangential, 4, 20)) * (1 + strain_by_moisture(kBeechTangential, 20, 4)),
                1, 1e-14);
}

TEST(Movement, WoodAndBoardBetweenTwoClimates) {
    const Climate dry{35, 20}, damp{65, 20}; // computed: 6.963 to 11.996 %
    EXPECT_NEAR(equilibrium_moisture(dry), 6.963, 0.0005);
    EXPECT_NEAR(equilibrium_moisture(damp), 11.996, 0.0005);
    const auto beech = material(shop::MaterialKind::wood, 0, kBeechTangential, 30);
    const auto cherry = material(shop::MaterialKind::wood, 0, kCherryRadial, 30);
    EXPECT_NEAR(100 * movement_of(beech, dry, damp).across, 2.169, 0.0005);
    EXPECT_NEAR(100 * movement_of(cherry, dry, damp).across, 0.634, 0.0005);
    EXPECT_EQ(movement_of(beech, dry, damp).along, 0);
    // MDF, 0.05 % per % of moisture in the plane and 0.35 % in thickness (an industry body's figures).
    EXPECT_NEAR(100 * strain_by_moisture(0.0005, 6.963, 11.996), 0.252, 0.0005);
    EXPECT_NEAR(600 * strain_by_moisture(0.0005, 7, 12), 1.5, 1e-9);
    EXPECT_NEAR(15 * strain_by_moisture(0.0035, 7, 12), 0.2625, 1e-9);
}

TEST(Movement, AtAnAngleToTheGrain) {
    // Beech at 45 degrees, strain-tensor transform (textbook).
    EXPECT_NEAR(growth_of_grain(0.0001, kBeechTangential, 45).xx, 0.002205, 1e-12);
}

TEST(Movement, PanelsByHumidity) {
    const Climate from{50, 20}, to{80, 20};
    const auto plywood = material(shop::MaterialKind::panel, 0.00002, 0.00002, 6.1); // trade body: 0.0002 per 10 % RH
    const auto mdf = material(shop::MaterialKind::panel, 0.0033 / 30, 0.0033 / 30, 12); // the most ANSI A208.2 allows
    EXPECT_NEAR(600 * movement_of(plywood, from, to).along, 0.36, 1e-9);
    EXPECT_NEAR(600 * movement_of(mdf, from, to).across, 1.98, 1e-9);
}

TEST(Movement, PlasticsAndMetalsByHeat) {
    const auto acrylic = material(shop::MaterialKind::plastic, 0, 0, 81);
    const auto hdpe = material(shop::MaterialKind::plastic, 0, 0, 150);
    const auto aluminium = material(shop::MaterialKind::metal, 0, 0, 23.6);
    const auto grown = [](const shop::Material& m, double kelvin) {
        return movement_of(m, Climate{30, 20}, Climate{70, 20 + kelvin}).along; // whatever the humidity does
    };
    EXPECT_NEAR(300 * (grown(acrylic, 15) - grown(aluminium, 15)), 0.258, 0.0005);
    // A part of 399 mm in a tray of 400 mm: its gap of 1 mm is gone.
    EXPECT_NEAR(400 * (1 + grown(aluminium, 20)) - 399 * (1 + grown(hdpe, 20)), -0.008, 0.0005);
}

TEST(Movement, JigsawPieceThatJams) {
    // 60 mm of sugar maple, 0.15 mm clearance a side, 2 % wetter, its own cell rigid.
    EXPECT_NEAR(0.15 - 60 * strain_by_moisture(0.00353, 8, 10) / 2, -0.062, 0.0005); // flatsawn
    EXPECT_NEAR(60 * strain_by_moisture(0.00165, 8, 10) / 2, 0.099, 0.0005);         // quartersawn
}

TEST(Movement, WoodHeatsLessAlongItsGrain) {
    auto oak = material(shop::MaterialKind::wood, 0, 0, 30);
    oak.expansion.low = 4.6;
    const Movement m = movement_of(oak, Climate{50, 20}, Climate{50, 30});
    EXPECT_NEAR(m.along, 46e-6, 1e-12);
    EXPECT_NEAR(m.across, 300e-6, 1e-12);
}

TEST(Movement, SpreadOfLinearMovementIsThatOfAUniformRange) {
    const auto mdf = material(shop::MaterialKind::panel, 4e-5, 8e-5, 12);
    const MovementSpread s = movement_spread_of(mdf, {{45, 18}, {55, 22}}, {{30, 16}, {70, 26}});
    EXPECT_NEAR(s.mean.along, 12e-6, 1e-12); // 50 to 50 % RH, 20 to 21 °C
    const double deviation = 1 / std::sqrt(12.0);
    EXPECT_NEAR(s.humidity_before.along, -4e-5 * 10 * deviation, 1e-12);
    EXPECT_NEAR(s.humidity_after.along, 4e-5 * 40 * deviation, 1e-12);
    EXPECT_NEAR(s.humidity_after.across, 8e-5 * 40 * deviation, 1e-12);
    EXPECT_NEAR(s.temperature_before.across, -12e-6 * 4 * deviation, 1e-12);
    EXPECT_NEAR(s.temperature_after.across, 12e-6 * 10 * deviation, 1e-12);
    const MovementSpread still = movement_spread_of(mdf, {{45, 20}, {45, 20}}, {{65, 25}, {65, 25}});
    const Movement certain = movement_of(mdf, Climate{45, 20}, Climate{65, 25});
    EXPECT_NEAR(still.mean.across, certain.across, 1e-15);
    EXPECT_NEAR(still.humidity_after.across, 0, 1e-15);
    EXPECT_NEAR(still.temperature_before.across, 0, 1e-15);
}

TEST(Movement, SpreadOfWoodAgreesWithAFineGrid) {
    const auto beech = material(shop::MaterialKind::wood, 0.00005, kBeechTangential, 30);
    const Climate from{45, 20};
    const ClimateRange to{{25, 15}, {75, 28}};
    const MovementSpread s = movement_spread_of(beech, {from, from}, to);
    const int n = 400;
    double sum = 0, squares = 0;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) {
            const double e = movement_of(beech, from, Climate{25 + 50 * (i + 0.5) / n, 15 + 13 * (j + 0.5) / n}).across;
            sum += e;
            squares += e * e;
        }
    const double mean = sum / n / n, sd = std::sqrt(squares / n / n - mean * mean);
    EXPECT_NEAR(s.mean.across, mean, 0.005 * sd);
    EXPECT_NEAR(std::hypot(s.humidity_after.across, s.temperature_after.across), sd, 0.01 * sd);
    EXPECT_GT(s.humidity_after.along, 0);
    EXPECT_NEAR(s.humidity_before.across, 0, 1e-15);
}

TEST(Movement, SpreadKeepsTheSignBetweenAlongAndAcross) {
    // At one humidity warmer wood is drier: it shrinks across the grain, and heat stretches it along.
    const auto beech = material(shop::MaterialKind::wood, 0, kBeechTangential, 5);
    const MovementSpread s = movement_spread_of(beech, {{50, 20}, {50, 20}}, {{50, 10}, {50, 30}});
    EXPECT_LT(s.temperature_after.across, 0);
    EXPECT_NEAR(s.temperature_after.along, 5e-6 * 20 / std::sqrt(12), 1e-12);
}

TEST(Movement, RangesAreChecked) {
    EXPECT_FALSE(check({{30, 15}, {70, 28}}));
    EXPECT_FALSE(check({{50, 20}, {50, 20}}));
    EXPECT_TRUE(check({{70, 15}, {30, 28}}));
    EXPECT_TRUE(check({{30, 28}, {70, 15}}));
    EXPECT_TRUE(check({{-1, 15}, {70, 28}}));
    EXPECT_TRUE(check({{30, 15}, {101, 28}}));
    EXPECT_TRUE(check({{30, -21}, {70, 28}}));
    const auto fault = check({{std::numeric_limits<double>::quiet_NaN(), 15}, {70, 28}});
    ASSERT_TRUE(fault);
    EXPECT_NE(fault->what.find("humidity"), std::string::npos);
}

} // namespace
} // namespace kerfwright::fit
