#pragma once
// The pieces of a job on the sheets of its shelf.

#include "job/job_file.hpp"
#include "job/plan.hpp"
#include "layout/layout.hpp"

namespace kerfwright::job {

/// What is to be placed, where it may lie, and the room it needs; as layout::place_parts and layout::clashes take it.
struct LayoutTask {
    std::vector<layout::Part> parts;
    std::vector<shop::Sheet> sheets; ///< of the pieces' materials, the tray's own left out
    layout::LayoutOptions options;
    std::vector<std::string> notes; ///< on sheets that were left out
};

/// Fails when no sheet of a material can be cut through by the cutter chosen for it.
[[nodiscard]] Result<LayoutTask> layout_task(const Job& job, const std::vector<PlannedPiece>& pieces);

/// Places all parts around those of the job's [[placed]] tables.
[[nodiscard]] Result<layout::Layout> layout_stage(const Job& job, const LayoutTask& task, int threads);

/// REQUIRES: the job has it.
[[nodiscard]] const shop::Sheet& sheet_named(const Job& job, const std::string& name);

/// Writes sheet, setup, placement and thickness into the pieces.
void take_places(const Job& job, const layout::Layout& layout, std::vector<PlannedPiece>& pieces);

} // namespace kerfwright::job
