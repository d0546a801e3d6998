#pragma once
// Private to toolpath/: tabs as the cutter sees them on its way.

#include "toolpath/entry.hpp"
#include "toolpath/toolpath.hpp"
#include "toolpath/track.hpp"

#include <vector>

namespace kerfwright::toolpath {

/// A tab as one track sees it: between two positions the cutter stays at or above z. `from` < `to`; both may lie
/// beyond the track's ends, since positions wrap around.
struct TabZone {
    double from = 0, to = 0;
    double z = 0;
};

/// A closed way with the tabs on it.
struct Lane {
    Track track;
    std::vector<TabZone> tabs;
};

/// The heights with every tab in [from, to] kept standing; z is the level of the pass.
[[nodiscard]] Heights over_tabs(const Lane& lane, Heights heights, double from, double to, double z, double side_angle);
/// The first position from s on where no tab, sides included, is in the way of a pass at z.
[[nodiscard]] double clear_of_tabs(const Lane& lane, double s, double z, double side_angle);

} // namespace kerfwright::toolpath
