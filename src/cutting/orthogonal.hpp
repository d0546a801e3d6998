#pragma once
// From orthogonal cutting tests and material constants to the coefficients of the force model: how numbers for a new
// material are made when nobody has milled it. Angles in degrees, stresses in N/mm², h in mm, energies in N/mm (kJ/m²).

#include "cutting/force.hpp"

namespace kerfwright::cutting {

/// Shear plane of an orthogonal cut: tan φ = r cos α / (1 - r sin α), r = h/hc the chip ratio.
[[nodiscard]] double shear_angle(double chip_ratio, double rake);

/// Oblique cutting coefficients from orthogonal ones (Armarego; Altintas 2012, §2.5), chip flow η = inclination i
/// (Stabler's rule), normal angles taken as the orthogonal ones. Edge terms are 0.
[[nodiscard]] ForceLaw oblique_law(double shear_stress, double shear_angle, double friction_angle, double rake,
                                   double inclination);

/// Wood: ductile fracture (Atkins 2003): kc(h) = τ γ/Q + R/(Q h), γ = cos α/(cos(φ - α) sin φ),
/// Q = 1 - sin β sin φ/(cos(β - α) cos(φ - α)), tan β = μ, φ by Merchant: 45° - (β - α)/2. The result is linear-edge.
struct FractureCut {
    double shear_angle = 0, strain = 0, factor = 0; ///< φ in degrees, γ, Q
    double k = 0, e = 0;                            ///< kc(h) = k + e/h
};
[[nodiscard]] FractureCut fracture_cut(double toughness, double shear_stress, double friction, double rake);

/// Polymers: yield and fracture without rake-face friction (Patel, Blackman and Williams 2009):
/// kc(h) = σY/2 (tan φ + cot φ) + Gc/h with φ from the thickening hc/h of the chip.
[[nodiscard]] FractureCut polymer_cut(double yield, double toughness, double thickening, double rake);

/// Kienzle's pair nearest to kc(h) = k + e/h over [h_low, h_high]: least squares in logarithms over 15 points.
struct KienzleFit {
    double kc11 = 0, mc = 0, error = 0; ///< error: largest, as a share
};
[[nodiscard]] KienzleFit fit_kienzle(double k, double e, double h_low, double h_high);

} // namespace kerfwright::cutting
