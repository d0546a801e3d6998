#include "cutting/orthogonal.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

} // namespace

double shear_angle(double chip_ratio, double rake) {
    const double a = rake * kDegree;
    return std::atan2(chip_ratio * std::cos(a), 1 - chip_ratio * std::sin(a)) / kDegree;
}

ForceLaw oblique_law(double shear_stress, double shear_angle, double friction_angle, double rake, double inclination) {
    const double phi = shear_angle * kDegree, a = rake * kDegree, i = inclination * kDegree, eta = i;
    const double b = std::atan(std::tan(friction_angle * kDegree) * std::cos(eta));
    const double c = std::cos(phi + b - a), s = std::tan(eta) * std::sin(b), d = std::sqrt(c * c + s * s);
    const double base = shear_stress / std::sin(phi) / d;
    ForceLaw law;
    law.kt = base * (std::cos(b - a) + std::tan(i) * std::tan(eta) * std::sin(b));
    law.kr = base / std::cos(i) * std::sin(b - a);
    law.ka = base * (std::cos(b - a) * std::tan(i) - std::tan(eta) * std::sin(b));
    return law;
}

FractureCut fracture_cut(double toughness, double shear_stress, double friction, double rake) {
    const double a = rake * kDegree, b = std::atan(friction), phi = std::numbers::pi / 4 - (b - a) / 2;
    FractureCut cut;
    cut.shear_angle = phi / kDegree;
    cut.strain = std::cos(a) / (std::cos(phi - a) * std::sin(phi));
    cut.factor = 1 - std::sin(b) * std::sin(phi) / (std::cos(b - a) * std::cos(phi - a));
    cut.k = shear_stress * cut.strain / cut.factor;
    cut.e = toughness / cut.factor;
    return cut;
}

FractureCut polymer_cut(double yield, double toughness, double thickening, double rake) {
    FractureCut cut;
    cut.shear_angle = shear_angle(1 / thickening, rake);
    const double t = std::tan(cut.shear_angle * kDegree);
    cut.strain = t + 1 / t;
    cut.factor = 1;
    cut.k = yield / 2 * cut.strain;
    cut.e = toughness;
    return cut;
}

KienzleFit fit_kienzle(double k, double e, double h_low, double h_high) {
    constexpr int points = 15;
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    const auto at = [&](int i) { return h_low * std::pow(h_high / h_low, i / double{points - 1}); };
    for (int i = 0; i < points; ++i) {
        const double x = std::log(at(i)), y = std::log(k + e / at(i));
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
    }
    const double slope = (points * sxy - sx * sy) / (points * sxx - sx * sx);
    KienzleFit fit{std::exp((sy - slope * sx) / points), -slope, 0};
    for (int i = 0; i < points; ++i)
        fit.error = std::max(fit.error, std::abs(fit.kc11 * std::pow(at(i), -fit.mc) / (k + e / at(i)) - 1));
    return fit;
}

} // namespace kerfwright::cutting
