#pragma once
// Time along a program.

#include "motion/moves.hpp"
#include "shop/machine.hpp"

namespace kerfwright::motion {

/// How the controller takes corners, arcs and ramps.
struct TimingOptions {
    bool exact_stop = false;   ///< stop at every end of a move (G61.1)
    bool jerk_limited = false; ///< S-curves instead of trapezoids
    enum class CornerModel {
        capped,   ///< the path stays as it is and the speed at the vertex is that of the inscribed arc: a little
                  ///< optimistic
        arc,      ///< the inscribed arc is put in, and travelled
        parabola, ///< a blend of constant acceleration is put in
    } corner = CornerModel::capped;
    bool shared_acceleration = false; ///< arcs: tangential and normal acceleration together stay below the limit
};

struct Timing {
    double total = 0;             ///< s, waiting for people not counted
    std::vector<double> per_move; ///< s, as many as moves
    double lower_bound = 0;       ///< s: sum of length / feed and dwells, no dynamics
    double ramp_bound = 0;        ///< s: each stretch between two stops as one straight move of its length, with the
                                  ///< largest speed and acceleration of any piece in it; lower_bound <= total holds
                                  ///< always, ramp_bound <= total when corners are capped
};

/// Trapezoidal speed profiles with look-ahead: vertex limits from the corner model (the machine's corner_deviation),
/// then a forward and a backward pass (Consolini et al. 2018: optimal for piecewise constant acceleration). Arcs obey
/// v <= sqrt(a r), v the speed in the arc's plane. Speed, acceleration and jerk limits of each axis hold for the
/// direction of a line, and for every direction of an arc. Moves stop for dwells, M0, and where the way turns back.
///
/// Jerk limited: a stretch between stops that is one straight run takes its exact S-curve. Others take the trapezoidal
/// time and a / j once more, as of a moving average of that length over the commands (Ward et al. 2021 model
/// interpolators so).
///
/// Cost: linear in the moves. Feed moves without a feed take no time.
[[nodiscard]] Timing time_of(const std::vector<Move>& moves, const shop::Machine& machine,
                             const TimingOptions& options = {});

/// Between which times a program can run, s.
struct TimeBounds {
    double fastest = 0; ///< the larger of both lower bounds: no controller with these axes is faster
    double slowest = 0; ///< the slowest reasonable: S-curves, and a stop at every end of a move
};
/// Both lie around Timing::total of any TimingOptions with capped corners but `shared_acceleration` (which may take
/// longer on arcs than a stop at their ends).
[[nodiscard]] TimeBounds bounds_of(const std::vector<Move>& moves, const shop::Machine& machine);

} // namespace kerfwright::motion
