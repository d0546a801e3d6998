// The feed plan is solved: for every number of passes the largest feed per tooth that loads allow, for every speed the
// largest feed that speed-dependent limits allow, and of all these the fastest.

#include "cutting/chatter_bound.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/limits.hpp"
#include "cutting/wear.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::cutting {
namespace {

constexpr double kLeastPass = 0.1; ///< mm; nobody takes thinner passes
constexpr int kMostPasses = 400;
constexpr double kSameTime = 1.003; ///< settings within 0.3 % are equally fast; then the one with most reserve is taken
constexpr double kInside = 1 - 1e-7; ///< keeps solved values inside their bounds after rounding

bool all_hold(const std::vector<Limit>& limits) {
    return std::all_of(limits.begin(), limits.end(), [](const Limit& limit) { return limit.holds(); });
}

const Limit* tightest(const std::vector<Limit>& limits) {
    const Limit* least = nullptr;
    for (const Limit& limit : limits)
        if (!least || limit.reserve() < least->reserve()) least = &limit;
    return least;
}

/// The limit that holds the plan back. Equal passes meet the depth by accident: it binds only when nothing else does.
std::string binding_of(const std::vector<Limit>& limits) {
    const Limit* least = tightest(limits);
    if (least->name != "depth" && least->name != "reach") return least->name;
    for (const Limit& limit : limits)
        if (limit.name != "depth" && limit.name != "reach" && limit.reserve() < least->reserve() + 0.01)
            return limit.name;
    return least->name;
}

/// Reserve of the limits that wear a cutter or risk a part; a machine at its feed harms nothing.
double safety(const std::vector<Limit>& limits) {
    double least = 1e300;
    for (const Limit& limit : limits)
        if (limit.name != "machine feed" && limit.name != "depth" && limit.name != "reach")
            least = std::min(least, limit.reserve());
    return least;
}

Setting setting_at(const Situation& at, double n, double fz, int passes) {
    Setting s;
    s.n = n;
    s.fz = fz;
    s.vf = fz * at.cutter->ZEFP * n;
    s.passes = passes;
    s.ap = at.task.depth / passes;
    s.ae = at.ae;
    s.slot_width = at.slot_width;
    return s;
}

/// Largest x in [low, high] for which holds(x), which is true below some x and false above; low - 1 when not even low.
template <class Holds>
double largest(double low, double high, const Holds& holds) {
    if (high < low || !holds(low)) return low - 1;
    if (holds(high)) return high;
    for (int i = 0; i < 40 && high - low > 2e-4 * high; ++i) {
        const double mid = (low + high) / 2;
        (holds(mid) ? low : high) = mid;
    }
    return low;
}

/// Speeds worth a try: from the slowest to the fastest that surface speed, spindle, cutter and heat allow.
std::vector<double> speeds(const Situation& at) {
    const double step = at.machine->spindle.speed_step;
    const SpeedRange range = speed_range(at);
    const double low = std::ceil(range.low / step - 1e-9) * step;
    double high = range.high;
    if (const double n = at.task.n; n > 0) {
        if (n >= range.low && n <= high) return {n};
        return {};
    }
    high = std::floor(high / step + 1e-9) * step;
    std::vector<double> all;
    constexpr int count = 32;
    for (int i = 0; i <= count && low <= high; ++i) {
        const double n = std::floor((low + (high - low) * i / count) / step + 1e-9) * step;
        if (all.empty() || n > all.back()) all.push_back(n);
    }
    // Pockets of the stability lobes are narrow: their speeds are tried too.
    for (const double n : at.chatter.pockets()) {
        const double settable = std::round(n / step) * step;
        if (settable >= low && settable <= high) all.push_back(settable);
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

struct Candidate {
    Setting setting;
    Loads loads;
    std::vector<Limit> limits;
};

class Search {
  public:
    explicit Search(const Situation& at) : at_(at), speeds_(speeds(at)) {
        fz_low_ = at.fz_low;
        const double ratio = at.drilling() ? 1 : mean_chip_ratio(at.ae, at.cutter->DC);
        fz_low_ = std::max(fz_low_, thinnest_cool_chip(at) / ratio) / kInside;
    }

    /// The fastest setting; nothing when there is none.
    bool run(Candidate& best) const {
        if (speeds_.empty() || !any_feed(most_passes())) return false;
        bool found = false;
        double best_time = 1e300;
        const int first = std::max(1, static_cast<int>(std::ceil(at_.task.depth / at_.ap_high - 1e-9)));
        const double vf_most = std::min(at_.vf_high, speeds_.back() * at_.cutter->ZEFP * at_.fz_high);
        for (int passes = first; passes <= most_passes(); ++passes) {
            if (passes / vf_most * kSameTime >= best_time) break;
            const double needed = passes / best_time * kSameTime / (speeds_.back() * at_.cutter->ZEFP);
            if (needed > fz_low_ && !loads_hold(needed, passes)) continue; // could not win even at full speed
            const double ceiling = fz_by_loads(passes) * kInside;
            const double vf = fastest_feed(passes, ceiling);
            if (vf <= 0 || passes / vf * kSameTime >= best_time) continue;
            if (!safest(passes, vf, ceiling, best)) continue;
            best_time = passes / best.setting.vf;
            found = true;
        }
        return found;
    }

    /// The setting that comes nearest to being inside, to say what stands in the way.
    [[nodiscard]] Candidate gentlest() const {
        Candidate best;
        double least = -1e300;
        const bool fixed = at_.task.n > 0;
        const double slow = fixed ? at_.task.n : speeds_.empty() ? at_.n_low : speeds_.front();
        const double fast = fixed ? at_.task.n : speeds_.empty() ? at_.n_high : speeds_.back();
        for (const double n : {slow, fast}) {
            const double reach = std::min(at_.ap_high, at_.task.depth);
            for (const double ap : {reach, reach / 4, std::min(reach, kLeastPass)}) {
                const int passes = std::clamp(static_cast<int>(std::ceil(at_.task.depth / ap)), 1, most_passes());
                for (const double fz : {at_.fz_low, std::min(fz_low_, at_.fz_high), at_.fz_high}) {
                    Candidate candidate = evaluated(setting_at(at_, n, fz, passes));
                    const double reserve = tightest(candidate.limits)->reserve();
                    if (reserve > least) least = reserve, best = std::move(candidate);
                }
            }
        }
        return best;
    }

    [[nodiscard]] Candidate evaluated(const Setting& setting) const {
        Candidate candidate{setting, loads_at(at_, setting), {}};
        candidate.limits = limits_at(at_, setting, candidate.loads);
        return candidate;
    }

  private:
    /// Limits that do not depend on speed.
    [[nodiscard]] bool loads_hold(double fz, int passes) const {
        const Candidate c = evaluated(setting_at(at_, speeds_.back(), fz, passes));
        return std::all_of(c.limits.begin(), c.limits.end(), [](const Limit& limit) {
            return limit.holds() || limit.name == "power" || limit.name == "machine feed" || limit.name == "heat" ||
                   limit.name == "chatter" || limit.name == "melted before";
        });
    }

    /// Largest feed per tooth by those.
    [[nodiscard]] double fz_by_loads(int passes) const {
        return largest(fz_low_, at_.fz_high, [&](double fz) { return loads_hold(fz, passes); });
    }

    [[nodiscard]] int most_passes() const {
        const int asked = at_.task.passes_max > 0 ? at_.task.passes_max : kMostPasses;
        return std::clamp(static_cast<int>(std::ceil(at_.task.depth / kLeastPass)), 1, std::min(asked, kMostPasses));
    }

    /// Lighter passes only loosen: what is impossible with very many is impossible.
    [[nodiscard]] bool any_feed(int passes) const { return fastest_feed(passes, fz_by_loads(passes)) > 0; }

    [[nodiscard]] double fz_by_speed(double n, int passes, double ceiling) const {
        if (at_.task.depth / passes > at_.chatter.at(n, at_.side)) return fz_low_ - 1;
        const double feed = at_.vf_high / (n * at_.cutter->ZEFP) * kInside;
        const double available = shop::power_at(at_.machine->spindle, n) * at_.machine->spindle.efficiency;
        const double low = std::max(fz_low_, least_tried(at_, n) / kInside);
        return largest(low, std::min(ceiling, feed), [&](double fz) {
            const double torque = at_.drilling() ? loads_at(at_, setting_at(at_, n, fz, passes)).torque
                                                 : at_.table.torque(fz, at_.task.depth / passes) / 1000;
            return power_of(torque, n) <= available * kInside;
        });
    }

    [[nodiscard]] double fastest_feed(int passes, double ceiling) const {
        double best = 0;
        for (const double n : speeds_)
            best = std::max(best, fz_by_speed(n, passes, ceiling) * n * at_.cutter->ZEFP);
        return best;
    }

    /// Of all speeds that reach the feed `vf`, the one with the largest reserve; the feed is rounded down.
    bool safest(int passes, double vf, double ceiling, Candidate& best) const {
        const double step = vf > 300 ? 10 : vf > 30 ? 1 : 0.1;
        double most = -1e300;
        for (const double n : speeds_) {
            const double fz = fz_by_speed(n, passes, ceiling), here = fz * n * at_.cutter->ZEFP;
            if (here * kSameTime < vf) continue;
            Setting setting = setting_at(at_, n, fz, passes);
            const double rounded = std::floor(std::min(here, vf) / step) * step;
            if (rounded / n / at_.cutter->ZEFP >= std::max(fz_low_, least_tried(at_, n))) {
                setting.vf = rounded;
                setting.fz = rounded / n / at_.cutter->ZEFP;
            }
            Candidate candidate = evaluated(setting);
            if (!all_hold(candidate.limits) || safety(candidate.limits) <= most) continue;
            most = safety(candidate.limits);
            best = std::move(candidate);
        }
        return most > -1e300;
    }

    const Situation& at_;
    std::vector<double> speeds_;
    double fz_low_ = 0;
};

std::string force_note(const shop::Material& material) {
    const shop::CuttingForce& f = material.force;
    const bool kienzle = f.form == shop::CuttingForce::Form::kienzle;
    const shop::Sourced& s = kienzle ? f.kc11 : f.ktc;
    return fmt::format(
        "cautious side of the force range: {} {:g} to {:g} N/mm2, best estimate {:g} ({}), planned with {:g}",
        kienzle ? "kc1.1" : "Ktc", s.low, s.high, s.value, shop::to_string(s.sureness), s.high);
}

std::vector<std::string> plan_notes(const Situation& at) {
    const shop::Material& m = *at.material;
    std::vector<std::string> notes{
        force_note(m),
        fmt::format("cautious side of the chip-load window at 6 mm: {:g} to {:g} mm/tooth of {:g} to {:g} ({})",
                    m.fz_min.high, m.fz_max.low, m.fz_min.low, m.fz_max.high, shop::to_string(m.fz_max.sureness))};
    if (m.softening)
        notes.push_back(
            fmt::format("softens at {:g} C ({:g} to {:g}); planned below {:g}; the temperature is an estimate",
                        m.softening->value, m.softening->low, m.softening->high, m.softening->low));
    if (at.tried) notes.push_back(log_note(at));
    if (at.lanes > 1)
        notes.push_back(fmt::format("chips pack: the slot is cut {:.2f} mm wide, in two lanes a pass", at.slot_width));
    if (!at.drilling()) notes.push_back(chatter_note(at));
    if (at.task.step == Step::pocket) notes.push_back("loads are those of the slot that opens the pocket");
    if (std::find(m.cutters.begin(), m.cutters.end(), at.cutter->family) == m.cutters.end() && !at.drilling()) {
        std::string asked;
        for (const std::string& family : m.cutters)
            asked += (asked.empty() ? "" : ", ") + family;
        notes.push_back(fmt::format("{} asks for another kind of cutter: {}", m.title, asked));
    }
    notes.insert(notes.end(), m.cautions.begin(), m.cautions.end());
    return notes;
}

Problem no_setting(const Situation& at, const Search& search) {
    const Candidate nearest = search.gentlest();
    std::string broken, remedies, held;
    for (const Limit& limit : nearest.limits) {
        if (!limit.holds()) {
            broken += fmt::format("{}{} {:.4g} {} against {} {:.4g}", broken.empty() ? "" : ", ", limit.name,
                                  limit.value, limit.unit, limit.at_least ? "at least" : "at most", limit.bound);
            remedies += (remedies.empty() ? "" : "; ") + limit.name + ": " + limit.loosen;
        } else if (limit.reserve() < 0.02) {
            held += (held.empty() ? "" : ", ") + limit.name;
        }
    }
    const Setting& s = nearest.setting;
    std::string what =
        fmt::format("no {} of {} with {} on {} is inside all limits: even at {:g} rev/min, {:.4g} mm/tooth and "
                    "{:.3g} mm deep, {}",
                    to_string(at.task.step), at.material->name, at.cutter->name, at.machine->name, s.n, s.fz, s.ap,
                    broken.empty() ? "the search finds no way" : broken);
    if (!held.empty()) what += fmt::format(", while {} allows no less", held);
    return Problem{"", 0, 0, what, remedies.empty() ? "use another cutter" : remedies};
}

} // namespace

Result<FeedPlan> plan_feeds(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine,
                            const Task& task) {
    const auto sound = [](double x) { return std::isfinite(x) && x > 0; };
    if (!sound(task.depth) || task.depth > 1000 || !sound(task.deflection_max) || !std::isfinite(task.holding_force) ||
        !std::isfinite(task.n) || task.n < 0 || (task.step == Step::finish && !sound(task.finish_allowance)))
        return Problem{"", 0, 0,
                       "the task has a depth, deflection, allowance, holding or speed that is no positive number",
                       "give a depth in (0, 1000] mm"};
    if ((cutter.kind == shop::CutterKind::drill) != (task.step == Step::drill) &&
        (task.step != Step::drill || !cutter.centre_cutting))
        return Problem{"", 0, 0, fmt::format("{} cannot {}", cutter.name, to_string(task.step)),
                       cutter.kind == shop::CutterKind::drill ? "use a milling cutter"
                                                              : "use a drill or a centre-cutting cutter"};
    const Situation at = situation(material, cutter, machine, task, Side::cautious, nullptr);
    const Search search(at);
    Candidate best;
    if (!search.run(best)) return no_setting(at, search);

    FeedPlan plan{material.name, cutter.name, machine.name, task.step, best.setting,
                  best.loads,    best.limits, {},           {},        0};
    set_entry(at, plan.setting);
    plan.binding = binding_of(plan.limits);
    plan.notes = plan_notes(at);
    plan.cutter_life = edge_life(material, cutter, plan.setting);
    return plan;
}

} // namespace kerfwright::cutting
