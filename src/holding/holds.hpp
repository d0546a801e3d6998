#pragma once
// Strength of single holds: statics of common workshop holds. N, mm, MPa; angles in degrees.

#include "shop/material.hpp"

namespace kerfwright::holding {

/// A rectangle of tape b × L that is tilted about an edge of length b: linear stress, one edge at its limit: σ b L²/6.
[[nodiscard]] double tape_tilt_moment(double stress, double width, double length);
/// Peel force per width, N/mm, of an inextensible strip: G/(1 - cos θ), G in N/mm (1 N/mm = 1000 J/m²).
[[nodiscard]] double peel_force(double energy, double angle_deg);
/// Williams, Landel and Ferry (1955), universal constants: log10 of the shift of rate, at T - Tg in K. How tape
/// weakens.
[[nodiscard]] double wlf_log_shift(double above_tg);

/// Normal force, N, of a pressure difference in kPa on an area in mm².
[[nodiscard]] double vacuum_force(double kpa, double area);
/// Largest pressure difference, kPa, at a height in m above the sea (standard atmosphere).
[[nodiscard]] double atmosphere_kpa(double height);
/// Flow through a bleeder board, m³/h (Darcy): k A Δp/(µ t); k in m², A in m², Δp in kPa, t in mm.
[[nodiscard]] double bleed_flow(double permeability, double area, double kpa, double thickness);

/// A bridge of width w (along the edge), thickness t, across a slot L.
struct TabStrength {
    double pull = 0;     ///< N normal to the edge: σt w t
    double in_plane = 0; ///< N along the edge: fixed beam, σb t w²/(3L), at most 0.6 of the pull (shear)
    double lift = 0;     ///< N up: fixed beam, σb w t²/(3L): the weak direction
};
[[nodiscard]] TabStrength tab_strength(double width, double thickness, double slot, double tensile, double bending);

/// A skin of thickness s under a slot: τ P s in the plane.
[[nodiscard]] double skin_force(double shear, double perimeter, double skin);

/// Bolt: F = T/(K d); torque in N·m, d in mm. Strap clamp: F a/(a + b), a from heel to bolt, b from bolt to work.
[[nodiscard]] double bolt_preload(double torque, double diameter, double nut_factor);
[[nodiscard]] double strap_clamp_force(double bolt, double heel_to_bolt, double bolt_to_work);

/// Safety factors on the peak force, common practice all of them.
struct SafetyFactors {
    double vacuum = 2.5, friction = 2.5, tabs = 3, skin = 3;
    double tape = 1; ///< the machine's tape stresses are allowable ones, factored already
};
/// Half a factor more for metal, laminate, and cutters of 6 mm and over.
[[nodiscard]] SafetyFactors safety_factors(shop::MaterialKind kind, double cutter_diameter);

} // namespace kerfwright::holding
