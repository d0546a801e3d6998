#pragma once
// Time along a program.

#include "motion/moves.hpp"
#include "shop/machine.hpp"

namespace kerfwright::motion {

/// How the controller takes corners and ramps.
struct TimingOptions {
    bool exact_stop = false;     ///< stop at every end of a move (G61.1)
    bool jerk_limited = false;   ///< S-curves instead of trapezoids
};

struct Timing {
    double total = 0;                ///< s, waiting for people not counted
    std::vector<double> per_move;    ///< s, as many as moves
    double lower_bound = 0;          ///< s: sum of length / feed and dwells, no dynamics (facts/program.md 4.4, no. 1)
};

/// Trapezoidal speed profiles with look-ahead: vertex limits from the corner model (inscribed tangent arc of the
/// machine's corner_deviation, v = sqrt(a R)), then a forward and a backward pass (Consolini et al. 2018: optimal for
/// piecewise constant acceleration). Arcs obey v <= sqrt(a r). Per-axis speed and acceleration limits hold for lines.
[[nodiscard]] Timing time_of(const std::vector<Move>& moves, const shop::Machine& machine, const TimingOptions& options = {});

} // namespace kerfwright::motion
