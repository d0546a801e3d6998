#include "cutting/wear.hpp"

#include <gtest/gtest.h>

namespace kerfwright::cutting {
namespace {

// Computed: 25 over 1500 m; 40 and three regrinds of 12, 1500 m each.
TEST(Wear, CostPerMetre) {
    EXPECT_NEAR(cost_per_metre(25, 1500), 0.01667, 5e-6);
    EXPECT_NEAR(cost_per_metre(40, 1500, 3, 12), 0.01267, 5e-6);
}

TEST(Wear, ThinChipsAndSpeedShortenLife) {
    const shop::Material& aluminium = *find_material(shop::shipped(), "aluminium-6061");
    const shop::Cutter& cutter = *find_cutter(shop::shipped(), "single-flute-6");
    Setting s;
    s.n = 16000;
    s.fz = 0.05;
    const double life = edge_life(aluminium, cutter, s);
    s.fz = 0.025;
    EXPECT_LT(edge_life(aluminium, cutter, s), 0.51 * life);
    s.fz = 0.05;
    s.n = 24000;
    EXPECT_LT(edge_life(aluminium, cutter, s), 0.5 * life);
    s.n = 1;
    EXPECT_LE(edge_life(aluminium, cutter, s), 4 * aluminium.cutter_life.value);
    shop::Cutter steel = cutter;
    steel.carbide = false;
    EXPECT_NEAR(edge_life(aluminium, steel, s), 0.2 * edge_life(aluminium, cutter, s), 1e-9);
}

} // namespace
} // namespace kerfwright::cutting
