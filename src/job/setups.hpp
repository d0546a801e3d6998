#pragma once
// Private to job/: from placed pieces to a setup's holds, toolpaths and programs.

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// What roughing leaves on a wall for the finishing pass, mm, radial; common practice.
inline constexpr double kFinishAllowance = 0.2;
/// What the finishing pass is planned for, mm: in hollows of the outline it meets more than the allowance.
inline constexpr double kFinishMost = 1.5 * kFinishAllowance;

/// What a setup adds to the plan.
struct BuiltSetup {
    PlannedSetup setup;
    std::vector<cutting::FeedPlan> feeds;
    std::vector<shop::Cutter> cutters;
};

/// How far the cutter's centre must stay from the sheet's clamps, mm, so that cutter, shank, nut and spindle clear them
/// when the tip is at `lowest` above the sheet's underside.
[[nodiscard]] double room_for_spindle(const shop::Sheet& sheet, const shop::Cutter& cutter,
                                      const shop::Machine& machine, double lowest);

/// How much deeper than asked a floor must be cut below the Z zero, so that it is as deep as asked below the sheet's
/// own top face over `area` (program coordinates): mm, negative where the sheet is thicker than at its lower left
/// corner, where Z is set. 0 unless three points or more are measured.
[[nodiscard]] double surface_shift(const shop::Sheet& sheet, const plane::Shape& area);

/// What a coupon tries, piece by piece; empty: as planned.
struct SetupVariation {
    std::vector<double> skin; ///< mm
    std::vector<double> feed; ///< share of the planned feed
};

/// Cuts pieces out of one sheet. Fills skin, tabs and margin of the pieces given.
[[nodiscard]] Result<BuiltSetup> build_piece_setup(const Job& job, const shop::Sheet& sheet,
                                                   const std::vector<PlannedPiece*>& pieces,
                                                   const std::vector<PlannedSeam>& seams,
                                                   const SetupVariation& variation = {});

/// Clears the tray's recess. `cutters`: largest first, the last one finishes the wall.
[[nodiscard]] Result<BuiltSetup> build_tray_setup(const Job& job, const shop::Sheet& sheet, const PlannedTray& tray,
                                                  const std::vector<shop::Cutter>& cutters);

/// Where the set lies on the tray's sheet, and how deep the floors are.
[[nodiscard]] Result<PlannedTray> plan_tray(const Job& job, const shop::Sheet& sheet, plane::Shape wall,
                                            plane::Shape wall_as_cut, const std::vector<PlannedPiece>& pieces,
                                            const std::vector<shop::Cutter>& cutters);

} // namespace kerfwright::job
