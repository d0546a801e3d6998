#include "cutting/feeds.hpp"

#include "cutting/limits.hpp"
#include "cutting/wear.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::cutting {
namespace {

/// Fills what follows from the rest: feed from feed per tooth or back, passes from depth or back.
Setting completed(Setting s, const shop::Cutter& cutter, const Task& task) {
    if (s.fz <= 0 && s.n > 0)
        s.fz = s.vf / (s.n * cutter.ZEFP);
    else if (s.vf <= 0)
        s.vf = s.fz * s.n * cutter.ZEFP;
    if (s.ap <= 0) s.ap = task.depth / std::max(1, s.passes);
    s.passes = std::max(1, static_cast<int>(std::ceil(std::min(1e6, task.depth / s.ap) - 1e-9)));
    return s;
}

bool sound(const Setting& s) {
    for (const double x : {s.n, s.vf, s.fz, s.ap})
        if (!std::isfinite(x) || x <= 0 || x > 1e9) return false;
    return true;
}

std::string distance_note(const std::vector<Limit>& limits) {
    const Limit* least = nullptr;
    for (const Limit& limit : limits)
        if (!least || limit.reserve() < least->reserve()) least = &limit;
    return fmt::format("{}: {:.3g} {} against {} {:.3g}, {:.0f} % {}", least->name, least->value, least->unit,
                       least->at_least ? "at least" : "at most", least->bound, 100 * std::abs(least->reserve()),
                       least->reserve() >= 0 ? "in reserve" : "beyond");
}

} // namespace

const char* to_string(Step step) {
    switch (step) {
    case Step::profile:
        return "profile";
    case Step::finish:
        return "finish";
    case Step::pocket:
        return "pocket";
    case Step::rest:
        return "rest";
    case Step::drill:
        return "drill";
    }
    return "";
}

double Limit::reserve() const {
    const double free = at_least ? value - bound : bound - value;
    const double scale = std::abs(bound) > 1e-12 ? std::abs(bound) : 1;
    return free / scale;
}

FeedPlan judge(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine,
               const Task& task, const Setting& setting) {
    FeedPlan plan;
    plan.material = material.name;
    plan.cutter = cutter.name;
    plan.machine = machine.name;
    plan.step = task.step;
    plan.setting = completed(setting, cutter, task);
    plan.cutter_life = edge_life(material, cutter, plan.setting);
    if (!sound(plan.setting)) {
        plan.limits.push_back({"setting", 0, 1, true, "", "give n, vf and ap above zero"});
        plan.notes.push_back("the setting has a speed, feed or depth that is no positive number");
        return plan;
    }
    const Situation at = situation(material, cutter, machine, task, Side::likely, &setting);
    plan.setting.ae = at.ae;
    plan.setting.slot_width = at.slot_width;
    if (plan.setting.plunge_feed <= 0) set_entry(at, plan.setting);
    plan.loads = loads_at(at, plan.setting);
    plan.limits = limits_at(at, plan.setting, plan.loads);

    const Limit* least = &plan.limits.front();
    for (const Limit& limit : plan.limits)
        if (limit.reserve() < least->reserve()) least = &limit;
    if (least->holds()) plan.binding = least->name;
    plan.notes.push_back(
        "judged by best estimates of force and by the widest windows known to have worked; closest limit: " +
        distance_note(plan.limits));

    if (at.tried) plan.notes.push_back(log_note(at));

    const Situation careful = situation(material, cutter, machine, task, Side::cautious, &setting);
    std::string beyond;
    for (const Limit& limit : limits_at(careful, plan.setting, loads_at(careful, plan.setting)))
        if (!limit.holds())
            beyond += fmt::format("{}{} ({:.3g} against {:.3g} {})", beyond.empty() ? "" : ", ", limit.name,
                                  limit.value, limit.bound, limit.unit);
    if (!beyond.empty()) plan.notes.push_back("outside the cautious side that a plan keeps to: " + beyond);
    return plan;
}

} // namespace kerfwright::cutting
