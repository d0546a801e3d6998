// Coefficients from material constants, against worked examples: constants as named, answers computed independently.

#include "cutting/orthogonal.hpp"
#include "shop/library.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace kerfwright::cutting {
namespace {

#define EXPECT_WITHIN(actual, expected, share) EXPECT_NEAR(actual, expected, std::abs(expected) * (share))

// Ti6Al4V, rake 12°, h 0.05, inclination 30° (database of Budak, Altintas and Armarego 1996, from memory).
TEST(Orthogonal, TitaniumToOblique) {
    const double r = (1.755 - 0.028 * 12) * std::pow(0.05, 0.331 - 0.0082 * 12);
    EXPECT_WITHIN(r, 0.7069, 0.001);
    const double phi = shear_angle(r, 12);
    EXPECT_WITHIN(phi, 39.03, 0.001);
    const ForceLaw law = oblique_law(613, phi, 19.1 + 0.29 * 12, 12, 30);
    EXPECT_WITHIN(law.kt, 1510.0, 0.001);
    EXPECT_WITHIN(law.kr, 214.6, 0.001);
    EXPECT_WITHIN(law.ka, 514.9, 0.001);
}

// Aluminium, rake 12°, h 0.05, V 100, inclination 30° (Altintas, Table 2.1, from memory).
TEST(Orthogonal, AluminiumToOblique) {
    const double phi = 24.2 + 36.67 * 0.05 + 0.0049 * 100 + 0.3 * 12;
    const double beta = 18.79 + 6.7 * 0.05 - 0.0076 * 100 + 0.2561 * 12;
    EXPECT_WITHIN(phi, 30.12, 0.001);
    EXPECT_WITHIN(beta, 21.44, 0.001);
    const ForceLaw law = oblique_law(297.05 + 1.05 * 12, phi, beta, 12, 30);
    EXPECT_WITHIN(law.kt, 827.0, 0.001);
    EXPECT_WITHIN(law.kr, 102.5, 0.001);
    EXPECT_WITHIN(law.ka, 291.2, 0.001);
}

// Pine (Orlowski, Ochrymiuk, Atkins and Chuchala 2013, from memory; friction 0.6 published), rake 9°.
TEST(Orthogonal, PineByFracture) {
    const FractureCut pine = fracture_cut(1.295, 20.861, 0.6, 9);
    EXPECT_NEAR(pine.shear_angle, 34.018, 0.001);
    EXPECT_NEAR(pine.strain, 1.9482, 1e-4);
    EXPECT_NEAR(pine.factor, 0.6575, 1e-4);
    EXPECT_NEAR(pine.k + pine.e / 0.1, 81.5, 0.05);
}

// HDPE (Chang and Williams, Procedia Structural Integrity 2 (2016) 309, published), rake 15°.
TEST(Orthogonal, HdpeByYieldAndFracture) {
    const FractureCut hdpe = polymer_cut(52.2, 0.96, 1.157, 15);
    EXPECT_NEAR(std::tan(hdpe.shear_angle * 3.14159265358979 / 180), 1.075, 0.001);
    EXPECT_NEAR(hdpe.k + hdpe.e / 0.05, 71.5, 0.05);
    EXPECT_NEAR(hdpe.k + hdpe.e / 0.1, 61.9, 0.05);
    EXPECT_NEAR(hdpe.k + hdpe.e / 0.2, 57.1, 0.05);
    const shop::CuttingForce& shipped = find_material(shop::shipped(), "hdpe")->force;
    EXPECT_LE(shipped.ktc.low, hdpe.k) << "the shipped range begins at the frictionless value";
    EXPECT_GE(shipped.ktc.high, hdpe.k);
}

// Al 7075 (767.01, 27.7; Chin. J. Mech. Eng. 2021), h 0.02 to 0.1: computed.
TEST(Orthogonal, LocalKienzleFit) {
    const KienzleFit fit = fit_kienzle(767.01, 27.7, 0.02, 0.1);
    EXPECT_NEAR(fit.kc11, 354.4, 0.5);
    EXPECT_NEAR(fit.mc, 0.449, 0.001);
    EXPECT_NEAR(fit.error, 0.048, 0.001);
}

} // namespace
} // namespace kerfwright::cutting
