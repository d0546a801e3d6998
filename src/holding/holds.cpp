#include "holding/holds.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::holding {

double tape_tilt_moment(double stress, double width, double length) {
    return stress * width * length * length / 6;
}

double peel_force(double energy, double angle_deg) {
    return energy / (1 - std::cos(angle_deg * std::numbers::pi / 180));
}

double wlf_log_shift(double above_tg) {
    return -17.44 * above_tg / (51.6 + above_tg);
}

double vacuum_force(double kpa, double area) {
    return kpa * 1e-3 * area;
}

double atmosphere_kpa(double height) {
    return 101.325 * std::pow(1 - 2.25577e-5 * height, 5.25588);
}

double bleed_flow(double permeability, double area, double kpa, double thickness) {
    constexpr double viscosity = 1.82e-5; // Pa·s, air
    return permeability * area * kpa * 1000 / (viscosity * thickness / 1000) * 3600;
}

TabStrength tab_strength(double width, double thickness, double slot, double tensile, double bending) {
    TabStrength strength;
    strength.pull = tensile * width * thickness;
    strength.in_plane = std::min(bending * thickness * width * width / (3 * slot), 0.6 * strength.pull);
    strength.lift = bending * width * thickness * thickness / (3 * slot);
    return strength;
}

double skin_force(double shear, double perimeter, double skin) {
    return shear * perimeter * skin;
}

double bolt_preload(double torque, double diameter, double nut_factor) {
    return torque * 1000 / (nut_factor * diameter);
}

double strap_clamp_force(double bolt, double heel_to_bolt, double bolt_to_work) {
    return bolt * heel_to_bolt / (heel_to_bolt + bolt_to_work);
}

SafetyFactors safety_factors(shop::MaterialKind kind, double cutter_diameter) {
    SafetyFactors factors;
    const bool hard = kind == shop::MaterialKind::metal || kind == shop::MaterialKind::laminate;
    const double more = (hard ? 0.5 : 0) + (cutter_diameter >= 6 ? 0.5 : 0);
    factors.vacuum += more;
    factors.friction += more;
    factors.tabs += more;
    factors.skin += more;
    factors.tape *= (3 + more) / 3;
    return factors;
}

} // namespace kerfwright::holding
