#pragma once
// How far a material moves when the air does: wood by its moisture content, panels by the humidity, plastics and metals
// by the temperature. What comes out is strain, 0.001 being 1 mm per m, positive when the material grows.
//
// WH is Wood Handbook, FPL-GTR-190, Forest Products Laboratory (2010).

#include "base/result.hpp"
#include "shop/material.hpp"

#include <optional>

namespace kerfwright::fit {

/// The air that a part has come to rest in. Thin parts need days for that, stacked sheets weeks.
struct Climate {
    double humidity = 50;    ///< % RH, 0 to 100
    double temperature = 20; ///< °C, -20 to 100
};

/// Every humidity and every temperature between those of `low` and `high` is as likely as any other (uniform), and the
/// two have nothing to do with each other. {c, c} is a climate known exactly.
struct ClimateRange {
    Climate low, high;
};

/// What is wrong with a range: a number out of its bounds, or low above high. The functions below need climates that
/// pass; with others they stay harmless, but their numbers mean nothing.
[[nodiscard]] std::optional<Problem> check(const ClimateRange& range);

/// Equilibrium moisture content of wood, % of its oven-dry mass: 0 at 0 % RH, below fibre saturation (30 %) at 100 %.
/// Hailwood-Horrobin equation with two hydrates, WH eq. 4-5; constants for °C as in Simpson, FPL-RN-0268 (1998).
/// Single boards, and drying against wetting, differ by 1 to 2 %. Not for MDF, which holds less.
[[nodiscard]] double equilibrium_moisture(const Climate& climate);

/// The inverse: % RH at which wood of this moisture content (%) neither dries nor wets; to 1e-9 % RH. Empty where no
/// humidity from 0 to 100 does that.
[[nodiscard]] std::optional<double> humidity_for_moisture(double moisture, double temperature);

/// WH eq. 13-3 (from memory; it gives the coefficients of WH Table 13-5 from the shrinkage of WH Table 4-3): strain of
/// wood of `shrinkage` (total, green to oven-dry, % of the green size; 0 to below 100) between two moisture contents
/// in %. The size is taken as linear in the moisture below fibre saturation at 30 %, and as constant above.
[[nodiscard]] double strain_by_shrinkage(double shrinkage, double from, double to);

/// Coefficient per % of moisture content from total shrinkage in %, C = S / (3000 - 20 S): WH eq. 13-3 at 10 %, the
/// moisture that WH Table 13-5 refers to.
[[nodiscard]] double coefficient_of_shrinkage(double shrinkage);

/// Strain of wood of `coefficient` (per % of moisture content; C of WH Table 13-5) between two moisture contents in %.
/// With both in 6 to 14 %: WH eq. 13-2, C (to - from). Otherwise: WH eq. 13-3 with the shrinkage that has this
/// coefficient. Where one takes over from the other the strain jumps by C |from - 10| of itself, for the liveliest wood
/// of the table less than 2 %; the coefficients themselves are good to 20 % or so.
[[nodiscard]] double strain_by_moisture(double coefficient, double from, double to);

/// Strain of a panel of `coefficient` per % RH between two humidities in % RH; linear, from boards measured at two
/// humidities (WH gives none).
[[nodiscard]] double strain_by_humidity(double coefficient, double from, double to);

/// Strain by heat; `expansion` in 1e-6 / K, temperatures in °C.
[[nodiscard]] double strain_by_temperature(double expansion, double from, double to);

/// Strains of a sheet along and across its grain. growth_of_grain (assembly.hpp) turns them into the drawing's frame.
struct Movement {
    double along = 0, across = 0;
};

/// From one climate to another: by moisture or humidity as the material says, plus by heat. Takes the middle values of
/// the material; but wood expands along its grain by the low end of `expansion`, across it by the middle.
[[nodiscard]] Movement movement_of(const shop::Material& material, const Climate& from, const Climate& to);

/// What the air does to a sheet between two climates that are known as ranges: the mean strain, and for each of the
/// four causes the strain that goes with one standard deviation of it (for fit::Errors: `growth` and `swings`). What
/// shares the cause moves together: all that is in one room, all that was cut on one day.
struct MovementSpread {
    Movement mean;
    Movement humidity_before, temperature_before, humidity_after, temperature_after;
};

/// Of movement_of over two ranges that have nothing to do with each other: the shop's while cutting, the customer's
/// ever after. Mean and the least-squares slope along each cause, by Gauss-Legendre quadrature with three points for
/// each humidity and temperature. Where movement is linear a slope is (high - low) / sqrt(12) times the coefficient;
/// what is left out are products of causes, for wood in rooms below 1 % of the whole deviation.
[[nodiscard]] MovementSpread movement_spread_of(const shop::Material& material, const ClimateRange& from,
                                                const ClimateRange& to);

} // namespace kerfwright::fit
