#pragma once
// How far a whole job uses up its cutters.

#include "job/job_file.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {

/// Path over life of every program, added up for each cutter: materials share an edge in proportion (common practice;
/// lives themselves are an order of magnitude, see cutting::edge_life). Fills `plan.wear` and says in `plan.notes` what
/// takes more than half of an edge.
void add_wear(const Job& job, Plan& plan);

} // namespace kerfwright::job
