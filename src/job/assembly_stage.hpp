#pragma once
// Private to job/: does the set, as the programs will cut it, go together?

#include "job/job_file.hpp"
#include "job/make_plan.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// From the plan's as-cut outlines, sheets and placements. Errors of cutting are common practice (see the source);
/// what the air does is fit/movement.hpp, from the job's [climate].
[[nodiscard]] Result<Assembly> assembly_stage(const Job& job, const Plan& plan, int threads);

/// Puts together what the programs' texts leave: the proof's as-cut outlines of all pieces and of the tray's wall, in
/// place of the plan's. Sets `proof.assembly`, and adds a note where it does not give the plan's slack; leaves a proof
/// of some setups only as it is.
void check_assembly(Proof& proof, Plan plan, int threads);

} // namespace kerfwright::job
