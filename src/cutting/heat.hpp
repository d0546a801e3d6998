#pragma once
// How hot chips and the cut face get. Estimates that order settings rightly; their assumptions are stated and not
// measured.

#include "shop/cutter.hpp"
#include "shop/material.hpp"

namespace kerfwright::cutting {

inline constexpr double kShopTemperature = 20; ///< °C

/// Temperature of a chip that keeps 0.9 of its cutting work (Taylor and Quinney 1934, the share from memory):
/// T0 + 0.9 kc / (ρ c), kc in MPa = J/cm³. Thin chips are hot because edge work falls on little material: this is why
/// plastics melt at low feed. `edge_share` of the edge's work stays with the chip: all of it in a slot, where chips are
/// recut, half in the open (assumed). T0 when the material has no specific heat.
[[nodiscard]] double chip_temperature(const shop::Material& material, double mean_chip, double edge_share = 1);

/// Flash temperature of the cut face under the edge: a band of length l = 10 edge radii (assumed) sliding at vc with
/// the edge force kte (Jaeger 1942: 2 q √(l/(π k ρ c vc)), fast sliding), of which the work takes its share by thermal
/// effusivity against carbide. Grows with √vc: slow keeps a laminate's resin below its glass temperature.
[[nodiscard]] double face_temperature(const shop::Material& material, const shop::Cutter& cutter, double vc);

/// The chip for plastics, the face for laminates: what softens first. T0 for the rest.
[[nodiscard]] double cut_temperature(const shop::Material& material, const shop::Cutter& cutter, double mean_chip,
                                     double vc, double edge_share = 1);

} // namespace kerfwright::cutting
