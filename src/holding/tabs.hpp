#pragma once
// Where tabs go: on straight stretches, away from corners and tight spots, spread evenly. Private to holding/.

#include "holding/holding.hpp"

namespace kerfwright::holding {

/// A place where a tab of the asked width may sit.
struct TabSite {
    plane::Vec at;
    double along = 0; ///< mm along the ring
    double spare = 0; ///< mm of straight edge beyond the tab, on the shorter side; at most 10
};

/// All places of a ring: each with the tab's whole width on a stretch that is straight within 0.15 mm, 2 mm away from
/// corners where the ring has such places, never within a tight spot. A ring that has no three of them gets what is
/// straight within 0.3, 0.6, at last 1 mm: corners are still avoided, curves are not.
[[nodiscard]] std::vector<TabSite> tab_sites(const plane::Ring& ring, double width,
                                             const std::vector<std::pair<plane::Vec, double>>& tight_spots);

/// Up to `count` of the sites, as evenly spread as they allow, at least two widths apart. Deterministic.
[[nodiscard]] std::vector<plane::Vec> spread_tabs(const std::vector<TabSite>& sites, double perimeter, int count,
                                                  double width);

} // namespace kerfwright::holding
