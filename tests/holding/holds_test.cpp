// Statics of single holds against worked examples (computed by hand from the stated formulas).

#include "holding/holds.hpp"

#include <gtest/gtest.h>

namespace kerfwright::holding {
namespace {

// Tape 40 × 40 mm: flat pull at 172.4 kPa, tilt at 20 mm height, 90° peel at 0.2736 N/mm. Strengths: US CID for foam
// tape (25 psi, ASTM D897) and A-A-180C (25 oz/in, ASTM D3330).
TEST(Holds, Tape) {
    EXPECT_NEAR(0.1724 * 40 * 40, 275.8, 0.1);
    EXPECT_NEAR(tape_tilt_moment(0.1724, 40, 40), 1838.6, 0.5);
    EXPECT_NEAR(tape_tilt_moment(0.1724, 40, 40) / 20, 91.9, 0.1);
    EXPECT_NEAR(0.2736 * 40, 10.9, 0.05);
}

TEST(Holds, Peel) {
    const double energy = 0.400; // 400 J/m²
    EXPECT_NEAR(peel_force(energy, 30), 2.986, 0.001);
    EXPECT_NEAR(peel_force(energy, 90), 0.400, 1e-9);
    EXPECT_NEAR(peel_force(energy, 180), 0.200, 1e-9);
}

TEST(Holds, WlfShift) {
    EXPECT_NEAR(wlf_log_shift(20), -4.872, 0.001);
    EXPECT_NEAR(wlf_log_shift(40), -7.616, 0.001);
    EXPECT_NEAR(wlf_log_shift(60), -9.376, 0.001);
}

TEST(Holds, Vacuum) {
    const double normal = vacuum_force(80, 0.7 * 100 * 100);
    EXPECT_NEAR(normal, 560, 1e-9);
    EXPECT_NEAR(0.4 * normal, 224, 1e-9);
    EXPECT_NEAR(0.4 * normal / 2, 112, 1e-9);
    EXPECT_NEAR(normal * 50 / 1000, 28.0, 1e-9) << "N·m about an edge";
    EXPECT_NEAR(atmosphere_kpa(0), 101.3, 0.05);
    EXPECT_NEAR(atmosphere_kpa(500), 95.5, 0.05);
    EXPECT_NEAR(atmosphere_kpa(1500), 84.6, 0.05);
    EXPECT_NEAR(atmosphere_kpa(2500), 74.7, 0.05);
}

// 1 m² of MDF, 18 mm, 50 kPa; permeability by resin and wax (abstract of a journal of wood science).
TEST(Holds, BleedThroughMdf) {
    EXPECT_NEAR(bleed_flow(0.38e-13, 1, 50, 18), 20.9, 0.05);
    EXPECT_NEAR(bleed_flow(1.0e-13, 1, 50, 18), 54.9, 0.1);
    EXPECT_NEAR(bleed_flow(6.26e-13, 1, 50, 18), 344, 0.5);
}

TEST(Holds, Tab) {
    const TabStrength tab = tab_strength(6, 1.5, 6, 10, 15);
    EXPECT_NEAR(tab.pull, 90, 1e-9);
    EXPECT_NEAR(tab.in_plane, 45, 1e-9);
    EXPECT_NEAR(tab.lift, 11.25, 1e-9);
    EXPECT_LE(tab_strength(20, 1, 1, 10, 15).in_plane, 0.6 * tab_strength(20, 1, 1, 10, 15).pull)
        << "a short tab shears";
}

TEST(Holds, Skin) {
    EXPECT_NEAR(skin_force(5, 400, 0.3), 600, 1e-9);
}

TEST(Holds, BoltAndStrap) {
    const double bolt = bolt_preload(10, 8, 0.2);
    EXPECT_NEAR(bolt, 6250, 1e-9);
    EXPECT_NEAR(strap_clamp_force(bolt, 40, 20), 4167, 0.5);
}

} // namespace
} // namespace kerfwright::holding
