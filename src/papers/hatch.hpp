#pragma once
// Private to papers/: fills that tell areas apart without colour.

#include "papers/picture.hpp"

namespace kerfwright::papers {

/// The marks that fill the rings (even-odd). Hatches of neighbours are in step, being laid from one origin.
void add_fill(std::vector<Item>& items, const std::vector<std::vector<plane::Vec>>& rings, Fill fill);

/// Where the line y = `y` is inside the rings (even-odd): pairs of x, ascending.
[[nodiscard]] std::vector<double> crossings(const std::vector<std::vector<plane::Vec>>& rings, double y);

} // namespace kerfwright::papers
