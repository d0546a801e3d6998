#include "holding/skin.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::holding {
namespace {

/// Standard normal distribution.
double below(double z) {
    return std::erfc(-z / std::sqrt(2.0)) / 2;
}

} // namespace

double SkinSpread::total() const {
    return std::sqrt(bed * bed + zero * zero + sheet * sheet);
}

SkinSpread skin_spread(const shop::Sheet& sheet, const shop::Material& material, const shop::Machine& machine) {
    SkinSpread spread;
    spread.bed = machine.bed_flatness / std::sqrt(12.0);
    if (sheet.bed.size() >= 3) spread.bed = std::min(spread.bed, shop::bed_error(sheet)); // skins follow the map
    spread.zero = machine.z_repeat;
    if (sheet.measured.size() < 2) {
        spread.sheet = material.thickness_tolerance.value / 4;
        return spread;
    }
    double mean = 0, squares = 0;
    for (const shop::ThicknessPoint& p : sheet.measured)
        mean += p.thickness;
    mean /= static_cast<double>(sheet.measured.size());
    for (const shop::ThicknessPoint& p : sheet.measured)
        squares += (p.thickness - mean) * (p.thickness - mean);
    spread.sheet = std::sqrt(squares / static_cast<double>(sheet.measured.size() - 1)) / 2;
    return spread;
}

double chance_thinner(double skin, double least, const SkinSpread& spread, int spots) {
    const double local = std::hypot(spread.bed, spread.sheet);
    // The chance that all spots hold, averaged over the common error (midpoints of 64 equal slices of ±4 deviations).
    constexpr int slices = 64;
    double hold = 0, weights = 0;
    for (int i = 0; i < slices; ++i) {
        const double z = -4 + 8 * (i + 0.5) / slices, weight = std::exp(-z * z / 2);
        const double spare = skin + z * spread.zero - least;
        const double one = local > 0 ? below(spare / local) : (spare >= 0 ? 1 : 0);
        hold += weight * std::pow(one, std::max(1, spots));
        weights += weight;
    }
    return 1 - hold / weights;
}

} // namespace kerfwright::holding
