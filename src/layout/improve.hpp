#pragma once
// Private to layout/: what greedy placing left undone, by moving overlapping parts apart.

#include "layout/greedy.hpp"

namespace kerfwright::layout {

/// Finds room for parts without a place, empties bought sheets that can be done without, and shortens what is used of
/// each sheet. Never worse than what was given.
void improve(const Group& group, const LayoutOptions& options, std::uint64_t seed, Attempt& attempt);

} // namespace kerfwright::layout
