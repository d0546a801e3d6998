#pragma once
// How thick a skin to leave. Private to holding/.

#include "holding/holding.hpp"

namespace kerfwright::holding {

/// What makes a skin come out thinner or thicker than asked, mm, standard deviations. Program Z is zero on the bed, so
/// a sheet's thickness itself drops out; what remains is how its underside follows the bed.
struct SkinSpread {
    double bed = 0;   ///< low to high over the bed, taken as even: flatness/√12; or what a map of it may be off
    double zero = 0;  ///< the Z zero's repeatability: common to the whole sheet
    double sheet = 0; ///< unevenness of the underside: half of the measured spread (which face is uneven is not known),
                      ///< or a quarter of the tolerance of a bought sheet when nothing is measured
    [[nodiscard]] double total() const;
};
[[nodiscard]] SkinSpread skin_spread(const shop::Sheet& sheet, const shop::Material& material,
                                     const shop::Machine& machine);

/// Chance that a skin comes out thinner than `least` somewhere over `spots` places, each with its own bed and sheet
/// error under one common Z error (normal errors).
[[nodiscard]] double chance_thinner(double skin, double least, const SkinSpread& spread, int spots);

} // namespace kerfwright::holding
