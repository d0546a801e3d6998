#include "job/price.hpp"

#include <fmt/format.h>

#include <algorithm>

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

double wear_cost(const Plan& plan) {
    double cost = 0;
    for (const EdgeUse& use : plan.wear) {
        const auto cutter = std::find_if(plan.cutters.begin(), plan.cutters.end(),
                                         [&](const shop::Cutter& c) { return c.name == use.cutter; });
        cost += cutter->price * use.edges;
    }
    return cost;
}

double path_cut(const Plan& plan) {
    double metres = 0;
    for (const EdgeUse& use : plan.wear)
        metres += use.path;
    return metres;
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
    const double wear = wear_cost(plan), metres = path_cut(plan);
    price.lines.push_back(
        line_of(metres > 0 ? fmt::format("cutters: {:.0f} m of path at {:.3f} a metre", metres, wear / metres)
                           : "cutters: no path",
                wear, 0.5, 3.0));
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
