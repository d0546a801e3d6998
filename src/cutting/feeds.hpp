#pragma once
// The feed plan: the fastest setting inside every limit, and the limit that binds.

#include "base/result.hpp"
#include "shop/library.hpp"

#include <string>
#include <vector>

namespace kerfwright::cutting {

/// What the cutter is to do; each has its own engagement.
enum class Step {
    profile, ///< a slot of the cutter's own width around a part
    finish,  ///< a thin pass along a finished wall at full depth
    pocket,  ///< area clearing with a stepover
    rest,    ///< clearing what a larger cutter left
    drill,
};
[[nodiscard]] const char* to_string(Step step);

/// What is asked of the plan.
struct Task {
    Step step = Step::profile;
    double depth = 6;              ///< mm, total depth to cut; the plan divides it into equal passes
    double holding_force = 0;      ///< N the hold stands in the plane with its safety factor; 0: not a limit here
    double finish_allowance = 0.2; ///< mm, radial, what a finishing pass takes
    double n = 0;                  ///< rev/min that is already set (one speed per program); 0: free
    int passes_max = 0;            ///< 1 for a finishing pass that must go to full depth at once; 0: free
    double deflection_max = 0.05;  ///< mm, at the tip; finishing keeps to half of it: what it leaves is the part
};

/// A setting of the machine.
struct Setting {
    double n = 0;           ///< rev/min
    double vf = 0;          ///< mm/min
    double fz = 0;          ///< mm/tooth
    double ap = 0;          ///< mm axial depth
    double ae = 0;          ///< mm radial width
    double plunge_feed = 0; ///< mm/min along the path, straight down or down a ramp
    double ramp_angle = 0;  ///< degrees
    int passes = 1;         ///< equal depth passes; finishing too may need several
    double slot_width = 0;  ///< mm; larger than DC where chips pack (two lanes)
};

/// One bound of the plan. `value` must not pass `bound`; lower limits have `at_least`.
struct Limit {
    std::string name; ///< "chip load", "rubbing", "surface speed", "heat", "power", "torque", "deflection", "strength",
                      ///< "holding", "chip room", "machine feed", "cutter speed", "chatter" (where it is known),
                      ///< "melted before" (by the shop's log), "depth"
    double value = 0;
    double bound = 0;
    bool at_least = false;
    std::string unit;
    std::string loosen; ///< what would loosen it
    [[nodiscard]] bool holds() const { return at_least ? value >= bound * (1 - 1e-9) : value <= bound * (1 + 1e-9); }
    /// Share of the bound still free: 0 at the bound, negative beyond it.
    [[nodiscard]] double reserve() const;
};

/// Loads at a setting.
struct Loads {
    double force_mean = 0, force_peak = 0; ///< N, in the plane
    double lift_peak = 0;                  ///< N, along the axis; positive pulls the part off the bed
    double torque = 0;                     ///< N·m, mean
    double torque_peak = 0;                ///< N·m
    double power = 0;                      ///< W at the cutter
    double deflection = 0;                 ///< mm at the tip under the peak force
};

struct FeedPlan {
    std::string material, cutter, machine;
    Step step = Step::profile;
    Setting setting;
    Loads loads;
    std::vector<Limit> limits;      ///< every limit, in a fixed order
    std::string binding;            ///< name of the limit that holds it back; "" when a judged setting passes one
    std::vector<std::string> notes; ///< "cautious side of the force range: ...", cautions
    double cutter_life = 0;         ///< m of path
};

/// The fastest setting inside all limits (model: docs/cutting.md). Fails, saying which limits exclude each other and
/// what would help.
[[nodiscard]] Result<FeedPlan> plan_feeds(const shop::Material& material, const shop::Cutter& cutter,
                                          const shop::Machine& machine, const Task& task);

/// The same limits for a setting that is given: some may not hold. Only n and one of vf, fz are needed; ap (else
/// depth / passes), ae, slot_width and plunge_feed are filled in when they are 0. A plan keeps to the cautious side of
/// every range; a setting that somebody already uses is judged by the best estimate of forces and by the widest windows
/// known to have worked, and the notes say where it leaves the cautious side. What plan_feeds gives always passes.
[[nodiscard]] FeedPlan judge(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine,
                             const Task& task, const Setting& setting);

} // namespace kerfwright::cutting
