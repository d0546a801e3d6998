#pragma once
// Kinematics of milling: speeds, feeds, chip thickness, run-out. mm, min, rad. Exact relations for circular arcs; the
// true path is a trochoid, which differs by about fz/(pi DC).

#include <cmath>
#include <numbers>
#include <vector>

namespace kerfwright::cutting {

/// Surface speed, m/min, of a diameter in mm at n rev/min; and n for a surface speed.
[[nodiscard]] inline double surface_speed(double diameter, double n) {
    return std::numbers::pi * diameter * n / 1000;
}
[[nodiscard]] inline double speed_for(double diameter, double vc) {
    return 1000 * vc / (std::numbers::pi * diameter);
}

/// Removal rate Q, mm³/min.
[[nodiscard]] inline double removal_rate(double ap, double ae, double vf) {
    return ap * ae * vf;
}

/// Torque in N·m of a power in W at n rev/min, and back.
[[nodiscard]] inline double torque_of(double power, double n) {
    return power * 60 / (2 * std::numbers::pi * n);
}
[[nodiscard]] inline double power_of(double torque, double n) {
    return torque * 2 * std::numbers::pi * n / 60;
}

/// Arc of engagement φs = acos(1 - 2 ae/D), rad; ae is held inside [0, D].
[[nodiscard]] double engagement_angle(double ae, double diameter);
/// Thickest chip over feed per tooth: sin φs below half immersion, else 1. Its inverse is the chip-thinning factor.
[[nodiscard]] double chip_ratio(double ae, double diameter);
/// Mean chip over feed per tooth along the arc: 2 ae / (D φs); 2/π in a slot.
[[nodiscard]] double mean_chip_ratio(double ae, double diameter);

/// Feed of each tooth when the cutter runs out by `tir` (total indicator reading), with the throw where it makes the
/// thickest chip: h_j = max(0, min over m >= 1 of (m fz + r_j - r_(j-m))), r_j = tir/2 cos(2πj/N + phase).
/// Largest minus fz is tir sin(π/N) while every tooth cuts. REQUIRES: teeth >= 1.
[[nodiscard]] std::vector<double> feeds_with_runout(double fz, double tir, int teeth);

/// Taylor (1907): V T^n = C. Life T in min at speed V.
[[nodiscard]] inline double taylor_life(double speed, double exponent, double constant) {
    return std::pow(constant / speed, 1 / exponent);
}

} // namespace kerfwright::cutting
