#pragma once
// Private to job/: does the set, as the programs will cut it, go together?

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// From the plan's as-cut outlines, sheets and placements. Errors of cutting are common practice (see the source).
[[nodiscard]] Result<Assembly> assembly_stage(const Job& job, const Plan& plan, int threads);

} // namespace kerfwright::job
