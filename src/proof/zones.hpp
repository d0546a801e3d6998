#pragma once
// What the height field is compared with: the insides of parts, the floors, and the stock outside a pocket.

#include "removal.hpp"

#include <vector>

namespace kerfwright::proof {

[[nodiscard]] std::vector<Zone> zones_of(const SetupToProve& setup);

/// The move that leaves the lowest surface at a place, the first of equals; nothing where no move comes.
[[nodiscard]] std::optional<Finding> lowest_over(const Sequence& sequence, const PathTree& cutting, plane::Vec at);

/// Spots of neighbouring tiles become one finding, with the line of the move that made it (or of the nearest one).
[[nodiscard]] std::vector<Finding> zone_findings(const SetupToProve& setup, const Sequence& sequence,
                                                 const std::vector<Zone>& zones, const Removal& removal,
                                                 const PathTree& cutting);

} // namespace kerfwright::proof
