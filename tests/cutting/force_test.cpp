// The force model against worked examples and against integration. "published": the answer stands in the source;
// "computed": the inputs do, and the answer was computed independently; "synthetic": made up.

#include "cutting/force.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/tool.hpp"
#include "shop/library.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

namespace kerfwright::cutting {
namespace {

using std::numbers::pi;

#define EXPECT_WITHIN(actual, expected, share) EXPECT_NEAR(actual, expected, std::abs(expected) * (share))

ForceLaw linear(double kt, double et, double kr, double er, double ka, double ea) {
    return {0, kt, kr, ka, et, er, ea};
}
ForceLaw kienzle(double kc11, double mc) {
    return {mc, kc11, 0, 0, 0, 0, 0};
}
double kc(double kc11, double mc, double h) {
    return kienzle(kc11, mc).tangential(h) / h;
}

// Chin. J. Mech. Eng. (2021), 10.1186/s10033-021-00536-9, Table 5.
const ForceLaw kAl6082 = linear(631, 13, 99, 10, 273, 2.8);
const ForceLaw kAl7075 = linear(1319.41, 19.65, 788.83, 26.77, 48.75, 2.05);

void expect_mean(const ForceLaw& law, const Cut& cut, Force expected) {
    const Force mean = mean_force(law, cut);
    EXPECT_WITHIN(mean.x, expected.x, 1e-4);
    EXPECT_WITHIN(mean.y, expected.y, 1e-4);
    EXPECT_WITHIN(mean.z, expected.z, 1e-4);
}

// Published: Kalpakjian and Schmid 2016 exercise (course notes): Ks 3920, d 5, fz 0.18, D 120, 145 m/min, 6 teeth,
// w 60.
TEST(Force, FaceMillingForcesAndPower) {
    const double n = std::round(speed_for(120, 145)), vc = surface_speed(120, n);
    EXPECT_EQ(n, 385);
    const double most = 3920 * 5 * 0.18, least = most * std::cos(pi / 6);
    EXPECT_NEAR(most, 3528, 0.5);
    EXPECT_NEAR(least, 3055, 1);
    EXPECT_WITHIN(most * vc / 60, 8526, 0.001);
    const double vf = n * 6 * 0.18;
    EXPECT_WITHIN(3920 * removal_rate(5, 60, vf) / 60e3, 8149.68, 0.001);
}

// Published: Ghosh and Mallik, Manufacturing Science, examples 4.16 (p.238, 817 W), 4.5 (p.196, 1517 N).
// Example 4.17 (p.240): computed.
TEST(Force, MildSteelEnergyLaws) {
    const double fz = 100.0 / (10 * 60), h_max = 2 * fz * std::sqrt(5.0 / 75 * (1 - 5.0 / 75));
    EXPECT_WITHIN(h_max, 0.08607, 0.04) << "the book neglects depth beside diameter";
    EXPECT_WITHIN(2 * fz * std::sqrt(5.0 / 75), 0.08607, 0.001);
    const double u = kc(1400, 0.4, 0.043) / 1000;
    EXPECT_WITHIN(u, 4.9288, 0.001);
    EXPECT_WITHIN(u * 5 * 20 * 100 / 60, 817, 0.01);
    EXPECT_WITHIN(kienzle(1400, 0.4).tangential(0.25) * 2.5, 1517, 0.01);
    EXPECT_WITHIN(kc(1400, 0.28, 0.005), 6172, 0.001);
    EXPECT_WITHIN(kc(1400, 0.28, 0.005) * 20 * 5 * 25 / 60e3, 257.2, 0.001);
}

// Published: Ghosh and Mallik, example 4.3 (p.193): 420 N and 125 N; shear plane, not the model of this program, but
// its check. rake 10°, h 0.2, b 2, shear strength 400, friction 0.5, 2φ = 90 + rake - friction angle.
TEST(Force, ShearPlaneExample) {
    const double rake = 10 * pi / 180, friction = std::atan(0.5), phi = (pi / 2 + rake - friction) / 2;
    EXPECT_NEAR(phi * 180 / pi, 36.72, 0.01);
    const double shear = 400 * 0.2 * 2 / std::sin(phi), resultant = shear / std::cos(phi + friction - rake);
    EXPECT_WITHIN(resultant * std::cos(friction - rake), 420, 0.025);
    EXPECT_WITHIN(resultant * std::sin(friction - rake), 125, 0.025);
}

// Kienzle constants of S235 and AlCuMg1 from a German metal-trade table book; answers computed.
TEST(Force, KienzleValues) {
    const double h[] = {0.05, 0.1, 0.2, 0.4}, steel[] = {2962.1, 2632.8, 2340.2, 2080.0};
    for (int i = 0; i < 4; ++i)
        EXPECT_WITHIN(kc(1780, 0.17, h[i]), steel[i], 1e-4);
    EXPECT_WITHIN(kc(830, 0.23, 0.02), 2041.0, 1e-4);
    EXPECT_WITHIN(kc(830, 0.23, 0.05), 1653.2, 1e-4);
    EXPECT_WITHIN(kc(830, 0.23, 0.1), 1409.5, 1e-4);
}

// After Dietrich and Tschaetsch, Praxis der Zerspanungstechnik, 11th ed. 2014; computed from a published script:
// h_m = 360/(π φs°) (ae/D) fz sin(90° - λ), b = ap / cos λ, corrections for rake, chip compression 1.2 and wear 1.3.
TEST(Force, PeripheralMillingByMeanChip) {
    struct Row {
        double vc, fz, kc11, mc, rake_factor, n, h, k, force, power;
    };
    for (const Row& r : {Row{200, 0.1, 1780, 0.17, 1.06, 21220.66, 0.020122, 5717.8, 488.13, 0.37917},
                         Row{300, 0.06, 700, 0.18, 0.9, 31831.0, 0.012073, 2176.4, 111.48, 0.12989}}) {
        const double helix = pi / 4, b = 3 / std::cos(helix), arc = engagement_angle(0.25, 3);
        const double h = mean_chip_ratio(0.25, 3) * r.fz * std::cos(helix);
        EXPECT_WITHIN(speed_for(3, r.vc), r.n, 1e-4);
        EXPECT_NEAR(arc * 180 / pi, 33.557, 0.001);
        EXPECT_WITHIN(b, 4.2426, 1e-4);
        EXPECT_WITHIN(h, r.h, 1e-4);
        // The script's wear factor 1.3 stands in its kc, and its speed factor is 1.
        const double k = kc(r.kc11, r.mc, h) * r.rake_factor * 1.2 * 1.3;
        EXPECT_WITHIN(k, r.k, 2e-4);
        const double force = k * b * h;
        EXPECT_WITHIN(force, r.force, 2e-4);
        const double teeth = 2 * arc / (2 * pi);
        EXPECT_NEAR(teeth, 0.18643, 1e-5);
        EXPECT_WITHIN(force * teeth * r.vc / 60e3 / 0.8, r.power, 2e-4);
    }
}

// Coefficients from a published script, answer checked by integration: slot, N 2, a 3, c 0.075, D 16.
TEST(Force, SlotAveragesOfAnUnnamedAluminium) {
    const ForceLaw law = linear(958.8599, 15.7580, 250.8633, 19.4337, 146.3614, 18.2075);
    Cut cut{16, 2, 30, 0, 3, 0.075, 0, pi};
    expect_mean(law, cut, {-65.338, 137.967, 75.587});
    EXPECT_WITHIN(mean_torque(law, cut), 1476.96, 1e-4);
}

// Al 7075, slot, N 2, a 2, c 0.05, D 10: coefficients published, answer computed; peak within 0.5 %.
TEST(Force, SlotOf7075) {
    Cut cut{10, 2, 30, 0, 2, 0.05, 0, pi};
    expect_mean(kAl7075, cut, {-73.526, 90.990, 7.2035});
    EXPECT_WITHIN(mean_torque(kAl7075, cut), 616.48, 1e-4);
    EXPECT_WITHIN(peak_force(kAl7075, cut).in_plane, 215.65, 0.005);
}

// Al 6082, slot, N 2, a 2, c 0.05, D 6, 18,000 rev/min: coefficients published, answer computed.
TEST(Force, SlotOf6082WithPowerAndPeak) {
    Cut cut{6, 2, 30, 0, 2, 0.05, 0, pi};
    expect_mean(kAl6082, cut, {-17.682, 48.102, 22.980});
    const double torque = mean_torque(kAl6082, cut), power = power_of(torque / 1000, 18000);
    EXPECT_WITHIN(torque, 198.512, 1e-4);
    EXPECT_WITHIN(power, 374.19, 1e-4);
    const double q = removal_rate(2, 6, 0.05 * 2 * 18000) / 60;
    EXPECT_NEAR(q, 360, 1e-9);
    EXPECT_WITHIN(power / q, 1.03941, 1e-4);
    EXPECT_WITHIN(power / q, (631 + pi * 13 / (2 * 0.05)) / 1000, 1e-6) << "u = Ktc + π Kte / (2 fz)";
    EXPECT_WITHIN(peak_force(kAl6082, cut).in_plane, 93.02, 0.005);
    cut.helix = 0;
    EXPECT_WITHIN(peak_force(kAl6082, cut).in_plane, 93.98, 0.005);
    EXPECT_WITHIN(kAl6082.tangential(0.05) * 2, 89.1, 0.001);
    EXPECT_WITHIN((99 * 0.05 + 10) * 2, 29.9, 0.001);
}

// Al 6082, D 6, ae 1.5 (60°), a 6, c 0.05, N 2, down and up: coefficients published, answer computed.
TEST(Force, QuarterImmersionDownAndUp) {
    Cut cut{6, 2, 30, 0, 6, 0.05, 0, 0};
    engage(cut, 1.5, true);
    expect_mean(kAl6082, cut, {31.645, 51.003, 18.635});
    engage(cut, 1.5, false);
    expect_mean(kAl6082, cut, {-56.550, 10.833, 18.635});
}

// Inverse of the slot averages (identification form, Altintas 2012, p.47).
TEST(Force, CoefficientsComeBackFromMeasuredAverages) {
    Cut one{6, 2, 30, 0, 2, 0.03, 0, pi}, two = one;
    two.fz = 0.08;
    const Force a = mean_force(kAl6082, one), b = mean_force(kAl6082, two);
    const double na = 2 * 2, slope_y = (b.y - a.y) / 0.05, slope_x = (b.x - a.x) / 0.05, slope_z = (b.z - a.z) / 0.05;
    EXPECT_NEAR(4 * slope_y / na, 631, 1e-6);
    EXPECT_NEAR(pi * (a.y - slope_y * 0.03) / na, 13, 1e-6);
    EXPECT_NEAR(-4 * slope_x / na, 99, 1e-6);
    EXPECT_NEAR(-pi * (a.x - slope_x * 0.03) / na, 10, 1e-6);
    EXPECT_NEAR(pi * slope_z / na, 273, 1e-6);
    EXPECT_NEAR(2 * (a.z - slope_z * 0.03) / na, 2.8, 1e-6);
}

// Synthetic: carbide 600 GPa, L 30, F 50; solid 6 mm, fluted 4.8 mm, and stepped with 20 mm of flutes.
TEST(Tool, DeflectionAndStress) {
    shop::Cutter cutter;
    cutter.elastic_modulus = 600'000;
    cutter.LPR = 30;
    cutter.DCON = 6;
    cutter.DC = 6;
    cutter.APMX = 1e-9;
    EXPECT_WITHIN(50 * tip_compliance(cutter), 0.011789, 1e-4);
    EXPECT_WITHIN(1 / tip_compliance(cutter), 4241.2, 1e-4);
    EXPECT_WITHIN(stress(cutter, 50, 0), 70.74, 1e-3);
    cutter.APMX = 30;
    EXPECT_WITHIN(50 * tip_compliance(cutter), 0.028782, 1e-4);
    EXPECT_WITHIN(1 / tip_compliance(cutter), 1737.2, 1e-4);
    EXPECT_WITHIN(stress(cutter, 50, 0), 138.16, 1e-4);
    cutter.APMX = 20;
    EXPECT_WITHIN(50 * tip_compliance(cutter), 0.016824, 1e-4);
    EXPECT_LT(tip_compliance(cutter, 5), tip_compliance(cutter, 0));
    EXPECT_GT(stress(cutter, 50, 500), stress(cutter, 50, 0));
}

// Particleboard, kc 37.6 (Palubicki, Materials 14 (2021) 2208), ap 6, D 6, fz 0.2, vf 3000: answer computed.
TEST(Force, ParticleboardSlot) {
    EXPECT_WITHIN(37.6 * 6 * 0.2, 45.12, 1e-4);
    const ForceLaw law = linear(37.6, 0, 0, 0, 0, 0);
    const double n = 3000 / (2 * 0.2);
    Cut cut{6, 2, 0, 0, 6, 0.2, 0, pi};
    EXPECT_WITHIN(power_of(mean_torque(law, cut) / 1000, n), 37.6 * removal_rate(6, 6, 3000) / 60e3, 1e-6);
    EXPECT_WITHIN(37.6 * removal_rate(6, 6, 3000) / 60e3, 67.68, 1e-4);
    EXPECT_WITHIN(0.05 * 1737.2 / (37.6 * 6), 0.3850, 3e-4);
}

// Published: a mini-mill stiffness study (MIT): 110 W and 11 N, D 4; 20 µm and 2.5 µm; within 15 %.
TEST(Force, MiniMillStudy) {
    const double v = 110.0 / 11;
    EXPECT_WITHIN(speed_for(4, v * 60), 47746, 1e-4);
    EXPECT_WITHIN(11 / 0.6, 20.0, 0.15);
    EXPECT_WITHIN(11 / 5.0, 2.5, 0.15);
}

RC_GTEST_PROP(Force, ClosedFormsAgreeWithSummation, ()) {
    const auto pick = [](int low, int high) { return static_cast<double>(*rc::gen::inRange(low, high)); };
    const ForceLaw law =
        linear(pick(20, 2000), pick(0, 300) / 10, pick(10, 900), pick(0, 300) / 10, pick(0, 400), pick(0, 30) / 10);
    Cut cut{pick(1, 25), *rc::gen::inRange(1, 9), pick(0, 50), 0, pick(1, 100) / 10, pick(5, 300) / 1000, 0, 0};
    engage(cut, cut.diameter * pick(5, 101) / 100, *rc::gen::arbitrary<bool>());
    const PeakForce peak = peak_force(law, cut);
    const Force mean = mean_force(law, cut);
    // The sum over positions of the cutter has steps where a straight edge enters and leaves.
    const double tolerance = 0.04 * peak.in_plane + 1e-6;
    RC_ASSERT(std::abs(peak.mean.x - mean.x) < tolerance);
    RC_ASSERT(std::abs(peak.mean.y - mean.y) < tolerance);
    RC_ASSERT(std::abs(peak.mean_torque - mean_torque(law, cut)) < 0.04 * peak.torque + 1e-6);
    RC_ASSERT(std::abs(ForceTable(law, cut).torque(cut.fz, cut.ap) - mean_torque(law, cut)) <
              2e-4 * mean_torque(law, cut));
    const Force tabled = ForceTable(law, cut).mean(cut.fz, cut.ap);
    RC_ASSERT(std::hypot(tabled.x - mean.x, tabled.y - mean.y) < 2e-4 * (std::hypot(mean.x, mean.y) + peak.in_plane));
    RC_ASSERT(peak.in_plane + 1e-9 >= std::hypot(peak.mean.x, peak.mean.y));
}

TEST(Force, HelixMovesPeaksNotAverages) {
    Cut cut{6, 2, 0, 0, 6, 0.05, 0, 0};
    engage(cut, 1.5);
    const PeakForce straight = peak_force(kAl6082, cut);
    cut.helix = 45;
    const PeakForce helical = peak_force(kAl6082, cut);
    EXPECT_LT(helical.in_plane, 0.8 * straight.in_plane);
    EXPECT_WITHIN(helical.mean.y, straight.mean.y, 0.03); // 120 positions; a straight edge enters with a step
}

// Kienzle's averages against brute force over angle and depth.
TEST(Force, KienzleAveragesAgreeWithBruteForce) {
    const ForceLaw law{0.25, 600, 240, 0, 0, 0, 0};
    Cut cut{6, 2, 30, 0, 3, 0.04, 0, 0};
    engage(cut, 2);
    double x = 0, y = 0;
    constexpr int steps = 200'000;
    for (int i = 0; i < steps; ++i) {
        const double phi = cut.entry + (cut.exit - cut.entry) * (i + 0.5) / steps, h = cut.fz * std::sin(phi);
        const double t = 600 * std::pow(h, 0.75), r = 240 * std::pow(h, 0.75);
        x -= t * std::cos(phi) + r * std::sin(phi);
        y += t * std::sin(phi) - r * std::cos(phi);
    }
    const double scale = cut.teeth * cut.ap * (cut.exit - cut.entry) / (2 * pi) / steps;
    EXPECT_WITHIN(mean_force(law, cut).x, x * scale, 1e-5);
    EXPECT_WITHIN(mean_force(law, cut).y, y * scale, 1e-5);
    const PeakForce peak = peak_force(law, cut);
    EXPECT_WITHIN(peak.mean.y, y * scale, 0.01);
}

TEST(Force, RunOutRaisesThePeak) {
    Cut cut{6, 2, 30, 0, 2, 0.05, 0, pi};
    const double even = peak_force(kAl6082, cut).in_plane;
    cut.runout = 0.02;
    EXPECT_GT(peak_force(kAl6082, cut).in_plane, 1.2 * even);
    cut.teeth = 1;
    const double single = peak_force(kAl6082, cut).in_plane;
    cut.runout = 0;
    EXPECT_NEAR(peak_force(kAl6082, cut).in_plane, single, 1e-9 * single) << "one tooth does not feel run-out";
}

TEST(Force, UpCutLiftsAndDownCutPresses) {
    const shop::Material& mdf = *find_material(shop::shipped(), "mdf");
    shop::Cutter cutter = *find_cutter(shop::shipped(), "flat-6");
    Cut cut{6, 2, 30, 0, 3, 0.1, 0, pi};
    EXPECT_GT(peak_force(force_law(mdf, cutter, Side::likely), cut).axial, 0);
    cutter.helix = -30;
    EXPECT_LT(mean_force(force_law(mdf, cutter, Side::likely), cut).z, 0);
    EXPECT_GT(force_law(mdf, cutter, Side::cautious).kt, force_law(mdf, cutter, Side::likely).kt);
}

} // namespace
} // namespace kerfwright::cutting
