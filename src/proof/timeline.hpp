#pragma once
// When each move runs: one clock for the programs of a setup, the loads and the replay.

#include "sequence.hpp"

#include "motion/timing.hpp"

#include <vector>

namespace kerfwright::proof {

/// Seconds from the setup's start. Programs follow each other at once: what a person does between them is not counted.
struct Timeline {
    std::vector<double> start;    ///< of each move; one more for the end of the last
    std::vector<double> run_time; ///< of each run
    std::vector<motion::TimeBounds> run_bounds;
};
[[nodiscard]] Timeline timeline_of(const Sequence& sequence, const shop::Machine& machine);

} // namespace kerfwright::proof
