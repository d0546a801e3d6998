#pragma once
// Finished edges by exact distance from the path: the distance from a point of the asked outline to the nearest path
// of a cutter's axis, less the cutter's radius. No height field is asked.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

/// Stretches of path at or below `limit`, each with the radius its cutter has at the height `at`.
/// `feeds_only` leaves rapids out; `widest` takes the larger radius where it changes along a stretch, else the smaller.
struct LevelQuery {
    double limit = 0;
    double at = 0;
    bool feeds_only = false;
    bool widest = true;
};
[[nodiscard]] PathTree path_at_level(const Sequence& sequence, const LevelQuery& query);

struct EdgeProof {
    std::vector<PartProof> parts;
    std::vector<Finding> findings;
};

/// Every part's outline and the pocket's wall. `cutting` is the path below the stock's top at any height.
[[nodiscard]] EdgeProof prove_edges(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                    int threads);

} // namespace kerfwright::proof
