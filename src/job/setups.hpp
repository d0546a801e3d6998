#pragma once
// Private to job/: from placed pieces to a setup's holds, toolpaths and programs.

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// What a setup adds to the plan.
struct BuiltSetup {
    PlannedSetup setup;
    std::vector<cutting::FeedPlan> feeds;
    std::vector<shop::Cutter> cutters;
};

/// Cuts pieces out of one sheet. Fills skin, tabs and margin of the pieces given.
[[nodiscard]] Result<BuiltSetup> build_piece_setup(const Job& job, const shop::Sheet& sheet,
                                                   const std::vector<PlannedPiece*>& pieces, const std::vector<PlannedSeam>& seams);

/// Clears the tray's recess. `cutters`: largest first, the last one finishes the wall.
[[nodiscard]] Result<BuiltSetup> build_tray_setup(const Job& job, const shop::Sheet& sheet, const PlannedTray& tray,
                                                  const std::vector<shop::Cutter>& cutters);

/// Where the set lies on the tray's sheet, and how deep the floors are.
[[nodiscard]] Result<PlannedTray> plan_tray(const Job& job, const shop::Sheet& sheet, plane::Shape wall, plane::Shape wall_as_cut,
                                            const std::vector<PlannedPiece>& pieces, double widest_cutter);

} // namespace kerfwright::job
