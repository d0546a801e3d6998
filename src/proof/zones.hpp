#pragma once
// What the height field is compared with: the insides of parts, the floors, and the stock outside a pocket.

#include "removal.hpp"

#include <vector>

namespace kerfwright::proof {

[[nodiscard]] std::vector<Zone> zones_of(const SetupToProve& setup);

/// Spots of neighbouring tiles become one finding, with the line of the move that made it (or of the nearest one).
[[nodiscard]] std::vector<Finding> zone_findings(const SetupToProve& setup, const Sequence& sequence,
                                                 const std::vector<Zone>& zones, const Removal& removal,
                                                 const PathTree& cutting);

} // namespace kerfwright::proof
