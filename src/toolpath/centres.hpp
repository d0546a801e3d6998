#pragma once
// Private to toolpath/: where the cutter's centre may be.

#include "plane/offset.hpp"

namespace kerfwright::toolpath {

/// How far into an asked edge a finished path may go where the edge is as tight as the cutter itself: outlines that
/// were closed under the cutter have chords and grid rounding, and without this a way into a bay as wide as the cutter
/// would come and go with the last micrometre.
inline constexpr double kSlack = 0.0015; // mm
/// Finished paths are lines and arcs within this of the exact offset. Drawings come as chords 2 µm off their curves: a
/// closer fit would follow the chords.
inline constexpr double kFinishTolerance = 0.003; // mm
/// Tolerance of paths that leave an allowance everywhere.
inline constexpr double kRoughTolerance = 0.01; // mm

/// The shape with fewer vertices, within `tolerance` mm. Offsets take the square of the vertices where they lie closer
/// than the distance, so what only keeps account of areas goes through here first.
[[nodiscard]] plane::Shape thinned(const plane::Shape& shape, double tolerance);
/// Tolerance of areas that account for what is cleared.
inline constexpr double kAccount = 0.003; // mm

/// Without vertices that are 0.2 µm beside the way or double back: what offsets stumble over.
[[nodiscard]] plane::Shape cleaned(const plane::Shape& shape);

/// offset(free, -distance), quick where nothing is left, and without the thorns that an offset may have.
[[nodiscard]] plane::Shape inset(plane::Shape free, double distance, const plane::OffsetOptions& options = {});

/// Centres from which a disc of `radius` stays inside `free` and `allowance` away from its border, and, where that
/// leaves a tip or a narrow way out that the disc itself fits into, the centres in there, to kSlack. With no allowance
/// "where" means a tip that would miss its place by more than a few kSlack; with one, by more than 2.5 allowances (a
/// finishing pass can take that much, but not a whole slot).
[[nodiscard]] plane::Shape centres_with_tips(const plane::Shape& free, double radius, double allowance);

/// How far centres must lie beyond others to count as a tip.
[[nodiscard]] inline double tip_gap(double allowance) {
    return 2.5 * allowance + 4 * kSlack;
}
/// `main` with what of `utmost`, which holds it, lies further than `gap` from it.
[[nodiscard]] plane::Shape with_tips(plane::Shape main, const plane::Shape& utmost, double gap);

/// The plane around a polygon as a shape: a frame `room` wider than the polygon, less the polygon.
[[nodiscard]] plane::Shape around(const plane::Ring& outer, double room);
/// Rings of a shape made from around(): without the frame.
[[nodiscard]] std::vector<plane::Ring> rings_within(const plane::Shape& shape, const plane::Ring& outer, double room);

} // namespace kerfwright::toolpath
