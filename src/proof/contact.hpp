#pragma once
// What may not be touched at all: clamps, the ends of the axes, the bed below what it allows.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

/// Cutter, shank and stack against every clamp's box, which stands from the bed up.
[[nodiscard]] std::vector<Finding> clamp_findings(const SetupToProve& setup, const Sequence& sequence);

/// Room that a shop leaves between the corner of the table's travel and the sheet's zero, mm.
inline constexpr double kZeroInset = 25;

/// The axis of the cutter must stay within [-kZeroInset, travel] in X and Y, and no axis may need more than its travel.
[[nodiscard]] std::vector<Finding> table_findings(const SetupToProve& setup, const Sequence& sequence);

/// Depth below the stock's underside against the machine's allowance.
[[nodiscard]] std::vector<Finding> bed_findings(const SetupToProve& setup, const Sequence& sequence);

} // namespace kerfwright::proof
