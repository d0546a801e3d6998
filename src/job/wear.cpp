#include "job/wear.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::job {
namespace {

/// Life of an edge at the settings that were planned, m: the shortest of its steps.
double life_of(const Job& job, const Plan& plan, const std::string& material, const std::string& cutter) {
    double life = 1e300;
    for (const cutting::FeedPlan& feeds : plan.feeds)
        if (feeds.material == material && feeds.cutter == cutter && feeds.cutter_life > 0)
            life = std::min(life, feeds.cutter_life);
    if (life < 1e300) return std::max(1.0, life);
    return std::max(1.0, find_material(job.library, material)->cutter_life.value);
}

EdgeUse use_of(const Job& job, const Plan& plan, const std::string& cutter) {
    EdgeUse use;
    use.cutter = cutter;
    double on_this_edge = 0;
    for (const PlannedSetup& setup : plan.setups)
        for (const PlannedProgram& program : setup.programs) {
            if (program.cutter != cutter) continue;
            const double share = program.path / life_of(job, plan, setup.sheet.material, cutter);
            use.path += program.path;
            use.edges += share;
            if (on_this_edge > 0 && on_this_edge + share > 1) {
                use.fresh_before.push_back(setup.name);
                on_this_edge = 0;
            }
            on_this_edge += share;
        }
    return use;
}

std::string joined(const std::vector<std::string>& names) {
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "" : ", ") + name;
    return text;
}

std::string note_of(const EdgeUse& use) {
    constexpr double kWorthAWord = 0.5;
    if (use.edges <= kWorthAWord) return "";
    std::string note = fmt::format("{}: {:.0f} m of path take about {:.0f} % of an edge's life", use.cutter, use.path,
                                   100 * use.edges);
    if (use.edges > 1) note += fmt::format("; have {:.0f} ready", std::ceil(use.edges));
    if (!use.fresh_before.empty()) note += "; put in a fresh one before " + joined(use.fresh_before);
    return use.edges > 1 ? note : note + "; have a spare";
}

} // namespace

void add_wear(const Job& job, Plan& plan) {
    plan.wear.clear();
    for (const shop::Cutter& cutter : plan.cutters) {
        plan.wear.push_back(use_of(job, plan, cutter.name));
        if (std::string note = note_of(plan.wear.back()); !note.empty()) plan.notes.push_back(std::move(note));
    }
}

} // namespace kerfwright::job
