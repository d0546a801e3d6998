#pragma once
// Private to job/: a tray floor that is stepped under pieces of different thickness, so that their tops end level.

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// A piece in the recess, in the frame of the recess.
struct FloorWish {
    std::string piece;
    plane::Polygon outline;
    double depth = 0;     ///< mm that its underside lies below the Z zero; pieces of one depth share a floor
    double thickness = 0; ///< mm
    double surface = 0;   ///< mm that the rim around the piece lies below the Z zero
};

/// Floors from the shallowest to the deepest, disjoint, together the recess. A step lies in the gap, close to the
/// shallower piece, so that the deeper one keeps its play. Where a cutter has to go beyond a corner of a deeper piece
/// to clear it, the step goes under the shallower neighbour there, as little as will do: `support` says what that
/// leaves. Under every piece all is at its depth or deeper. `radii`: of the cutter that should do for all steps, then
/// of those for places between steps and wall that it does not get to.
[[nodiscard]] std::vector<PlannedFloor> stepped_floors(const plane::Shape& wall, const std::vector<FloorWish>& wishes,
                                                       const std::vector<double>& radii, double clearance);

/// Mean thickness of the piece's sheet under the piece, from its measured points where there are any.
[[nodiscard]] double thickness_under(const Job& job, const PlannedPiece& piece);

} // namespace kerfwright::job
