#pragma once
// What `plan` writes, as files in memory; and the folder read back for a proof.

#include "job/files.hpp"
#include "job/make_plan.hpp"

namespace kerfwright::job {

/// plan.json, proof.json, programs, papers and pictures, in a fixed order.
[[nodiscard]] Result<std::vector<OutputFile>> output_files(const Job& job, const Plan& plan, const Proof& proof);

/// plan.json of an output folder with the texts of its programs as they stand there now.
[[nodiscard]] Result<Plan> read_output(const std::filesystem::path& folder);

} // namespace kerfwright::job
