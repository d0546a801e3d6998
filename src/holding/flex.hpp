#pragma once
// A thin sheet between its holds bends and rings. Private to holding/.

#include "holding/holding.hpp"

#include <optional>

namespace kerfwright::holding {

/// Side of the largest square of the sheet that no clamp touches: twice the largest distance from a place on the sheet
/// to its nearest clamp or, where no place is so far from the middle, as far as the sheet goes. 0 without clamps.
[[nodiscard]] double clear_span(const shop::Sheet& sheet);
/// The place that is farthest from all clamps, at least `room` mm outside of every part: where another hold helps most.
/// Without clamps the place nearest to the sheet's middle. Nothing when the parts leave no such place.
[[nodiscard]] std::optional<plane::Vec> clear_place(const shop::Sheet& sheet, const std::vector<PartToHold>& parts = {},
                                                    double room = 0);

/// Deflection, mm, of a square plate with simply supported edges under a force in its middle: 0.01160 F a²/D,
/// D = E t³/12 (1 - ν²) (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, §34).
[[nodiscard]] double plate_deflection(double force, double span, double thickness, double elastic_modulus);

/// Lowest natural frequency of that plate, Hz: (π/a²) √(D/(ρ t)).
[[nodiscard]] double plate_frequency(double span, double thickness, double elastic_modulus, double density);

} // namespace kerfwright::holding
