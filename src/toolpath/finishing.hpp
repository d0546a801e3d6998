#pragma once
// Private to toolpath/: finishing passes along closed edges.

#include "toolpath/entry.hpp"
#include "toolpath/tabs.hpp"

#include <optional>
#include <vector>

namespace kerfwright::toolpath {

/// A way this short (mm around) is a hole of the cutter's own size: there is nothing to go along.
inline constexpr double kDrilled = 0.5;

/// Equal steps from `top` (left out) down to `floor`, none deeper than `ap`.
[[nodiscard]] std::vector<double> passes(double top, double floor, double ap);

/// An arc of a lead: see lead_at.
struct LeadForm {
    double radius = 0, angle = 0;
};
struct FinishRules {
    Feeds feeds;
    double ap = 0;
    double slot_ap = 1e9; ///< mm; below what roughing has cleared the pass cuts a full slot: none deeper than this
    double ramp_angle = 3, tab_angle = 20; ///< degrees
    bool climb = true;
    std::vector<LeadForm> leads; ///< tried in turn
    bool layer_apart = false;    ///< what roughing left below `open` always gets passes of its own
};
/// One closed edge, and what is open beside it.
struct FinishWay {
    const Lane& lane;
    const LeadRoom& room;
    double top = 0;   ///< Z where the passes begin
    double open = 0;  ///< Z down to which roughing has cleared beside the edge
    double floor = 0; ///< Z of the last pass; below `open` it goes down along a ramp
};
/// A place to begin, with the arcs onto the edge and off it where there is room for them.
struct Start {
    double s = 0;
    std::optional<Lead> lead;
};

/// Positions to look at for entering a lane: middles of straight stretches, then even steps; clear of tabs.
[[nodiscard]] std::vector<double> places_on(const Lane& lane, double z, double tab_angle);
/// Places with tangential arcs; when none has room for them, places without. Never empty.
[[nodiscard]] std::vector<Start> starts_of(const FinishWay& way, const FinishRules& rules);
[[nodiscard]] Start nearest_start(const std::vector<Start>& starts, const Lane& lane, plane::Vec p);
/// Goes down in the open, onto the edge, around it with an overlap, off it and up.
void finish(Pen& pen, const FinishWay& way, const Start& start, const FinishRules& rules);

} // namespace kerfwright::toolpath
