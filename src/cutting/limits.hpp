#pragma once
// The bounds of a cut, worked out once for a material, a cutter, a machine and a task; then loads and limits of any
// setting. Private to cutting/.

#include "cutting/feeds.hpp"
#include "cutting/force.hpp"
#include "cutting/stability.hpp"

namespace kerfwright::cutting {

/// How deep a cutter may cut before it chatters, by its measured modes.
struct ChatterBound {
    bool known = false;
    double floor = 0;             ///< mm, at any speed
    std::vector<LobePoint> lobes; ///< the border over the speeds that can be set; empty: only the floor is trusted
    /// Largest depth that is kept to at n, mm, and 1e300 where nothing is known.
    [[nodiscard]] double at(double n, Side side) const;
    /// Speeds of the deepest pockets.
    [[nodiscard]] std::vector<double> pockets() const;
};

/// What does not change while a setting is sought.
struct Situation {
    const shop::Material* material;
    const shop::Cutter* cutter;
    const shop::Machine* machine;
    Task task;
    Side side = Side::cautious;

    double ae = 0;         ///< stepover or width of the cut, mm
    double slot_width = 0; ///< mm
    double open = 0;       ///< mm, what the slot is wider than the cutter: room for chips
    int lanes = 1;         ///< times the cutter goes round for one pass
    Cut cut;               ///< the worst engagement of the step; fz and ap left open
    ForceLaw law;
    ForceTable table;

    double fz_low = 0, fz_high = 0; ///< mm: rubbing and chip load, both already turned into feed per tooth
    double ap_high = 0;             ///< mm
    double n_low = 0, n_high = 0;   ///< rev/min that can be set, by spindle and cutter
    double vc_low = 0, vc_high = 0; ///< m/min
    double vf_high = 0;             ///< mm/min
    ChatterBound chatter{};
    const shop::FeedRange* tried = nullptr; ///< what the shop's log says; finishing's thin chips are another matter

    [[nodiscard]] bool drilling() const { return task.step == Step::drill; }
};

/// `given` carries widths that the task does not fix; nullptr lets the step choose them.
[[nodiscard]] Situation situation(const shop::Material& material, const shop::Cutter& cutter,
                                  const shop::Machine& machine, const Task& task, Side side, const Setting* given);

/// Low or high end of a window by the side that is worked with.
[[nodiscard]] double upper_bound(const shop::Sourced& s, Side side);
[[nodiscard]] double lower_bound(const shop::Sourced& s, Side side);

/// The feed per tooth that chips must not be thinner than at n by what melted before; 0 where nothing did.
[[nodiscard]] double least_tried(const Situation& at, double n);
/// What the log says of the cutter in the material, with its evidence; only where `tried` is set.
[[nodiscard]] std::string log_note(const Situation& at);

[[nodiscard]] Loads loads_at(const Situation& at, const Setting& setting);
[[nodiscard]] std::vector<Limit> limits_at(const Situation& at, const Setting& setting, const Loads& loads);

/// Lowest and highest speed that spindle, cutter, material and, for laminates, heat allow; the first is above the
/// second when there is none.
struct SpeedRange {
    double low = 0, high = 0;
};
[[nodiscard]] SpeedRange speed_range(const Situation& at);

/// Thinnest mean chip at which the material's chips stay below `limit` °C; 0 where it does not matter.
[[nodiscard]] double thinnest_cool_chip(const Situation& at);
[[nodiscard]] double softening_bound(const Situation& at);
/// Feed straight down or along a ramp, and the ramp's angle, for a setting whose n and vf are fixed.
void set_entry(const Situation& at, Setting& setting);

} // namespace kerfwright::cutting
