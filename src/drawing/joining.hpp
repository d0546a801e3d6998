#pragma once
// Private to drawing/: open chains joined end to end into closed ones.

#include "drawing/curves.hpp"

#include <string_view>

namespace kerfwright::drawing {

struct OpenChain {
    Chain chain;
    std::size_t item = 0;   ///< the caller's number for it, rising in the order of the file
    std::string_view layer; ///< only chains of one layer are joined
};

struct JoinedChain {
    Chain chain;
    std::size_t item = 0;  ///< of its first chain in the file
    double widest_gap = 0; ///< the longest straight line that was put between two ends
    Vec at;                ///< where
};

/// A run that did not close: `at` is its loose end, where `meeting` ends (itself included) lie within `snap`.
struct LooseChain {
    std::size_t item = 0;
    Vec at;
    std::size_t meeting = 1;
};

struct Joining {
    std::vector<JoinedChain> closed; ///< by item
    std::vector<LooseChain> loose;   ///< by item
};

/// Loops that follow each other in the file, each chain exactly where the one before ended, are taken first. Then ends
/// that lie on one point, then ends within `snap`, are joined where exactly two meet: more than two is for a person to
/// decide. Cost: O(n log n).
[[nodiscard]] Joining join(std::vector<OpenChain> chains, double snap);

} // namespace kerfwright::drawing
