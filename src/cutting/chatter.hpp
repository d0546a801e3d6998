#pragma once
// From the modes that were measured at a cutter's tip to how deep it may cut, and at which speeds it stays quiet.

#include "cutting/feeds.hpp"
#include "cutting/stability.hpp"

namespace kerfwright::cutting {

/// What the measured modes of a cutter in a machine say of a task. Forces are from the cautious side of the material's
/// range. Where no stiffness was measured (a tap that only a microphone heard), the mode is given the stiffness of the
/// cutter, collet and machine at the tip: quiet speeds follow from frequency and damping alone, depths scale with the
/// stiffness.
struct ChatterOutlook {
    std::vector<shop::TipMode> modes; ///< those that hold for this cutter; empty: nothing is known, and the rest is 0
    bool stiffness_assumed = false;
    bool scaled =
        false; ///< measured at another stick-out: stiffness and frequency are scaled, and only the floor holds
    MillingSystem system;
    LobePoint floor;              ///< below it no speed chatters
    double safe_depth = 0;        ///< mm, what a plan keeps to at any speed: 0.7 of the floor
    double n_low = 0, n_high = 0; ///< rev/min that spindle, cutter, material and heat allow
    std::vector<LobePoint> lobes; ///< the border over those speeds, evenly spaced in the logarithm
    std::vector<LobePoint> quiet; ///< its deepest pockets, deepest first
};
[[nodiscard]] ChatterOutlook chatter_outlook(const shop::Material& material, const shop::Cutter& cutter,
                                             const shop::Machine& machine, const Task& task);

/// Speeds near which a tip that rings at `frequency` stays quiet: the teeth pass at f/j, j = 1, 2, ... A little slower
/// is better: the true peak of the pocket sits 1 to 2 % below (from memory; checked on the textbook's example). Fastest
/// first.
[[nodiscard]] std::vector<double> tuned_speeds(double frequency, int teeth, double n_low, double n_high);

} // namespace kerfwright::cutting
