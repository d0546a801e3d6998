#include "motion/profile.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::motion {
namespace {

/// Largest x in [low, high] with fits(x), which holds at low and fails from some x on.
template <class Fits>
double largest(double low, double high, const Fits& fits) {
    if (fits(high)) return high;
    constexpr int kHalvings = 80;
    for (int i = 0; i < kHalvings; ++i) {
        const double half = (low + high) / 2;
        (fits(half) ? low : high) = half;
    }
    return low;
}

double ramp_length(double from, double to, double a, double j) {
    return s_curve_ramp(std::abs(to - from), a, j) * (from + to) / 2;
}

/// Integral of dt = (r / 2) d theta / sqrt(a r sin theta) from theta0 to theta1, by Gauss and Legendre in
/// x = sqrt(theta), where it is smooth.
double shared_ramp_time(double theta0, double theta1, double a, double r) {
    static constexpr double kNodes[] = {0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363};
    static constexpr double kWeights[] = {0.3626837833783620, 0.3137066458778873, 0.2223810344533745,
                                          0.1012285362903763};
    const double low = std::sqrt(theta0);
    const double high = std::sqrt(theta1);
    const auto slope = [&](double x) {
        const double theta = x * x;
        const double ratio = theta > 0 ? theta / std::sin(theta) : 1;
        return r * std::sqrt(ratio / (a * r));
    };
    double sum = 0;
    for (int i = 0; i < 4; ++i)
        for (const double sign : {-1.0, 1.0})
            sum += kWeights[i] * slope((low + high) / 2 + sign * kNodes[i] * (high - low) / 2);
    return sum * (high - low) / 2;
}

double angle_of_speed(double v, double a, double r) {
    return std::asin(std::min(1.0, v * v / (a * r)));
}

} // namespace

double trapezoid_time(double length, double v0, double v1, double v, double a) {
    if (!(length > 0)) return 0;
    const double peak_square = (2 * a * length + v0 * v0 + v1 * v1) / 2;
    const double peak = std::max({std::min(v, std::sqrt(peak_square)), v0, v1});
    const double ramps = (2 * peak * peak - v0 * v0 - v1 * v1) / (2 * a);
    return (2 * peak - v0 - v1) / a + (ramps < length ? (length - ramps) / peak : 0);
}

double s_curve_ramp(double dv, double a, double j) {
    return dv >= a * a / j ? dv / a + a / j : 2 * std::sqrt(dv / j);
}

namespace {

/// From rest to rest, closed: v and a reached, a reached, neither.
double s_curve_from_rest(double length, double v, double a, double j) {
    if (const double ramp = s_curve_ramp(v, a, j); length >= v * ramp) return length / v + ramp;
    if (length >= 2 * a * a * a / (j * j)) {
        const double square = a * a / j;
        return 4 * length / (std::sqrt(square * square + 4 * a * length) - square);
    }
    return 4 * std::cbrt(length / (2 * j));
}

} // namespace

double s_curve_time(double length, double v0, double v1, double v, double a, double j) {
    if (!(length > 0)) return 0;
    if (v0 == 0 && v1 == 0) return s_curve_from_rest(length, v, a, j);
    const double low = std::min(v0, v1);
    const double top = std::max(v0, v1);
    if (ramp_length(low, top, a, j) > length) { // too short for the change: what of it can be done
        const double reached = largest(low, top, [&](double u) { return ramp_length(low, u, a, j) <= length; });
        return reached + low > 0 ? 2 * length / (reached + low) : 0;
    }
    const double peak = largest(
        top, std::max(top, v), [&](double u) { return ramp_length(v0, u, a, j) + ramp_length(u, v1, a, j) <= length; });
    const double ramps = ramp_length(v0, peak, a, j) + ramp_length(peak, v1, a, j);
    return s_curve_ramp(peak - v0, a, j) + s_curve_ramp(peak - v1, a, j) +
           (ramps < length ? (length - ramps) / peak : 0);
}

double shared_arc_reach(double length, double v0, double a, double r) {
    const double theta = angle_of_speed(v0, a, r) + 2 * length / r;
    return std::sqrt(a * r * (theta < std::acos(0.0) ? std::sin(theta) : 1.0));
}

double shared_arc_time(double length, double v0, double v1, double v, double a, double r) {
    if (!(length > 0)) return 0;
    const double theta0 = angle_of_speed(v0, a, r);
    const double theta1 = angle_of_speed(v1, a, r);
    const double met = (2 * length / r + theta0 + theta1) / 2; // where speeding up and slowing down would meet
    const double peak = std::max({std::min(met, angle_of_speed(v, a, r)), theta0, theta1});
    const double ramps = r / 2 * (2 * peak - theta0 - theta1);
    const double fastest = std::sqrt(a * r * std::sin(peak));
    return shared_ramp_time(theta0, peak, a, r) + shared_ramp_time(theta1, peak, a, r) +
           (ramps < length ? (length - ramps) / fastest : 0);
}

Corner arc_corner(double turn, double deviation, double a, double room) {
    const double half = turn / 2;
    const double gap = 2 * std::sin(half / 2) * std::sin(half / 2); // 1 - cos(half)
    if (!(gap > 0)) return {1e300, 0, 0};
    const double cosine = std::max(0.0, std::cos(half));
    const double tangent = std::tan(half);
    double radius = deviation * cosine / gap;
    if (radius * tangent > room) radius = room / tangent;
    return {std::sqrt(a * radius), radius * tangent, radius * turn};
}

Corner parabola_corner(double turn, double deviation, double a, double room) {
    const double sine = std::sin(turn / 2);
    if (!(sine > 0)) return {1e300, 0, 0};
    const double speed = std::min(std::sqrt(2 * a * deviation) / sine, std::sqrt(a * room / sine));
    const double consumed = speed * speed * sine / a; // speed * time / 2, time = 2 speed sin(turn/2) / a
    return {speed, consumed, 2 * consumed};
}

} // namespace kerfwright::motion
