#pragma once
// Private to toolpath/: clears a region of cutter centres contour-parallel, from the inside outwards.

#include "toolpath/levels.hpp"
#include "toolpath/path_moves.hpp"

#include <vector>

namespace kerfwright::toolpath {

struct ClearingRules {
    double radius = 0;     ///< of the cutter
    double stepover = 0;   ///< mm, no more than the radius
    double ramp_angle = 3; ///< degrees
    Feeds feeds;
    double slot_feed = 0; ///< mm/min where the cutter is engaged over its whole width
    bool climb = true;
    bool centre_cutting = true;
    bool bores = true; ///< goes down, straight if need be, where there is hardly room to ramp; a smaller cutter that
                       ///< follows does that better
    double least_area = 0; ///< mm²; what is smaller and cannot be entered from the side is left to the next cutter
};

/// What still stands at the depth of the centres, and where else the cutter may be there.
struct Surroundings {
    plane::Shape material;
    Sight allowed; ///< for the cutter's centre
};

struct Cleared {
    plane::Shape centres;           ///< the part of the centres that was cleared
    std::vector<std::string> notes; ///< of the levels
};

/// Clears `centres` down to each of the heights in turn, the material above `top` being gone. With `surroundings` ways
/// into the material start in the open where they can. Ways inside `over`, the pocket, need no more height than the
/// sheet. Areas into which the cutter cannot get down are left out.
[[nodiscard]] Cleared clear(Pen& pen, const plane::Shape& centres, const Surroundings* surroundings, const Sight& over,
                            double top, const std::vector<double>& heights, const ClearingRules& rules);

} // namespace kerfwright::toolpath
