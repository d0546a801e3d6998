#include "job/price.hpp"

#include "cutting/wear.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace kerfwright::job {
namespace {

constexpr double kMm2InM2 = 1e6;

/// Likely cost of a line with its spread: programs run longer than their computed time more often than shorter.
PriceLine line_of(const std::string& what, double likely, double less, double more) {
    return {what, likely * less, likely, likely * more};
}

double sheet_price(const Job& job, const shop::Sheet& sheet) {
    if (sheet.price >= 0) return sheet.price;
    return find_material(job.library, sheet.material)->price_per_m2.value * plane::area(sheet.outline) / kMm2InM2;
}

/// Mean feed of what a cutter did in a material, for turning time into path length.
double feed_of(const Plan& plan, const std::string& material, const std::string& cutter) {
    double feed = 0;
    for (const cutting::FeedPlan& plan_of_cutter : plan.feeds)
        if (plan_of_cutter.material == material && plan_of_cutter.cutter == cutter)
            feed = std::max(feed, plan_of_cutter.setting.vf);
    return feed;
}

/// Life of an edge at the settings that were planned, m: the shortest of its steps.
double life_of(const Job& job, const Plan& plan, const std::string& material, const std::string& cutter) {
    double life = 1e300;
    for (const cutting::FeedPlan& feeds : plan.feeds)
        if (feeds.material == material && feeds.cutter == cutter && feeds.cutter_life > 0)
            life = std::min(life, feeds.cutter_life);
    if (life < 1e300) return std::max(1.0, life);
    return std::max(1.0, find_material(job.library, material)->cutter_life.value);
}

double wear_cost(const Job& job, const Plan& plan) {
    double cost = 0;
    for (const PlannedSetup& setup : plan.setups) {
        for (const PlannedProgram& program : setup.programs) {
            const auto cutter = std::find_if(plan.cutters.begin(), plan.cutters.end(),
                                             [&](const auto& c) { return c.name == program.cutter; });
            const double metres = program.time / 60 * feed_of(plan, setup.sheet.material, program.cutter) / 1000;
            cost += cutting::cost_per_metre(cutter->price, life_of(job, plan, setup.sheet.material, program.cutter)) *
                    metres;
        }
    }
    return cost;
}

} // namespace

Price price_of(const Job& job, const Plan& plan) {
    Price price;
    price.currency = job.price.currency;
    const double rate = job.price.hour_rate >= 0 ? job.price.hour_rate : job.machine.hour_rate;

    double material = 0;
    double seconds = 0;
    for (const PlannedSetup& setup : plan.setups) {
        material += sheet_price(job, setup.sheet);
        for (const PlannedProgram& program : setup.programs)
            seconds += program.time;
    }
    const double hands = (job.price.setup_minutes * static_cast<double>(plan.setups.size()) +
                          job.price.finish_minutes * static_cast<double>(plan.pieces.size())) /
                         60;
    price.lines.push_back(line_of("material: whole sheets", material, 1.0, 1.15));
    price.lines.push_back(line_of(fmt::format("machine: {:.0f} min at {:.0f} an hour", seconds / 60, rate),
                                  seconds / 3600 * rate, 0.95, 1.4));
    price.lines.push_back(
        line_of(fmt::format("hands: {:.1f} h of set-up and finishing", hands), hands * rate, 0.8, 1.5));
    price.lines.push_back(line_of("cutters: wear", wear_cost(job, plan), 0.5, 3.0));
    for (const PriceLine& line : price.lines) {
        price.low += line.low;
        price.likely += line.likely;
        price.high += line.high;
    }
    const PriceLine margin{fmt::format("margin: {:.0f} %", job.price.margin * 100), price.low * job.price.margin,
                           price.likely * job.price.margin, price.high * job.price.margin};
    price.lines.push_back(margin);
    price.low += margin.low;
    price.likely += margin.likely;
    price.high += margin.high;
    return price;
}

} // namespace kerfwright::job
