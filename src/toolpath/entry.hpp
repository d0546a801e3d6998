#pragma once
// Private to toolpath/: ways into the material and onto a finished edge.

#include "toolpath/path_moves.hpp"
#include "toolpath/track.hpp"

#include <optional>

namespace kerfwright::toolpath {

/// Length of way needed to go down by `drop` at `angle` degrees.
[[nodiscard]] double ramp_length(double drop, double angle);
/// Down from z0 to z1 from position s on, then level.
[[nodiscard]] Heights ramp(double s, double z0, double z1, double angle);

/// Tangential arcs onto and off a closed way at positions `in` and `out`.
struct Lead {
    Span on, off;
};
/// Where leads may run: `travel` holds the cutter's centre all along, `start` is where it may go straight down.
struct LeadRoom {
    plane::Shape travel, start;
};
/// Arcs of `radius` that turn `angle` radians, on the free side of the track: left of the travel for climb, else right.
/// Nothing when they would leave the room.
[[nodiscard]] std::optional<Lead> lead_at(const Track& track, double in, double out, double radius, double angle,
                                          bool free_side_left, const LeadRoom& room);

/// A helix about `centre` from z0 down to z1, with a level turn at the end. Turns counter-clockwise for climb in a
/// pocket.
void helix(Pen& pen, plane::Vec centre, double radius, double z0, double z1, double angle, bool counter_clockwise,
           const Feeds& feeds);

} // namespace kerfwright::toolpath
