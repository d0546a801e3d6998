#pragma once
// What is left under the slot around a part, as the text leaves it: skin, tabs, or nothing.

#include "sequence.hpp"

namespace kerfwright::proof {

/// Looks at the middle of the slot every half a millimetre along the part's outer edge. What stands above a slot that
/// is cut through, or by 0.3 mm above a skin, is a tab. `cutting` is the path below the stock's top.
[[nodiscard]] SlotLeft slot_around(const SetupToProve& setup, const AskedPart& part, const Sequence& sequence,
                                   const PathTree& cutting);

/// A gouge for each tab that is left thinner than asked, less the floor's tolerance, at its middle or anywhere over its
/// asked width.
[[nodiscard]] std::vector<Finding> tab_findings(const SetupToProve& setup, const Sequence& sequence,
                                                const PathTree& cutting, const AskedPart& part);

} // namespace kerfwright::proof
