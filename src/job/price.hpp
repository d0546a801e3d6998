#pragma once
// What the set costs, with its range.

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// Material by the share of each sheet that is used up, machine time, a person's time, cutter wear, margin. `plan.wear`
/// is there already. The spread of each line is common practice and said in docs/price.md.
[[nodiscard]] Price price_of(const Job& job, const Plan& plan);

} // namespace kerfwright::job
