#include "cutting/heat.hpp"

#include "cutting/force.hpp"

#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

constexpr double kShareInChip = 0.9;
constexpr double kBandOverEdge = 10;
constexpr double kCarbideEffusivity = 16'500; ///< W √s/(m² K): k 80, ρ 14,900, c 230 (from memory)

} // namespace

double chip_temperature(const shop::Material& material, double mean_chip, double edge_share) {
    if (!material.specific_heat || mean_chip <= 0) return kShopTemperature;
    ForceLaw law = force_law(material, shop::Cutter{}, Side::likely);
    law.et *= edge_share;
    const double kc = law.tangential(mean_chip) / mean_chip;
    return kShopTemperature + kShareInChip * kc * 1e6 / (material.density.value * material.specific_heat->value);
}

double face_temperature(const shop::Material& material, const shop::Cutter& cutter, double vc) {
    if (!material.specific_heat || !material.conductivity || vc <= 0) return kShopTemperature;
    const double edge = force_law(material, cutter, Side::likely).et * 1000; // N/m
    const double band = kBandOverEdge * cutter.edge_radius / 1000;           // m
    if (band <= 0) return kShopTemperature;
    const double squared = material.conductivity->value * material.density.value * material.specific_heat->value;
    const double share = std::sqrt(squared) / (std::sqrt(squared) + kCarbideEffusivity);
    return kShopTemperature + share * 2 * edge * std::sqrt(vc / 60 / (std::numbers::pi * band * squared));
}

double cut_temperature(const shop::Material& material, const shop::Cutter& cutter, double mean_chip, double vc,
                       double edge_share) {
    switch (material.kind) {
    case shop::MaterialKind::plastic:
        return chip_temperature(material, mean_chip, edge_share);
    case shop::MaterialKind::laminate:
        return face_temperature(material, cutter, vc);
    default:
        return kShopTemperature;
    }
}

} // namespace kerfwright::cutting
