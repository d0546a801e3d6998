#pragma once
// Private to job/: the plan as pages to print and pictures to look at.

#include "job/job_file.hpp"
#include "job/make_plan.hpp"
#include "papers/papers.hpp"

#include <utility>

namespace kerfwright::job {

/// First page: the set and the shopping list. Then the seams, and one page for each setup.
[[nodiscard]] papers::Paper work_paper(const Job& job, const Plan& plan, const Proof& proof);
[[nodiscard]] papers::Paper quote_paper(const Job& job, const Plan& plan);

/// "set", "seams", and one for each setup by its name.
[[nodiscard]] std::vector<std::pair<std::string, papers::Drawn>> pictures_of(const Job& job, const Plan& plan);

} // namespace kerfwright::job
