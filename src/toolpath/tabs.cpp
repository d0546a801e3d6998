#include "toolpath/tabs.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

double tab_side_angle(const Technology& technology) {
    constexpr double kSteep = 20;
    const double ramp = technology.rough.setting.ramp_angle;
    return std::min(std::max(ramp, kSteep), std::max(technology.cutter.max_ramp, 0.5));
}

Heights over_tabs(const Lane& lane, Heights heights, double from, double to, double z, double side_angle) {
    const double around = lane.track.length();
    for (const TabZone& tab : lane.tabs) {
        if (tab.z <= z) continue;
        const double side = ramp_length(tab.z - z, side_angle);
        for (double shift = std::floor((from - tab.to - side) / around) * around; tab.from - side + shift < to;
             shift += around) {
            const Heights bump{{tab.from - side + shift, z},
                               {tab.from + shift, tab.z},
                               {tab.to + shift, tab.z},
                               {tab.to + side + shift, z}};
            heights = higher_of(heights, bump, from, to);
        }
    }
    return heights;
}

double clear_of_tabs(const Lane& lane, double s, double z, double side_angle) {
    constexpr double kBeyond = 0.5; // mm
    const double around = lane.track.length();
    double at = s;
    // Every tab can push the place on once on the first round; a second round settles overlaps.
    for (std::size_t tries = 0; tries <= 2 * lane.tabs.size(); ++tries) {
        bool clear = true;
        for (const TabZone& tab : lane.tabs) {
            if (tab.z <= z) continue;
            const double side = ramp_length(tab.z - z, side_angle);
            const double into = at - (tab.from - side);
            const double past = into - std::floor(into / around) * around;
            const double whole = tab.to - tab.from + 2 * side;
            if (past >= whole || whole >= around) continue;
            at += whole - past + kBeyond;
            clear = false;
        }
        if (clear) break;
    }
    return at;
}

} // namespace kerfwright::toolpath
