#pragma once
// From shapes, settings and holds to moves. Z of the moves is program Z: see SheetFrame.

#include "base/result.hpp"
#include "cutting/feeds.hpp"
#include "holding/holding.hpp"
#include "motion/moves.hpp"
#include "plane/shape.hpp"
#include "shop/library.hpp"

#include <string>
#include <vector>

namespace kerfwright::toolpath {

/// Where the sheet lies in program coordinates. Cut-through setups have Z zero on the bed: top = thickness, bottom = 0.
/// Others have Z zero on the sheet's top face: top = 0, bottom = -thickness.
struct SheetFrame {
    double top = 0, bottom = 0;
    double clearance = 5; ///< program Z for rapids: above stock and clamps
    double near_top = 1;  ///< program Z where rapids down end and feeds begin
};

/// Settings of one cutter for one feature.
struct Technology {
    shop::Cutter cutter;
    cutting::FeedPlan rough;
    cutting::FeedPlan finish;      ///< used when finish_allowance > 0
    double finish_allowance = 0.2; ///< mm radial left by roughing; 0: no finishing pass
    bool climb = true;
    bool layer_apart = false; ///< finish the wall above the last layer first, then take the layer in a pass of its own
};

/// Cut a part out along its outline (outer ring and holes).
struct ProfileFeature {
    std::string name;               ///< "profile basalt-1"
    plane::Polygon outline;         ///< program coordinates
    double floor = 0;               ///< program Z of the last pass: bottom + skin, or bottom - a little without skin
    std::vector<holding::Tab> tabs; ///< thickness counts from the sheet's bottom
};

/// Clear an area to one depth or several.
struct PocketFloor {
    double depth = 0;  ///< mm below the sheet's top face
    plane::Shape area; ///< finished area, program coordinates
};
struct PocketFeature {
    std::string name;
    std::vector<PocketFloor> floors; ///< disjoint areas; walls between them need no finish of their own
    plane::Shape wall;               ///< union of the floors: its border is the finished wall
};

/// One feature worked with one cutter and one technology (ISO 14649).
struct Workingstep {
    std::string name;
    std::string feature;
    cutting::Step step = cutting::Step::profile;
    std::vector<motion::Move> moves; ///< begins and ends at clearance height; feeds and spindle set
};

/// All that one cutter does in one setup: one program.
struct CutterRun {
    std::string cutter;
    double n = 0; ///< rev/min, of the whole program
    std::vector<Workingstep> steps;
    std::vector<std::string> notes = {}; ///< what was done in another way than usual
};

/// Angle of a tab's sides, degrees: a cutter that may plunge takes 20°, so that the sides stay short; others their
/// ramp.
[[nodiscard]] double tab_side_angle(const Technology& technology);

/// Profiles in an order that frees inner parts before outer ones and keeps rapids short.
/// Fails when a cutter cannot get along an outline (naming the feature and the place).
[[nodiscard]] Result<CutterRun> profile_run(const std::vector<ProfileFeature>& features, const Technology& technology,
                                            const SheetFrame& frame, const shop::Machine& machine);

/// Pockets: the first technology clears contour-parallel, each later and smaller one takes the rest, the last one
/// finishes the wall. One run for each technology that has something to do.
[[nodiscard]] Result<std::vector<CutterRun>> pocket_runs(const std::vector<PocketFeature>& features,
                                                         const std::vector<Technology>& technologies,
                                                         const SheetFrame& frame, const shop::Machine& machine);

} // namespace kerfwright::toolpath
