// Pockets with floors at several depths are cleared in layers: the area at or below each depth, from the floor above it
// down to it. So no move ever goes below the floor under it, and each layer is a plain pocket. See docs/toolpath.md.

#include "plane/boolean.hpp"
#include "toolpath/centres.hpp"
#include "toolpath/checks.hpp"
#include "toolpath/clearing.hpp"
#include "toolpath/finishing.hpp"
#include "toolpath/order.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::toolpath {

using plane::Shape;
using plane::Vec;

namespace {

constexpr double kStartAbove = 0.3; // mm above the sheet's nominal top where ramps begin
constexpr double kThin = 0.02;      // mm; strips thinner than twice this are not worth another cutter
constexpr double kStanding = 0.05;  // mm; strips thicker than twice this must not be left
constexpr double kLeastStep = 0.05; // of DC: a smaller stepover is a fault of the plan

/// What is to be cleared between two heights, and what has been.
struct Layer {
    double top = 0, floor = 0; ///< program Z
    Shape area;
    Shape cleared; ///< by the cutters so far
};

struct Pocket {
    const PocketFeature& feature;
    std::vector<Layer> layers; ///< downwards; each area lies within the one above
    Sight over;                ///< the whole of it, seen from above
};

/// Areas side by side as one: gaps of rounding between them close.
Shape joined(const std::vector<Shape>& areas) {
    constexpr double kSeam = 0.001; // mm
    return cleaned(closing(plane::unite(areas), kSeam, {1e-4, plane::OffsetOptions::Join::mitre}));
}

Pocket pocket_of(const PocketFeature& feature, const SheetFrame& frame) {
    constexpr double kSameDepth = 1e-4; // mm
    std::vector<double> depths;
    for (const PocketFloor& floor : feature.floors)
        if (!floor.area.empty()) depths.push_back(floor.depth);
    std::sort(depths.begin(), depths.end());
    depths.erase(std::unique(depths.begin(), depths.end(), [](double a, double b) { return b - a < kSameDepth; }),
                 depths.end());
    std::vector<Layer> layers;
    double top = frame.top;
    for (const double depth : depths) {
        std::vector<Shape> areas;
        for (const PocketFloor& floor : feature.floors)
            if (floor.depth > depth - kSameDepth) areas.push_back(floor.area);
        layers.push_back({top, frame.top - depth, joined(areas), {}});
        top = frame.top - depth;
    }
    Shape over = layers.empty() ? Shape{} : layers.front().area;
    return {feature, std::move(layers), Sight(std::move(over))};
}

double allowance_of(const Technology& technology) {
    return std::max(0.0, technology.finish_allowance);
}

/// Where the cutter's centre may be while it clears a layer: only below what has been cleared in the layer above.
Shape centres_in(const Pocket& pocket, std::size_t layer, const Technology& technology, bool last) {
    const Shape& area = pocket.layers[layer].area;
    const double radius = technology.cutter.radius();
    const double allowance = allowance_of(technology);
    Shape centres = last ? centres_with_tips(area, radius, allowance) : inset(area, radius + allowance);
    if (layer > 0)
        centres = intersect(centres, inset(thinned(pocket.layers[layer - 1].cleared, kAccount), radius - kThin));
    return centres;
}

ClearingRules clearing_rules(const Technology& technology, bool last) {
    const cutting::Setting& setting = technology.rough.setting;
    const double radius = technology.cutter.radius();
    ClearingRules rules;
    rules.radius = radius;
    // No more than the radius, which leaves no cusps (see levels_of); a little less for fitted arcs.
    rules.stepover = std::clamp(setting.ae, kLeastStep * technology.cutter.DC, 0.98 * radius);
    rules.ramp_angle = ramp_angle_of(setting, technology.cutter);
    rules.feeds = {setting.vf, setting.plunge_feed};
    // The plan's feed is for its stepover. In a full slot the same power goes with a feed lower in proportion; below a
    // third the teeth would rub.
    rules.slot_feed = setting.vf * std::clamp(setting.ae / technology.cutter.DC, 0.35, 1.0);
    rules.climb = technology.climb;
    rules.centre_cutting = technology.cutter.centre_cutting;
    rules.bores = last && rules.centre_cutting;
    return rules;
}

/// Clears one layer as far as this cutter gets and as far as it has not been done.
void clear_layer(Pen& pen, Pocket& pocket, std::size_t index, const Technology& technology, const SheetFrame& frame,
                 bool first, bool last) {
    Layer& layer = pocket.layers[index];
    const double radius = technology.cutter.radius();
    Shape centres = centres_in(pocket, index, technology, last);
    Shape material;
    if (!first) {
        material = opening(subtract(offset(thinned(centres, kAccount), radius), layer.cleared), kThin);
        if (material.empty()) return;
        // Centres that touch what is left, and a little beyond: around them the cutter goes along all of it, and beside
        // it there is air to go down in.
        centres = intersect(centres, offset(thinned(material, kAccount), radius + kThin));
    }
    if (centres.empty()) return;
    const double top = index == 0 ? frame.top + std::min(kStartAbove, frame.near_top - frame.top) : layer.top;
    const auto heights = passes(layer.top, layer.floor, technology.rough.setting.ap);
    const Shape done =
        clear(pen, centres, first ? nullptr : &material, pocket.over, top, heights, clearing_rules(technology, last));
    layer.cleared = thinned(unite(layer.cleared, offset(thinned(done, kAccount), radius)), kAccount / 10);
}

/// Quarter circles where there is room, then flatter arcs.
std::vector<LeadForm> leads_in_a_pocket(double radius, double allowance) {
    std::vector<LeadForm> leads;
    for (const double share : {1.0, 0.5, 0.25})
        leads.push_back({radius * share, std::numbers::pi / 2});
    for (const double share : {1.0, 0.5})
        leads.push_back({radius * share, std::acos(1 - std::min(1.0, 1.2 * allowance / (radius * share)))});
    return leads;
}

void finish_layer(Pen& pen, Layer& layer, const Technology& technology) {
    const double radius = technology.cutter.radius();
    const Shape exact = centres_with_tips(layer.area, radius, 0);
    constexpr double kTouch = 0.006; // mm, for fitted arcs, thinned areas and rounding
    const Shape account = thinned(exact, kAccount);
    LeadRoom room;
    room.travel = offset(exact, kSlack);
    room.start = intersect(account, inset(thinned(layer.cleared, kAccount), radius - 2 * kTouch));
    FinishRules rules{finishing_feeds(technology),
                      technology.finish.setting.ap,
                      technology.rough.setting.ap,
                      ramp_angle_of(technology.rough.setting, technology.cutter),
                      20,
                      technology.climb,
                      leads_in_a_pocket(radius, allowance_of(technology))};
    std::vector<Lane> lanes;
    for (const plane::Ring& ring : rings_of(exact))
        if (auto track = track_along(technology.climb ? ring : plane::reversed(ring), kFinishTolerance))
            lanes.push_back({std::move(*track), {}});
    std::vector<Stop> stops;
    std::vector<std::vector<Start>> starts;
    const auto way = [&](const Lane& lane) { return FinishWay{lane, room, layer.top, layer.floor, layer.floor}; };
    for (const Lane& lane : lanes) {
        starts.push_back(starts_of(way(lane), rules));
        Stop stop;
        for (const Start& start : starts.back())
            stop.places.push_back(lane.track.at(start.s));
        stops.push_back(std::move(stop));
    }
    for (const Visit& visit : short_tour(stops, {}, pen.over()))
        finish(pen, way(lanes[visit.stop]), starts[visit.stop][visit.place], rules);
    layer.cleared = unite(layer.cleared, offset(account, radius));
}

/// A place that the last cutter could get to but that nothing has cleared: no cutter got down into it.
std::optional<Problem> left_standing(const Pocket& pocket, const Technology& last) {
    const double radius = last.cutter.radius();
    for (const Layer& layer : pocket.layers) {
        const Shape needed = offset(thinned(centres_with_tips(layer.area, radius, 0), kAccount), radius);
        const Shape left = opening(
            subtract(needed, offset(thinned(layer.cleared, kAccount), 3 * allowance_of(last) + kStanding)), kStanding);
        if (left.empty()) continue;
        const Vec at = plane::inner_point(plane::largest(left));
        return Problem{
            "", 0, 0,
            fmt::format("{}: no cutter gets down into the area near ({:.2f}, {:.2f})", pocket.feature.name, at.x, at.y),
            "add a smaller or a centre-cutting cutter"};
    }
    return std::nullopt;
}

/// A place of the wall that the last cutter cannot follow.
std::optional<Problem> wall_out_of_reach(const PocketFeature& feature, const Technology& last) {
    const double radius = last.cutter.radius();
    const Shape reached = offset(thinned(centres_with_tips(feature.wall, radius, 0), kAccount), radius);
    const Shape left = opening(subtract(feature.wall, reached), kStanding);
    if (left.empty()) return std::nullopt;
    const Vec at = plane::inner_point(plane::largest(left));
    return Problem{"", 0, 0,
                   fmt::format("{}: the cutter {} ({} mm) cannot follow the wall near ({:.2f}, {:.2f})", feature.name,
                               last.cutter.name, last.cutter.DC, at.x, at.y),
                   "give a smaller cutter for the wall"};
}

/// The order of the features: short ways between their middles.
std::vector<Pocket> pockets_in_order(const std::vector<PocketFeature>& features, const SheetFrame& frame) {
    std::vector<Stop> stops;
    std::vector<const PocketFeature*> used;
    for (const PocketFeature& feature : features) {
        const plane::Polygon main = plane::largest(feature.wall);
        if (main.outer.empty()) continue;
        stops.push_back({{plane::inner_point(main)}});
        used.push_back(&feature);
    }
    std::vector<Pocket> pockets;
    for (const Visit& visit : short_tour(stops, {}, {0, 0}))
        pockets.push_back(pocket_of(*used[visit.stop], frame));
    return pockets;
}

void add_step(CutterRun& run, Pen& pen, const std::string& name, const std::string& feature, cutting::Step kind) {
    pen.raise();
    auto moves = pen.taken();
    if (!moves.empty()) run.steps.push_back({name, feature, kind, std::move(moves)});
}

} // namespace

Result<std::vector<CutterRun>> pocket_runs(const std::vector<PocketFeature>& features,
                                           const std::vector<Technology>& technologies, const SheetFrame& frame,
                                           const shop::Machine& machine) {
    if (technologies.empty()) return Problem{"", 0, 0, "a pocket without a cutter", "give at least one cutter"};
    for (const Technology& technology : technologies)
        if (auto problem = unusable(technology, frame)) return *problem;
    for (const PocketFeature& feature : features) {
        if (auto problem = unusable(feature, frame)) return *problem;
        if (auto problem = wall_out_of_reach(feature, technologies.back())) return *problem;
    }
    std::vector<Pocket> pockets = pockets_in_order(features, frame);
    std::vector<CutterRun> runs;
    for (std::size_t t = 0; t < technologies.size(); ++t) {
        const Technology& technology = technologies[t];
        const bool last = t + 1 == technologies.size();
        CutterRun run{technology.cutter.name, technology.rough.setting.n, {}};
        Pen pen(frame, machine.abilities, run.n);
        for (Pocket& pocket : pockets) {
            for (std::size_t k = 0; k < pocket.layers.size(); ++k)
                clear_layer(pen, pocket, k, technology, frame, t == 0, last);
            add_step(run, pen, pocket.feature.name + (t == 0 ? "" : ", rest"), pocket.feature.name,
                     t == 0 ? cutting::Step::pocket : cutting::Step::rest);
        }
        for (Pocket& pocket : pockets) {
            if (!last) break;
            if (auto problem = left_standing(pocket, technology)) return *problem;
            if (allowance_of(technology) == 0) continue;
            for (Layer& layer : pocket.layers)
                finish_layer(pen, layer, technology);
            add_step(run, pen, pocket.feature.name + ", finishing", pocket.feature.name, cutting::Step::finish);
        }
        if (!run.steps.empty()) runs.push_back(std::move(run));
    }
    return runs;
}

} // namespace kerfwright::toolpath
