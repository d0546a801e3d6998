#pragma once
// How long an edge lasts, as metres of path, and what a metre costs.

#include "cutting/feeds.hpp"

namespace kerfwright::cutting {

/// Life of a cutter at a setting, m of path. The material's figure is for a carbide cutter at the middle of its
/// chip-load window (common practice, an order of magnitude). From there: abrasion goes with the way the edge rubs, so
/// with 1/fz; in metals also with speed, Taylor's V T^n = C with n = 0.25 for carbide (Groover, Table 23.2), which for
/// a path is (V0/V)^(1/n - 1), V0 the cautious end of the material's speed range. Held within 1/4 and 4 times the
/// figure. High-speed steel lasts a fifth (common practice).
[[nodiscard]] double edge_life(const shop::Material& material, const shop::Cutter& cutter, const Setting& setting);

/// Cost of a metre: (price + regrinds × price of one) / ((regrinds + 1) × life).
[[nodiscard]] double cost_per_metre(double price, double life, int regrinds = 0, double regrind_price = 0);

} // namespace kerfwright::cutting
