#include "loads.hpp"

#include "checks.hpp"
#include "findings.hpp"

#include "cutting/force.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/tool.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace kerfwright::proof {

using motion::Move;
using motion::MoveKind;

namespace {

constexpr double kStretch = 2;   ///< mm: shorter moves are taken together
constexpr double kSteepest = 45; ///< degrees
constexpr double kOverload = 1.15;
constexpr double kOverloadLength = 5; ///< mm
constexpr int kWidthSteps = 40;       ///< widths for which the force integrals are tabled, over the diameter

/// Loads of one cutter in one material; tables of the force integrals by width are made when they are needed.
class LoadModel {
  public:
    LoadModel(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine)
        : law_(cutting::force_law(material, cutter, cutting::Side::cautious)),
          compliance_(cutting::chain_compliance(cutter, machine)) {
        cut_.diameter = cutter.DC;
        cut_.teeth = std::max(1, cutter.ZEFP);
        cut_.helix = cutter.helix;
        cut_.runout = cutter.runout;
    }

    /// Fills in force, torque, power and deflection from ap, ae, fz and n.
    void fill(LoadStretch& stretch, double n) {
        const double share = std::clamp(stretch.ae / cut_.diameter, 0.0, 1.0);
        const int step = std::max(1, static_cast<int>(std::lround(share * kWidthSteps)));
        const auto [at, fresh] = tables_.try_emplace(step, cutting::ForceTable(law_, engaged(step)));
        static_cast<void>(fresh);
        // below one step of the table, force and power follow the width
        const double scale = share < 1.0 / kWidthSteps ? share * kWidthSteps : 1;
        const cutting::PeakForce peak = at->second.peak(stretch.fz, stretch.ap);
        stretch.force = peak.in_plane * scale;
        stretch.torque = at->second.torque(stretch.fz, stretch.ap) * scale / 1000;
        stretch.power = cutting::power_of(stretch.torque, n);
        stretch.deflection = stretch.force * compliance_;
    }

  private:
    [[nodiscard]] cutting::Cut engaged(int step) const {
        cutting::Cut cut = cut_;
        cutting::engage(cut, cut.diameter * step / kWidthSteps);
        return cut;
    }

    cutting::ForceLaw law_;
    cutting::Cut cut_;
    double compliance_ = 0;
    std::map<int, cutting::ForceTable> tables_;
};

bool cuts_sideways(const Move& move, const Taken& taken) {
    const bool feed = (move.kind == MoveKind::line || move.kind == MoveKind::arc) && move.feed > 0 && move.spindle > 0;
    return feed && taken.volume > 0 && descent_of(move) < kSteepest;
}

/// What moves take, joined until the way is long enough.
struct Gathering {
    std::size_t first = 0, last = 0;           ///< in Removal::taken
    double length = 0, volume = 0, moment = 0; ///< moment: volume times depth
};

class Along {
  public:
    Along(const SetupToProve& setup, const Sequence& sequence, const Removal& removal, const Timeline& timeline)
        : setup_(setup), sequence_(sequence), removal_(removal), timeline_(timeline) {}

    [[nodiscard]] std::vector<LoadStretch> stretches() {
        std::size_t i = 0;
        for (std::size_t index = 0; index < sequence_.runs.size(); ++index) {
            const Run& run = sequence_.runs[index];
            LoadModel model(*setup_.material, run.cutter, setup_.machine);
            Gathering gathering;
            for (; i < removal_.taken.size() && removal_.taken[i].move < run.last_move; ++i) {
                const Taken& taken = removal_.taken[i];
                const Move& move = sequence_.moves[taken.move];
                if (!cuts_sideways(move, taken)) {
                    close(gathering, index, run, model);
                    continue;
                }
                if (gathering.length > 0 && !continues(gathering, taken, move.feed))
                    close(gathering, index, run, model);
                take(gathering, i);
                if (gathering.length >= kStretch) close(gathering, index, run, model);
            }
            close(gathering, index, run, model);
        }
        return std::move(stretches_);
    }

  private:
    [[nodiscard]] bool continues(const Gathering& gathering, const Taken& taken, double feed) const {
        const Taken& last = removal_.taken[gathering.last];
        return taken.move <= last.move + 1 && sequence_.moves[last.move].feed == feed;
    }

    /// s when so much of a move's way is done: along a move, time goes with the way.
    [[nodiscard]] double time_at(std::uint32_t move, double way) const {
        const double whole = std::max(motion::length(sequence_.moves[move]), 1e-9);
        const double begin = timeline_.start[move], end = timeline_.start[move + 1];
        return begin + (end - begin) * std::min(1.0, way / whole);
    }

    void take(Gathering& gathering, std::size_t i) const {
        const Taken& taken = removal_.taken[i];
        if (gathering.length == 0) gathering.first = i;
        gathering.last = i;
        gathering.length += taken.length;
        gathering.volume += taken.volume;
        gathering.moment += taken.volume * taken.depth;
    }

    void close(Gathering& gathering, std::size_t program, const Run& run, LoadModel& model) {
        const Gathering done = std::exchange(gathering, {});
        if (done.length <= 0 || done.volume < kCutting) return;
        const Taken& end = removal_.taken[done.last];
        const Taken& begin = removal_.taken[done.first];
        const Move& first = sequence_.moves[begin.move];
        const Move& last = sequence_.moves[end.move];
        LoadStretch stretch;
        stretch.program = program;
        stretch.first_line = first.line;
        stretch.last_line = last.line;
        stretch.at = {end.to.x, end.to.y, end.to.z};
        stretch.length = done.length;
        stretch.start = time_at(begin.move, begin.before);
        stretch.end = time_at(end.move, end.before + end.length);
        stretch.ap = done.moment / done.volume;
        stretch.ae = std::min(done.volume / (stretch.ap * done.length), run.cutter.DC);
        stretch.feed = last.feed;
        stretch.fz = last.feed / (last.spindle * std::max(1, run.cutter.ZEFP));
        model.fill(stretch, last.spindle);
        stretches_.push_back(stretch);
    }

    const SetupToProve& setup_;
    const Sequence& sequence_;
    const Removal& removal_;
    const Timeline& timeline_;
    std::vector<LoadStretch> stretches_;
};

/// The largest loads among a cutter's plans: those the plan states (they are for the worst engagement of its step), or
/// by the same model where it states none.
struct Planned {
    double force = 0, power = 0;
};

Planned planned_loads(const SetupToProve& setup, const Run& run) {
    Planned planned;
    LoadModel model(*setup.material, run.cutter, setup.machine);
    for (const cutting::FeedPlan& plan : setup.plans) {
        if (plan.cutter != run.cutter.name || plan.step == cutting::Step::drill) continue;
        LoadStretch stretch;
        stretch.ap = plan.setting.ap;
        stretch.ae = plan.setting.ae;
        stretch.fz = plan.setting.fz;
        if (plan.loads.force_peak > 0 && plan.loads.power > 0) {
            stretch.force = plan.loads.force_peak;
            stretch.power = plan.loads.power;
        } else {
            model.fill(stretch, plan.setting.n);
        }
        planned.force = std::max(planned.force, stretch.force);
        planned.power = std::max(planned.power, stretch.power);
    }
    return planned;
}

} // namespace

std::vector<LoadStretch> loads_along(const SetupToProve& setup, const Sequence& sequence, const Removal& removal,
                                     const Timeline& timeline) {
    if (!setup.material) return {};
    return Along(setup, sequence, removal, timeline).stretches();
}

std::vector<Finding> overload_findings(const SetupToProve& setup, const Sequence& sequence,
                                       const std::vector<LoadStretch>& loads) {
    std::vector<Finding> findings;
    if (!setup.material) return findings;
    std::vector<Planned> planned;
    for (const Run& run : sequence.runs)
        planned.push_back(planned_loads(setup, run));
    const auto share_of = [&](const LoadStretch& s) {
        const Planned& plan = planned[s.program];
        return plan.force > 0 ? std::max(s.force / plan.force, s.power / plan.power) : 0.0;
    };
    for (std::size_t i = 0; i < loads.size();) {
        std::size_t end = i, worst = i;
        double length = 0;
        while (end < loads.size() && loads[end].program == loads[i].program && share_of(loads[end]) > kOverload) {
            length += loads[end].length;
            worst = share_of(loads[end]) > share_of(loads[worst]) ? end : worst;
            ++end;
        }
        if (length > kOverloadLength) {
            const LoadStretch& w = loads[worst];
            const Planned& plan = planned[w.program];
            Finding finding;
            finding.kind = FindingKind::overload;
            finding.program = sequence.runs[w.program].file;
            finding.line = loads[i].first_line;
            finding.at = loads[i].at;
            finding.value = share_of(w);
            finding.bound = kOverload;
            finding.text =
                fmt::format("cuts {} mm deep and {} mm wide at {:.0f} mm/min over {} mm: {:.0f} N and {:.0f} W, where "
                            "the plan has {:.0f} N and {:.0f} W at most",
                            mm(w.ap), mm(w.ae), w.feed, mm(length), w.force, w.power, plan.force, plan.power);
            findings.push_back(std::move(finding));
        }
        i = std::max(end, i + 1);
    }
    return findings;
}

} // namespace kerfwright::proof
