#pragma once
// The cutter as a stepped cantilever: flutes of 0.8 DC (Kops and Vo, CIRP Annals 1990: equivalent diameter of an end
// mill) up to APMX, then the shank. Collet and machine give way in series.

#include "shop/cutter.hpp"
#include "shop/machine.hpp"

namespace kerfwright::cutting {

inline constexpr double kFluteShare = 0.8; ///< equivalent diameter of the fluted part over DC

/// Deflection at the tip, mm, of 1 N at `from_tip` mm above it; the cutter alone, by unit loads (Castigliano):
/// ∫ M m / (E I). At the tip: (1/3E) [L1³/I1 + (L³ - L1³)/I2].
[[nodiscard]] double tip_compliance(const shop::Cutter& cutter, double from_tip = 0);

/// The same with collet and machine: 1/k = 1/k_tool + 1/k_collet + 1/k_machine, mm/N.
[[nodiscard]] double chain_compliance(const shop::Cutter& cutter, const shop::Machine& machine, double from_tip = 0);

/// Largest von Mises stress, MPa, at the root of the flutes and at the collet, of a force in N at `from_tip` and a
/// torque in N·mm: σ = 32 F L/(π d³), τ = 16 T/(π d³), √(σ² + 3 τ²).
[[nodiscard]] double stress(const shop::Cutter& cutter, double force, double torque, double from_tip = 0);

} // namespace kerfwright::cutting
