#include "cutting/tool.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

using std::numbers::pi;

double second_moment(double diameter) {
    return pi * std::pow(diameter, 4) / 64;
}

/// ∫ (x - a) x dx over [from, to], x measured from the tip: the moment of a unit load at a times that of one at the
/// tip.
double moment_product(double from, double to, double a) {
    const auto at = [a](double x) { return x * x * x / 3 - a * x * x / 2; };
    return to > from ? at(to) - at(from) : 0;
}

double flute_length(const shop::Cutter& cutter) {
    return std::min(cutter.APMX, cutter.LPR);
}

} // namespace

double tip_compliance(const shop::Cutter& cutter, double from_tip) {
    const double a = std::clamp(from_tip, 0.0, cutter.LPR), root = flute_length(cutter);
    return (moment_product(a, std::max(a, root), a) / second_moment(kFluteShare * cutter.DC) +
            moment_product(std::max(a, root), cutter.LPR, a) / second_moment(cutter.DCON)) /
           cutter.elastic_modulus;
}

double chain_compliance(const shop::Cutter& cutter, const shop::Machine& machine, double from_tip) {
    return tip_compliance(cutter, from_tip) + 1 / machine.collet_stiffness + 1 / machine.stiffness;
}

double stress(const shop::Cutter& cutter, double force, double torque, double from_tip) {
    const auto at = [&](double from_load, double diameter) {
        const double w = pi * std::pow(diameter, 3);
        return std::hypot(32 * force * std::max(0.0, from_load) / w, std::sqrt(3.0) * 16 * torque / w);
    };
    return std::max(at(flute_length(cutter) - from_tip, kFluteShare * cutter.DC),
                    at(cutter.LPR - from_tip, cutter.DCON));
}

} // namespace kerfwright::cutting
