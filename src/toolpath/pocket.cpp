// Pockets with floors at several depths are cleared in layers, each only below what the layer above it has cleared and
// never over a shallower floor. So no move goes below the floor under it, and each layer is a plain pocket. See
// docs/toolpath.md.

#include "plane/boolean.hpp"
#include "toolpath/centres.hpp"
#include "toolpath/checks.hpp"
#include "toolpath/clearing.hpp"
#include "toolpath/entry.hpp"
#include "toolpath/finishing.hpp"
#include "toolpath/layers.hpp"
#include "toolpath/order.hpp"
#include "toolpath/wall.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Shape;
using plane::Vec;

namespace {

constexpr double kStartAbove = 0.3; // mm above the sheet's nominal top where ramps begin
constexpr double kThin = 0.02;      // mm; strips thinner than twice this are not worth another cutter
constexpr double kStanding = 0.05;  // mm; strips thicker than twice this must not be left
constexpr double kLeastStep = 0.05; // of DC: a smaller stepover is a fault of the plan

struct Pocket {
    const PocketFeature& feature;
    std::vector<Layer> layers;  ///< in the order of cutting
    std::vector<Shape> reached; ///< for each layer, what the last cutter can clear at its depth
    Sight over;                 ///< the whole of it, seen from above
};

/// The area that all of it covers.
const Shape& whole(const PocketFeature& feature, const std::vector<Layer>& layers) {
    return layers.size() == 1 ? layers.front().wanted : feature.wall;
}

/// What the last cutter cannot reach of a floor is cleared as deep as the shallower floor beside it lets it.
void raise_out_of_reach(std::vector<Layer>& layers, const std::vector<Shape>& reached) {
    const auto order = downwards(layers);
    Shape lost;
    for (auto k = order.rbegin(); k != order.rend(); ++k) {
        Layer& layer = layers[*k];
        if (layer.own.empty()) continue;
        if (!lost.empty() && !layer.all) layer.wanted = unite(layer.wanted, intersect(lost, reached[*k]));
        lost = opening(subtract(unite(lost, layer.own), reached[*k]), kThin / 2);
    }
}

Pocket pocket_of(const PocketFeature& feature, const SheetFrame& frame, const std::vector<Technology>& technologies) {
    std::vector<Layer> layers = layers_of(feature, frame.top, technologies.front().rough.setting.ap);
    if (layers.empty()) return {feature, {}, {}, Sight({})};
    const double radius = technologies.back().cutter.radius();
    const Shape centres = centres_with_tips(whole(feature, layers), radius, 0);
    const auto out = kept_out(layers, radius);
    std::vector<Shape> reached;
    for (std::size_t k = 0; k < layers.size(); ++k)
        reached.push_back(offset(thinned(out[k].empty() ? centres : subtract(centres, out[k]), kAccount), radius));
    raise_out_of_reach(layers, reached);
    Shape over = whole(feature, layers);
    return {feature, std::move(layers), std::move(reached), Sight(std::move(over))};
}

/// No more than the radius, which leaves no cusps (see levels_of); a little less for fitted arcs.
double stepover_of(const Technology& technology) {
    return std::clamp(technology.rough.setting.ae, kLeastStep * technology.cutter.DC,
                      0.98 * technology.cutter.radius());
}

/// The area, mm², that a cutter must have before it so that coming down along a ramp by `drop` is sooner done than
/// leaving all of it to the next one.
double least_area(const Technology& technology, const Technology& next, double drop) {
    const auto ramp = [&](const Technology& t) {
        return ramp_length(std::min(drop, t.rough.setting.ap), ramp_angle_of(t.rough.setting, t.cutter)) /
               t.rough.setting.plunge_feed * std::ceil(drop / t.rough.setting.ap - 1e-6);
    };
    const auto rate = [&](const Technology& t) {
        return stepover_of(t) * t.rough.setting.vf / std::ceil(drop / t.rough.setting.ap - 1e-6);
    };
    const double saved = 1 / rate(next) - 1 / rate(technology); // min/mm²
    return saved <= 0 ? 0 : std::max(0.0, ramp(technology) - ramp(next)) / saved;
}

ClearingRules clearing_rules(const Technology& technology, bool last) {
    const cutting::Setting& setting = technology.rough.setting;
    const double radius = technology.cutter.radius();
    ClearingRules rules;
    rules.radius = radius;
    rules.stepover = stepover_of(technology);
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

/// Centres that cover an area in as few ways as they can: those over it, and around what these leave.
Shape centres_over(const Shape& area, const Shape& centres, double radius) {
    Shape over = intersect(centres, area);
    const Shape rest = opening(subtract(area, offset(thinned(over, kAccount), radius)), kThin);
    if (rest.empty()) return over;
    return unite(over, intersect(centres, offset(thinned(rest, kAccount), radius + kThin)));
}

/// What has been cleared at the depth of a layer or deeper.
Shape open_at(const Pocket& pocket, double z) {
    std::vector<Shape> areas;
    for (const Layer& layer : pocket.layers)
        if (layer.floor <= z && !layer.cleared.empty()) areas.push_back(layer.cleared);
    return areas.size() == 1 ? areas.front() : plane::unite(areas);
}

/// One cutter at work in one pocket.
class Turn {
  public:
    /// `next`: the cutter that follows, if there is one.
    Turn(Pen& pen, Pocket& pocket, const Technology& technology, const Technology* next, const SheetFrame& frame,
         bool first)
        : pen_(pen), pocket_(pocket), technology_(technology), next_(next), frame_(frame), first_(first),
          radius_(technology.cutter.radius()), kept_out_(kept_out(pocket.layers, radius_)) {
        if (pocket.layers.empty()) return;
        const Shape& area = whole(pocket.feature, pocket.layers);
        const double allowance = allowance_of(technology);
        centres_ = next == nullptr ? centres_with_tips(area, radius_, allowance) : inset(area, radius_ + allowance);
        if (next == nullptr) exact_ = centres_with_tips(area, radius_, 0);
    }

    /// Clears all layers as far as this cutter gets and as far as it has not been done.
    void clear_layers() {
        for (std::size_t k = 0; k < pocket_.layers.size(); ++k)
            clear_layer(k);
    }
    /// After the last cutter: a place that it could get to but that nothing has cleared, since no cutter got down into
    /// it.
    [[nodiscard]] std::optional<Problem> left_standing() const {
        for (std::size_t k = 0; k < pocket_.layers.size(); ++k) {
            const Layer& layer = pocket_.layers[k];
            if (layer.own.empty()) continue;
            // Close to what is cleared at this depth or deeper the finishing pass comes.
            const double close = 3 * allowance_of(technology_) + kStanding;
            const auto far_from = [&](const Shape& cleared) {
                const Shape needed = intersect(pocket_.reached[k], layer.wanted);
                return opening(subtract(needed, offset(thinned(cleared, kAccount), close)), kStanding);
            };
            Shape left = far_from(layer.cleared);
            if (!left.empty()) left = far_from(open_at(pocket_, layer.floor));
            if (left.empty()) continue;
            const Vec at = plane::inner_point(plane::largest(left));
            return Problem{"", 0, 0,
                           fmt::format("{}: no cutter gets down into the area near ({:.2f}, {:.2f})",
                                       pocket_.feature.name, at.x, at.y),
                           "add a smaller or a centre-cutting cutter"};
        }
        return std::nullopt;
    }
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }
    void finish() { finish_wall(pen_, pocket_.feature.wall, pocket_.layers, kept_out_, technology_); }

  private:
    /// Where the centre may be while a layer is cleared: not over shallower floors, and only below what has been
    /// cleared above.
    Shape centres_in(const Layer& layer, const Shape& out) {
        Shape centres = out.empty() ? centres_ : subtract(centres_, out);
        const bool tips = !out.empty() && next_ == nullptr; // narrow ways between a step and the wall
        Shape utmost = tips ? subtract(exact_, out) : Shape{};
        if (layer.above != Layer::kNone) {
            if (below_ != layer.above) look_below(layer.above);
            centres = intersect(centres, under_);
            if (tips) utmost = intersect(utmost, just_under_);
        }
        if (tips) centres = with_tips(std::move(centres), utmost, tip_gap(allowance_of(technology_)));
        return cleaned(centres);
    }
    void look_below(std::size_t above) {
        const Shape cleared = thinned(pocket_.layers[above].cleared, kAccount);
        below_ = above;
        under_ = inset(cleared, radius_ - kThin);
        // The last cutter may meet what is left on the wall.
        if (next_ == nullptr) just_under_ = inset(cleared, radius_ - kThin - allowance_of(technology_));
    }

    void clear_layer(std::size_t index) {
        Layer& layer = pocket_.layers[index];
        const Shape rest = subtract(layer.wanted, layer.cleared);
        if (rest.empty()) return;
        Shape centres = centres_in(layer, kept_out_[index]);
        std::optional<Surroundings> around;
        if (!first_ || !layer.all) {
            const Shape reach = offset(thinned(centres, kAccount), radius_);
            const Shape left = opening(intersect(reach, rest), kThin);
            if (left.empty()) return;
            around.emplace(Surroundings{
                layer.all ? left : opening(subtract(reach, open_at(pocket_, layer.floor)), kThin), Sight(centres)});
            // Centres that touch what is left, and a little beyond: around them the cutter goes along all of it, and
            // beside it there is air to go down in.
            centres = first_ ? centres_over(left, centres, radius_)
                             : intersect(centres, offset(thinned(left, kAccount), radius_ + kThin));
        }
        if (centres.empty()) return;
        const double top =
            layer.above == Layer::kNone ? frame_.top + std::min(kStartAbove, frame_.near_top - frame_.top) : layer.top;
        const auto heights = passes(layer.top, layer.floor, technology_.rough.setting.ap);
        ClearingRules rules = clearing_rules(technology_, next_ == nullptr);
        if (next_ != nullptr) rules.least_area = least_area(technology_, *next_, layer.top - layer.floor);
        const Cleared done = clear(pen_, centres, around ? &*around : nullptr, pocket_.over, top, heights, rules);
        for (const std::string& note : done.notes)
            notes_.push_back(pocket_.feature.name + ": " + note);
        layer.cleared = thinned(unite(layer.cleared, offset(thinned(done.centres, kAccount), radius_)), kAccount / 10);
    }

    Pen& pen_;
    Pocket& pocket_;
    const Technology& technology_;
    const Technology* next_ = nullptr;
    const SheetFrame& frame_;
    bool first_ = true;
    double radius_ = 0;
    Shape centres_;                    ///< at any depth, with the allowance left on the wall
    Shape exact_;                      ///< the same without the allowance, for the last cutter
    std::vector<Shape> kept_out_;      ///< for each layer
    std::size_t below_ = Layer::kNone; ///< the layer that `under_` is for
    Shape under_, just_under_;         ///< where the centre may be below it
    std::vector<std::string> notes_;
};

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
std::vector<Pocket> pockets_in_order(const std::vector<PocketFeature>& features, const SheetFrame& frame,
                                     const std::vector<Technology>& technologies) {
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
        pockets.push_back(pocket_of(*used[visit.stop], frame, technologies));
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
    std::vector<Pocket> pockets = pockets_in_order(features, frame, technologies);
    std::vector<CutterRun> runs;
    for (std::size_t t = 0; t < technologies.size(); ++t) {
        const Technology& technology = technologies[t];
        const bool last = t + 1 == technologies.size();
        CutterRun run{technology.cutter.name, technology.rough.setting.n, {}};
        Pen pen(frame, machine.abilities, run.n);
        std::vector<Turn> turns;
        for (Pocket& pocket : pockets) {
            turns.emplace_back(pen, pocket, technology, last ? nullptr : &technologies[t + 1], frame, t == 0);
            turns.back().clear_layers();
            const auto& notes = turns.back().notes();
            run.notes.insert(run.notes.end(), notes.begin(), notes.end());
            add_step(run, pen, pocket.feature.name + (t == 0 ? "" : ", rest"), pocket.feature.name,
                     t == 0 ? cutting::Step::pocket : cutting::Step::rest);
        }
        for (std::size_t k = 0; k < pockets.size() && last; ++k) {
            if (auto problem = turns[k].left_standing()) return *problem;
            if (allowance_of(technology) == 0) continue;
            turns[k].finish();
            const std::string& name = pockets[k].feature.name;
            add_step(run, pen, name + ", finishing", name, cutting::Step::finish);
        }
        if (!run.steps.empty()) runs.push_back(std::move(run));
    }
    return runs;
}

} // namespace kerfwright::toolpath
