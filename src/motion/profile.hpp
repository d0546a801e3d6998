#pragma once
// Speed profiles of one straight run, and speeds through corners. mm and s throughout.
//
// Trapezoids and seven-segment S-curves as in Biagiotti and Melchiorri 2008 and Erkorkmaz and Altintas 2001 (both from
// memory; formulas derived again and checked).

namespace kerfwright::motion {

/// Time over `length` from speed v0 to v1, at v at most, with acceleration a.
/// REQUIRES: v0, v1 <= v; |v1² - v0²| <= 2 a length, up to rounding.
[[nodiscard]] double trapezoid_time(double length, double v0, double v1, double v, double a);

/// The same with acceleration that changes by j at most, and is zero at both ends. Speeds that cannot be reached within
/// `length` are taken as the nearest that can: the time is then that of the ramp.
[[nodiscard]] double s_curve_time(double length, double v0, double v1, double v, double a, double j);

/// Time to change speed by dv under acceleration a and jerk j, from and to zero acceleration.
[[nodiscard]] double s_curve_ramp(double dv, double a, double j);

/// An arc of radius r whose tangential and normal acceleration share one limit a: v² = a r sin(2 s / r) from rest.
/// REQUIRES: v0, v1 <= v <= sqrt(a r).
[[nodiscard]] double shared_arc_time(double length, double v0, double v1, double v, double a, double r);
/// The largest speed after `length` of such an arc, from v0.
[[nodiscard]] double shared_arc_reach(double length, double v0, double a, double r);

/// How a corner is taken: at `speed`, leaving each side `consumed` mm before or after the vertex, along a way of
/// `length` mm.
struct Corner {
    double speed = 0;
    double consumed = 0;
    double length = 0;
};
/// The arc inscribed in a corner of turn angle `turn` (0: straight on) that passes the vertex at `deviation`:
/// R = deviation cos(turn/2) / (1 - cos(turn/2)), v = sqrt(a R). No more than `room` of either side is used.
[[nodiscard]] Corner arc_corner(double turn, double deviation, double a, double room = 1e300);
/// A blend of constant acceleration (Taylor 1979, from memory): v = sqrt(2 a deviation) / sin(turn/2).
[[nodiscard]] Corner parabola_corner(double turn, double deviation, double a, double room = 1e300);

} // namespace kerfwright::motion
