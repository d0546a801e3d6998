#pragma once
// What holds every part at its worst moment, and what to change when that is not enough.
//
// A part is least held when its slot is closed: nothing but tape, vacuum, skin or tabs then keeps it. Clamps and screws
// hold the sheet, not a part that is free of it. Against that stands the peak cutting force at the worst place of the
// outline, in the worst direction: it slides and twists the part in the plane, lifts it (helix) and tips it. Model,
// safety factors and limits: docs/holding.md.

#include "base/result.hpp"
#include "cutting/feeds.hpp"
#include "plane/shape.hpp"
#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <string>
#include <vector>

namespace kerfwright::holding {

/// Layer that roughing leaves under the slot of a part without tabs, mm, until the light finishing pass takes it
/// (common practice). toolpath/ leaves it above the skin, or above the bed where there is none; margins count on it.
inline constexpr double kLastLayer = 0.4;

/// A bridge of material left across the slot.
struct Tab {
    plane::Vec at;        ///< on the part's outline, program coordinates
    double width = 6;     ///< mm along the edge, of full height
    double thickness = 1; ///< mm, from the underside up
    double base = 0;      ///< mm along the edge at the underside, the ramped sides included; set by who ramps them
};

/// A part on its sheet, ready to be held: outline in program coordinates.
struct PartToHold {
    std::string id;
    plane::Polygon outline;
    double thickness = 0;                                   ///< mm
    double slot_width = 3;                                  ///< mm, gap that tabs bridge
    std::vector<std::pair<plane::Vec, double>> tight_spots; ///< places (and radii, mm) where tabs must not sit
};

struct PartHold {
    std::string id;
    double margin = 0;   ///< holding over force to be held, at the worst moment, safety factors included
    std::string moment;  ///< which moment that is: "last roughing pass", "finishing", "last layer"
    std::string weakest; ///< "slide", "lift", "tip", "twist"
    double skin = 0;     ///< mm left under the slot; 0 without a skin
    std::vector<Tab> tabs;
    std::vector<std::string> proposals; ///< when margin < 1 (or below the asked one), in order of ease
};

struct SetupHold {
    std::vector<PartHold> parts; ///< as the input, same order
    double margin_min = 0;
    double skin = 0;          ///< mm, chosen for the whole sheet; 0 without
    double break_through = 0; ///< chance that the skin breaks somewhere, from thickness, bed and Z repeatability
    double flex = 0;          ///< mm that the cutter's lift may bend the sheet between clamps; 0 where nothing is known
    double too_thick = 0;     ///< chance that it is too thick somewhere to break out by hand (1.5 mm, half the sheet)
    std::vector<std::string> notes;
};

/// Another cutter of the shop that could cut the same parts.
struct OtherCutter {
    std::string name;
    double slot_width = 0; ///< mm
    cutting::FeedPlan roughing, finishing;
};

struct HoldOptions {
    double margin_asked = 1.0;
    double vacuum_kpa = 50;          ///< kPa at the part, 40 to 70 through a bleeder board (from memory)
    double clamp_force = 500;        ///< N each, 222 to 2220 (training course, not a measurement)
    std::vector<OtherCutter> others; ///< proposed, each with its margin, where a part's margin is too low
    /// Order of cutting: the wall is finished while the last layer still holds the part, then the layer is taken in a
    /// pass of its own (toolpath::Technology::layer_apart). Otherwise one pass does both, which is quicker.
    bool layer_apart = false;
    /// mm from a part's outline that the middle of one clamp (or screw) more must keep, so that cutter, nut and spindle
    /// clear it; 0: not looked at.
    double clamp_room = 0, screw_room = 0;
};

/// Chooses skin and tabs of one setup and computes every part's margin from the loads of its feed plans. `sheet.hold`
/// says what may be used. A skin is replaced by tabs, with a note, where the material does not allow one or the sheet
/// is too uneven for it. Margins below the asked one are no error: they carry proposals. Fails when a part has no area,
/// thickness or slot.
[[nodiscard]] Result<SetupHold> hold_parts(const std::vector<PartToHold>& parts, const shop::Sheet& sheet,
                                           const shop::Material& material, const shop::Machine& machine,
                                           const cutting::FeedPlan& roughing, const cutting::FeedPlan* finishing,
                                           const HoldOptions& options = {});

} // namespace kerfwright::holding
