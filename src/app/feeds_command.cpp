// feeds: the plan for a material and a cutter, the judgement of a given setting, and what recordings say.

#include "app/feeds.hpp"
#include "base/text_table.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/wear.hpp"
#include "job/json_values.hpp"
#include "job/shop_log.hpp"
#include "job/shop_named.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::app {
namespace {

/// What the shop's log says of the cutter and of it in the material.
Result<Done> apply_log(const std::string& file, FeedsSubject& subject) {
    if (file.empty()) return Done{};
    const auto log = job::read_log(file);
    if (!log) return log.problem();
    std::vector<shop::Cutter> cutters{subject.cutter};
    std::vector<shop::Material> materials{subject.material};
    subject.log = job::apply_log(log.value(), cutters, materials);
    subject.cutter = std::move(cutters.front());
    subject.material = std::move(materials.front());
    return Done{};
}

Result<FeedsSubject> subject_of(const FeedsArguments& a) {
    auto material = job::material_named(a.material);
    if (!material) return material.problem();
    auto cutter = job::cutter_named(a.cutter);
    if (!cutter) return cutter.problem();
    auto machine = job::machine_named(a.machine);
    if (!machine) return machine.problem();
    FeedsSubject subject{std::move(material).value(), std::move(cutter).value(), std::move(machine).value(), {}, {}};
    if (auto applied = apply_log(a.log, subject); !applied) return applied.problem();
    using cutting::Step;
    constexpr Step kSteps[] = {Step::profile, Step::finish, Step::pocket, Step::rest, Step::drill};
    const auto* const step =
        std::find_if(std::begin(kSteps), std::end(kSteps), [&](Step one) { return a.step == to_string(one); });
    if (step == std::end(kSteps))
        return Problem{"", 0, 0, fmt::format("there is no step \"{}\"", a.step),
                       "use one of profile, finish, pocket, rest, drill"};
    subject.task.step = *step;
    subject.task.depth = a.depth;
    if (!(a.depth > 0)) return Problem{"", 0, 0, "--depth is not positive", "write the depth to cut"};
    return subject;
}

std::string setting_text(const FeedsSubject& subject, const cutting::FeedPlan& plan) {
    const cutting::Setting& s = plan.setting;
    const cutting::Loads& l = plan.loads;
    std::string text = fmt::format("{} with {} on {}, {} {:g} mm deep\n\n", plan.material, plan.cutter, plan.machine,
                                   to_string(plan.step), subject.task.depth);
    text += fmt::format("  speed   {:>6.0f} rev/min   {:.0f} m/min at the edge\n", s.n,
                        cutting::surface_speed(subject.cutter.DC, s.n));
    text += fmt::format("  feed    {:>6.0f} mm/min    {:.4f} mm/tooth\n", s.vf, s.fz);
    text += fmt::format("  passes  {:>6d}           {:.2f} mm deep, {:.2f} mm wide{}\n", s.passes, s.ap, s.ae,
                        s.slot_width > subject.cutter.DC + 1e-9 ? fmt::format(", in a slot of {:.2f} mm", s.slot_width)
                                                                : std::string());
    text += fmt::format("  plunge  {:>6.0f} mm/min    ramp {:.1f} deg\n", s.plunge_feed, s.ramp_angle);
    text += fmt::format("  loads   {:>6.1f} N peak    {:.1f} N mean, {:.1f} N {}, {:.3f} N m, {:.0f} W; the tip bends "
                        "{:.3f} mm\n",
                        l.force_peak, l.force_mean, std::abs(l.lift_peak), l.lift_peak >= 0 ? "lift" : "down", l.torque,
                        l.power, l.deflection);
    text += fmt::format("  edge    {:>6.0f} m of path", plan.cutter_life);
    if (subject.cutter.price > 0 && plan.cutter_life > 0)
        text +=
            fmt::format(", {:.3f} a metre in money", cutting::cost_per_metre(subject.cutter.price, plan.cutter_life));
    return text + "\n\n";
}

std::string binding_text(const cutting::FeedPlan& plan) {
    std::string broken;
    const cutting::Limit* binding = nullptr;
    for (const cutting::Limit& limit : plan.limits) {
        if (!limit.holds())
            broken += fmt::format("  {}: {} {}, {} {} - {}\n", limit.name, plain(limit.value), limit.unit,
                                  limit.at_least ? "at least" : "at most", plain(limit.bound), limit.loosen);
        if (limit.name == plan.binding) binding = &limit;
    }
    if (!broken.empty()) return "Outside these limits:\n" + broken + "\n";
    if (!binding) return "";
    return fmt::format("Held back by {} ({} {}, {} {}). To loosen it: {}.\n\n", binding->name, plain(binding->value),
                       binding->unit, binding->at_least ? "at least" : "at most", plain(binding->bound),
                       binding->loosen);
}

/// Limits with the least reserve first.
std::string limits_table(const cutting::FeedPlan& plan) {
    std::vector<cutting::Limit> limits = plan.limits;
    std::stable_sort(limits.begin(), limits.end(),
                     [](const auto& a, const auto& b) { return a.reserve() < b.reserve(); });
    TextTable table{{"limit", "value", "", "bound", "unit", "reserve %", "what would loosen it"}, {}};
    for (const cutting::Limit& limit : limits) {
        const char* mark = !limit.holds() ? "! " : limit.name == plan.binding ? "* " : "  ";
        table.rows.push_back({mark + limit.name, plain(limit.value), limit.at_least ? ">=" : "<=", plain(limit.bound),
                              limit.unit, fmt::format("{:.0f}", 100 * std::min(limit.reserve(), 9.99)), limit.loosen});
    }
    return to_string(table) +
           "\n* holds the plan back   ! does not hold   reserve: share of the bound that is free\n\n";
}

std::string feeds_text(const FeedsSubject& subject, const cutting::FeedPlan& plan) {
    std::string text = setting_text(subject, plan) + binding_text(plan) + limits_table(plan);
    for (const std::string& note : subject.log)
        text += "note: " + note + "\n";
    for (const std::string& note : plan.notes)
        text += "note: " + note + "\n";
    return text + "Computed, not tried: make a test cut first.\n";
}

/// The setting to judge: what was given, the rest from the plan where there is one.
Result<cutting::Setting> setting_of(const FeedsArguments& a, const FeedsSubject& subject,
                                    const Result<cutting::FeedPlan>& plan) {
    if (!a.n || !a.vf)
        return Problem{"", 0, 0, "a setting to judge needs --n and --vf",
                       "give both; --ap and --ae default to the plan's"};
    cutting::Setting setting = plan ? plan.value().setting : cutting::Setting{};
    setting.n = *a.n;
    setting.vf = *a.vf;
    setting.ap = a.ap.value_or(plan ? setting.ap : a.depth);
    setting.ae = a.ae.value_or(plan ? setting.ae : subject.cutter.DC);
    for (const double value : {setting.n, setting.vf, setting.ap, setting.ae})
        if (!(value > 0)) return Problem{"", 0, 0, "a setting to judge is not positive", "write positive numbers"};
    setting.fz = setting.vf / (setting.n * subject.cutter.ZEFP);
    return setting;
}

int listen(const Console& console, const FeedsArguments& a, const FeedsSubject& subject) {
    if (!a.n) return fail(console, {"", 0, 0, "--listen needs the speed of the cut", "give --n, such as --n 18000"});
    auto report = report_cut(subject, a.listen, *a.n);
    if (!report) return fail(console, report.problem());
    say(console, report.value().text);
    print(console, {{"listen", report.value().json}});
    return report.value().chatter ? Exit::findings : Exit::done;
}

} // namespace

std::string plain(double value) {
    return std::abs(value) >= 1000 ? fmt::format("{:.0f}", value) : fmt::format("{:.4g}", value);
}

int run_feeds(const Console& console, const FeedsArguments& a) {
    auto found = subject_of(a);
    if (!found) return fail(console, found.problem());
    FeedsSubject& subject = found.value();
    nlohmann::ordered_json tap;
    std::string heard;
    if (!a.tap.empty()) {
        auto report = report_tap(subject, a.tap, a.stiffness);
        if (!report) return fail(console, report.problem());
        tap = report.value().json;
        heard = report.value().text;
    }
    if (!a.listen.empty()) return listen(console, a, subject);

    auto plan = cutting::plan_feeds(subject.material, subject.cutter, subject.machine, subject.task);
    const bool given = a.n || a.vf || a.ap || a.ae;
    if (!given && !plan && heard.empty()) return fail(console, plan.problem());
    say(console, heard);
    nlohmann::ordered_json json;
    int status = Exit::done;
    if (!given && !plan) { // the tap has been heard; that nothing is possible with it is a finding
        say(console, to_string(plan.problem()) + "\n");
        json["nothing_possible"] = {{"what", plan.problem().what}, {"remedy", plan.problem().remedy}};
        status = Exit::findings;
    } else if (!given) {
        say(console, feeds_text(subject, plan.value()));
        json = job::json_of(plan.value());
    } else {
        auto setting = setting_of(a, subject, plan);
        if (!setting) return fail(console, setting.problem());
        const cutting::FeedPlan judged =
            cutting::judge(subject.material, subject.cutter, subject.machine, subject.task, setting.value());
        say(console, feeds_text(subject, judged));
        json = job::json_of(judged);
        if (std::any_of(judged.limits.begin(), judged.limits.end(), [](const auto& l) { return !l.holds(); }))
            status = Exit::findings;
    }
    if (!tap.is_null()) json["tap"] = tap;
    if (!subject.log.empty()) json["log"] = subject.log;
    print(console, json);
    return status;
}

} // namespace kerfwright::app
