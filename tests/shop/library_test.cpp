#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace kerfwright::shop {
namespace {

TEST(Shipped, HasEveryPromisedName) {
    for (const char* name : {"mdf", "particleboard", "hardboard", "birch-plywood", "oak", "maple", "walnut", "acrylic",
                             "hdpe", "pvc-foam", "aluminium-6061", "brass", "carbon-laminate", "glass-laminate"})
        EXPECT_NE(find_material(shipped(), name), nullptr) << name;
    for (const char* name :
         {"flat-3", "flat-3.175", "flat-4", "flat-6", "flat-6.35", "single-flute-3", "single-flute-6",
          "single-flute-6.35", "compression-6", "laminate-3", "laminate-6", "clearing-25", "drill-3"})
        EXPECT_NE(find_cutter(shipped(), name), nullptr) << name;
    const Machine* small = find_machine(shipped(), "gantry-600");
    const Machine* large = find_machine(shipped(), "gantry-900");
    ASSERT_TRUE(small && large);
    EXPECT_EQ(small->axes[0].travel, 600);
    EXPECT_EQ(small->axes[2].travel, 90);
    EXPECT_EQ(large->axes[1].travel, 900);
    EXPECT_EQ(large->axes[2].travel, 120);
    EXPECT_EQ(small->spindle.n_max, 24000);
    EXPECT_FALSE(small->abilities.tool_change);
    EXPECT_EQ(find_material(shipped(), "unobtainium"), nullptr);
    EXPECT_EQ(material_names(shipped()).rfind("mdf, particleboard, ", 0), 0u);
}

TEST(Shipped, InchCuttersAreExact) {
    EXPECT_DOUBLE_EQ(find_cutter(shipped(), "flat-3.175")->DC, 3.175);
    EXPECT_DOUBLE_EQ(find_cutter(shipped(), "single-flute-6.35")->DC, 6.35);
}

TEST(Shipped, PublishedAndDerivedValuesNameTheirSource) {
    for (const Material& m : shipped().materials) {
        for (const Sourced* s :
             {&m.density, &m.force.ktc, &m.force.kc11, &m.fz_max, &m.vc_max, &m.expansion, &m.movement_across}) {
            const bool cited = s->sureness == Sureness::published || s->sureness == Sureness::derived;
            EXPECT_TRUE(!cited || !s->source.empty()) << m.name;
        }
        EXPECT_FALSE(m.cutters.empty()) << m.name;
        EXPECT_FALSE(m.cautions.empty()) << m.name;
        EXPECT_TRUE(m.bending && m.tensile && m.shear) << m.name << ": tabs and skins need strengths";
    }
    for (const Machine& machine : shipped().machines)
        EXPECT_FALSE(machine.sources.empty());
}

/// kc of a material at h, N/mm², nominal.
double kc(const char* name, double h) {
    const CuttingForce& f = find_material(shipped(), name)->force;
    return f.form == CuttingForce::Form::kienzle ? f.kc11.value * std::pow(h, -f.mc.value)
                                                 : f.ktc.value + f.kte.value / h;
}

// Recommended planner values at h 0.05 / 0.10 / 0.20 mm; how each was derived stands beside it in data/materials.toml.
TEST(Shipped, SpecificForcesAreTheRecommendedOnes) {
    struct Row {
        const char* name;
        double at_05, at_10, at_20;
    };
    for (const Row& row :
         {Row{"particleboard", 71, 47, 35}, Row{"mdf", 80, 53, 40}, Row{"hardboard", 103, 68, 51},
          Row{"birch-plywood", 100, 66, 49}, Row{"oak", 60, 40, 30}, Row{"walnut", 52, 37, 26},
          Row{"acrylic", 137, 131, 128}, Row{"hdpe", 82, 70, 65}, Row{"aluminium-6061", 890, 760, 695},
          Row{"brass", 1270, 1070, 900}, Row{"glass-laminate", 300, 250, 225}, Row{"carbon-laminate", 600, 500, 450}}) {
        EXPECT_NEAR(kc(row.name, 0.05), row.at_05, row.at_05 * 0.06) << row.name;
        EXPECT_NEAR(kc(row.name, 0.10), row.at_10, row.at_10 * 0.06) << row.name;
        EXPECT_NEAR(kc(row.name, 0.20), row.at_20, row.at_20 * 0.06) << row.name;
    }
}

TEST(Library, OwnDataReplacesShipped) {
    Library library = shipped();
    Cutter mine = *find_cutter(library, "flat-6");
    mine.LPR = 40;
    Cutter other = mine;
    other.name = "mine";
    const std::size_t count = library.cutters.size();
    add(library, std::vector<Cutter>{mine, other});
    EXPECT_EQ(library.cutters.size(), count + 1);
    EXPECT_EQ(find_cutter(library, "flat-6")->LPR, 40);
    EXPECT_EQ(find_cutter(library, "mine")->LPR, 40);
}

// 2.2 kW at 24,000 rev/min, constant torque: 0.8754 N·m, 1.1 kW at 12,000 (worked example, synthetic).
TEST(Spindle, PowerFollowsTheTorqueCurve) {
    const Spindle spindle{6000, 24000, 2200, 24000, 0.8, 5, 100};
    EXPECT_NEAR(power_at(spindle, 12000), 1100, 1e-9);
    EXPECT_NEAR(power_at(spindle, 24000), 2200, 1e-9);
    EXPECT_NEAR(power_at(spindle, 24000) / (2 * 3.14159265358979 * 24000 / 60), 0.8754, 1e-4);
    Spindle wide = spindle;
    wide.constant_power_from = 12000;
    EXPECT_NEAR(power_at(wide, 18000), 2200, 1e-9);
    EXPECT_NEAR(power_at(wide, 6000), 1100, 1e-9);
}

TEST(Sheet, ThicknessIsInterpolatedBetweenTheMeasuredPoints) {
    Sheet sheet;
    sheet.thickness = 6.2;
    EXPECT_EQ(thickness_at(sheet, {100, 100}), 6.2);
    sheet.measured = {{{0, 0}, 6.0}, {{100, 0}, 6.4}};
    EXPECT_DOUBLE_EQ(thickness_at(sheet, {0, 0}), 6.0);
    EXPECT_DOUBLE_EQ(thickness_at(sheet, {100, 0}), 6.4);
    EXPECT_DOUBLE_EQ(thickness_at(sheet, {50, 40}), 6.2);
    const double near = thickness_at(sheet, {10, 0});
    EXPECT_GT(near, 6.0);
    EXPECT_LT(near, 6.05);
}

} // namespace
} // namespace kerfwright::shop
