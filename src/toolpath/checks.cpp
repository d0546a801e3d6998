#include "toolpath/checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {
namespace {

Problem problem(std::string what, std::string remedy) {
    return {"", 0, 0, std::move(what), std::move(remedy)};
}

constexpr double kFlattestRamp = 0.5; // degrees

bool positive(double value) {
    return std::isfinite(value) && value > 0;
}

std::optional<Problem> unusable(const cutting::Setting& setting, const std::string& step) {
    const std::pair<const char*, double> figures[] = {{"speed n", setting.n},
                                                      {"feed vf", setting.vf},
                                                      {"depth ap", setting.ap},
                                                      {"plunge feed", setting.plunge_feed}};
    for (const auto& [name, value] : figures)
        if (!positive(value))
            return problem(fmt::format("{}: {} is {}, which is no setting to cut with", step, name, value),
                           "give a feed plan with it above zero");
    return std::nullopt;
}

/// Settings that would make moves without end.
std::optional<Problem> excessive(const cutting::Setting& setting, const std::string& step, double depth,
                                 double diameter) {
    constexpr double kMostPasses = 1000;
    constexpr double kWidestSlot = 10; // of DC
    if (depth > kMostPasses * setting.ap)
        return problem(fmt::format("{}: passes of {} mm through {} mm", step, setting.ap, depth),
                       "give a larger depth ap");
    if (positive(setting.ramp_angle) && setting.ramp_angle < kFlattestRamp)
        return problem(fmt::format("{}: a ramp of {} degrees", step, setting.ramp_angle), "give a steeper ramp");
    if (!std::isfinite(setting.slot_width) || setting.slot_width > kWidestSlot * diameter)
        return problem(fmt::format("{}: a slot {} mm wide", step, setting.slot_width), "give a narrower slot");
    return std::nullopt;
}

bool usable_ring(const plane::Ring& ring) {
    return ring.size() >= 3 && signed_area(ring) != 0;
}

std::optional<Problem> unusable(const plane::Polygon& polygon, const std::string& name) {
    const auto rings = rings_of(polygon);
    if (std::all_of(rings.begin(), rings.end(), usable_ring)) return std::nullopt;
    return problem(name + ": an outline without an area", "mend the outline");
}

} // namespace

std::optional<Problem> unusable(const Technology& technology, const SheetFrame& frame) {
    const std::string name = "cutter " + technology.cutter.name;
    if (!positive(technology.cutter.DC))
        return problem(name + ": its diameter is not above zero", "mend the cutter's DC");
    if (!(technology.cutter.max_ramp >= kFlattestRamp))
        return problem(name + ": it can neither plunge nor ramp", "mend the cutter's max_ramp");
    if (!std::isfinite(technology.finish_allowance) || technology.finish_allowance > technology.cutter.radius())
        return problem(fmt::format("{}: a finish allowance of {} mm", name, technology.finish_allowance),
                       "keep it below the cutter's radius");
    if (auto fault = unusable(technology.rough.setting, name + ", roughing")) return fault;
    if (technology.finish_allowance > 0)
        if (auto fault = unusable(technology.finish.setting, name + ", finishing")) return fault;
    if (!(std::isfinite(frame.bottom) && frame.bottom < frame.top && frame.top < frame.near_top &&
          frame.near_top <= frame.clearance))
        return problem("heights out of order: bottom < top < near top <= clearance is needed",
                       "raise the clearance height");
    const double depth = frame.top - frame.bottom;
    if (auto fault = excessive(technology.rough.setting, name + ", roughing", depth, technology.cutter.DC))
        return fault;
    if (technology.finish_allowance > 0)
        if (auto fault = excessive(technology.finish.setting, name + ", finishing", depth, technology.cutter.DC))
            return fault;
    return std::nullopt;
}

std::optional<Problem> unusable(const ProfileFeature& feature, const SheetFrame& frame) {
    if (auto fault = unusable(feature.outline, feature.name)) return fault;
    if (!std::isfinite(feature.floor) || feature.floor >= frame.top)
        return problem(fmt::format("{}: its floor, Z {}, is not below the sheet's top", feature.name, feature.floor),
                       "mend the depth");
    for (const holding::Tab& tab : feature.tabs)
        if (!positive(tab.width) || !std::isfinite(tab.thickness) || !std::isfinite(tab.at.x + tab.at.y))
            return problem(fmt::format("{}: a tab {} mm wide and {} mm thick", feature.name, tab.width, tab.thickness),
                           "mend the tab");
    return std::nullopt;
}

std::optional<Problem> unusable(const PocketFeature& feature, const SheetFrame&) {
    for (const PocketFloor& floor : feature.floors) {
        if (!positive(floor.depth))
            return problem(fmt::format("{}: a floor {} mm deep", feature.name, floor.depth),
                           "give every floor a depth above zero");
        for (const plane::Polygon& polygon : floor.area)
            if (auto fault = unusable(polygon, feature.name)) return fault;
    }
    return std::nullopt;
}

double ramp_angle_of(const cutting::Setting& setting, const shop::Cutter& cutter) {
    constexpr double kUsual = 3; // degrees, common practice where a plan says nothing
    constexpr double kSteepest = 45;
    const double asked = positive(setting.ramp_angle) ? setting.ramp_angle : kUsual;
    return std::min({asked, cutter.max_ramp, kSteepest});
}

Feeds finishing_feeds(const Technology& technology) {
    const cutting::Setting& rough = technology.rough.setting;
    const cutting::Setting& finish = technology.finish.setting;
    const double share = std::min(1.0, rough.n / finish.n);
    return {finish.vf * share, finish.plunge_feed * share, technology.climb ? Wall::right : Wall::left,
            technology.cutter.radius()};
}

} // namespace kerfwright::toolpath
