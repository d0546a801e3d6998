#include "toolpath/clearing.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "toolpath/centres.hpp"
#include "toolpath/entry.hpp"
#include "toolpath/levels.hpp"
#include "toolpath/order.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace kerfwright::toolpath {

using plane::Polygon;
using plane::Ring;
using plane::Vec;

namespace {

enum class State { waiting, cut, deferred };

/// The smallest loop to come down in, across, over the cutter's diameter: a cutter that does not cut at its centre
/// would sit on a core (common practice: helical holes of 1.7 DC and more); one that does only packs its chips.
constexpr double kLeastWithoutCentre = 0.7;
constexpr double kLeastWithCentre = 0.3;
constexpr double kLoose = 0.02; // mm, how far apart loops may be beyond the stepover
constexpr double kTiny = 0.3;   // mm around: a loop this short is a point
constexpr double kAir = 0.005;  // mm between a cutter in the open and the material

double across(const Ring& ring) {
    const plane::Box box = bounds(ring);
    return std::max(box.width(), box.height());
}

class Clearing {
  public:
    Clearing(Pen& pen, const plane::Shape& centres, const Surroundings* surroundings, const Sight& over,
             const ClearingRules& rules)
        : pen_(pen), over_(over), rules_(rules), loops_(centres, rules.stepover, rules.climb),
          order_(loops_.inside_out(pen.over())), surroundings_(surroundings) {
        if (surroundings != nullptr) material_.emplace(surroundings->material);
    }

    void pass(double z0, double z) {
        z0_ = z0;
        z_ = z;
        state_.assign(loops_.levels().size(), State::waiting);
        for (const std::size_t i : order_)
            outwards(i);
    }
    [[nodiscard]] const std::vector<std::string>& notes() const { return loops_.notes(); }
    /// Areas that were cleared altogether in the last pass.
    [[nodiscard]] plane::Shape cleared() const {
        plane::Shape shape;
        for (std::size_t i = 0; i < loops_.levels().size(); ++i)
            if (loops_.levels()[i].parent == Level::kNone && state_[i] == State::cut)
                shape.push_back(loops_.levels()[i].area);
        return shape;
    }

  private:
    void loop(const Track& track, double feed) {
        const double s = track.nearest(pen_.over());
        pen_.line(track.at(s), z_, feed);
        const bool slot = feed < rules_.feeds.cut;
        pen_.follow(track, s, s + track.length(), {{s, z_}},
                    {feed, rules_.feeds.down,
                     slot           ? Wall::none
                     : rules_.climb ? Wall::right
                                    : Wall::left,
                     rules_.radius});
    }

    /// The loops of a level whose inside has been cleared, or the first ones of an area.
    void outwards(std::size_t i) {
        std::vector<std::size_t> inner;
        for (const std::size_t child : loops_.levels()[i].children)
            if (state_[child] == State::cut) inner.push_back(child);
        state_[i] = State::deferred;
        if (loops_.tracks(i).empty()) return; // too small to be a way
        std::vector<std::size_t> left(loops_.tracks(i).size());
        for (std::size_t k = 0; k < left.size(); ++k)
            left[k] = k;
        std::vector<const Ring*> from;
        for (const std::size_t child : inner)
            for (const Ring& ring : loops_.rings(child))
                from.push_back(&ring);
        if (inner.empty()) {
            if (!enter(i)) return;
            left.erase(left.begin());
            from.push_back(&loops_.rings(i)[0]);
        }
        bool all = true;
        while (!left.empty()) {
            const auto next = std::min_element(left.begin(), left.end(),
                                               [&](std::size_t a, std::size_t b) { return away(i, a) < away(i, b); });
            all = sideways(i, *next, from, inner, (inner.empty() ? 2 : 1) * rules_.stepover + kLoose) && all;
            left.erase(next);
        }
        if (!all) return;
        state_[i] = State::cut;
        for (const std::size_t child : loops_.levels()[i].children)
            if (state_[child] == State::deferred) inwards(child);
    }

    /// What could not be entered from above is taken from its surroundings.
    void inwards(std::size_t top) {
        std::vector<std::size_t> waiting{top};
        while (!waiting.empty()) {
            const std::size_t i = waiting.back();
            waiting.pop_back();
            std::vector<const Ring*> from;
            for (const Ring& ring : loops_.rings(loops_.levels()[i].parent))
                from.push_back(&ring);
            state_[i] = State::cut;
            for (std::size_t k = 0; k < loops_.tracks(i).size(); ++k)
                if (!sideways(i, k, from, {}, rules_.stepover + kLoose)) state_[loops_.root_of(i)] = State::deferred;
            const auto& children = loops_.levels()[i].children;
            waiting.insert(waiting.end(), children.rbegin(), children.rend());
        }
    }

    [[nodiscard]] double away(std::size_t i, std::size_t k) const {
        const Track& track = loops_.tracks(i)[k];
        return distance(pen_.over(), track.at(track.nearest(pen_.over())));
    }

    /// Cuts a loop beside rings that the cutter has been along; levels in `open` are cleared all over. When there is no
    /// straight way onto it, from above. False when that does not do either.
    bool sideways(std::size_t i, std::size_t k, const std::vector<const Ring*>& from,
                  const std::vector<std::size_t>& open, double limit) {
        const Track& track = loops_.tracks(i)[k];
        if (const auto place = way_onto(track, from, limit, loops_.root_of(i))) {
            go(*place, open);
            loop(track, open.empty() ? rules_.slot_feed : rules_.feeds.cut);
            return true;
        }
        if (!rules_.bores && across(loops_.rings(i)[k]) < least_across()) return false;
        down_at(track.at(track.nearest(pen_.over())), i);
        go_round(track);
        return true;
    }

    /// The place nearest to the cutter, on one of the rings, from which it can go straight onto the track.
    std::optional<Vec> way_onto(const Track& track, const std::vector<const Ring*>& from, double limit,
                                std::size_t root) const {
        constexpr double kBeyond = 0.002; // mm, over the border of the area
        constexpr std::size_t kTries = 30;
        const Vec here = pen_.over();
        const auto in_sight = [&](Vec p) { return loops_.sight(root).sees(p, track.at(track.nearest(p)), kBeyond); };
        const auto step = [&](Vec p) { return distance(p, track.at(track.nearest(p))); };
        if (at_depth() && step(here) <= limit && in_sight(here)) return here;
        std::vector<std::pair<double, Vec>> near;
        std::pair<double, Vec> closest{1e300, {}};
        for (const Ring* ring : from)
            for (const plane::Point point : *ring) {
                const Vec p = plane::to_mm(point);
                const double way = step(p);
                if (way < closest.first) closest = {way, p};
                if (way <= limit) near.emplace_back(distance(here, p), p);
            }
        std::stable_sort(near.begin(), near.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
        if (near.size() > kTries) near.resize(kTries);
        for (const auto& [way, p] : near)
            if (in_sight(p)) return p;
        if (closest.first < 2 * rules_.radius && in_sight(closest.second)) return closest.second;
        return std::nullopt;
    }

    [[nodiscard]] bool at_depth() const { return !pen_.is_up() && std::abs(pen_.at().z - z_) < 1e-3; }

    /// To a place where the cutter can stand at depth, at depth if an open area allows it.
    void go(Vec to, const std::vector<std::size_t>& open) {
        constexpr double kFurthest = 100; // mm; beyond that a rapid is quicker
        constexpr double kBeyond = 0.01;  // mm, over the border of an open area
        if (at_depth()) {
            const double way = distance(pen_.over(), to);
            if (way < 1e-3) return;
            if (way < kFurthest && std::any_of(open.begin(), open.end(), [&](std::size_t level) {
                    return loops_.sight(level).sees(pen_.over(), to, kBeyond);
                }))
                return pen_.line(to, z_, rules_.feeds.cut);
        }
        hop(to);
        pen_.lower(z_, rules_.feeds.down);
    }

    /// Over to another place; low, when the way stays over the pocket, where nothing stands above the sheet.
    void hop(Vec to) {
        if (!pen_.is_up() && over_.sees(pen_.over(), to, 0)) return pen_.go_over_low(to);
        pen_.go_over(to);
    }

    [[nodiscard]] double least_across() const {
        return (rules_.centre_cutting ? kLeastWithCentre : kLeastWithoutCentre) * 2 * rules_.radius;
    }

    /// Gets down to depth and cuts the outer loop of a level with nothing cleared inside.
    bool enter(std::size_t i) {
        const Track& track = loops_.tracks(i)[0];
        if (material_ && (enter_from_the_open(i) || enter_from_far(i))) return true;
        if (!worth_a_ramp(loops_.levels()[loops_.root_of(i)].area)) return false;
        const bool wide = across(loops_.rings(i)[0]) >= least_across();
        if (!wide && enter_by_helix(i, least_across() / 2)) return true;
        if (!wide && !rules_.bores) return false;
        down_at(track.at(track.nearest(pen_.over())), i);
        if (track.length() < kTiny)
            pen_.line(pen_.over(), z_, rules_.feeds.down);
        else
            go_round(track);
        return true;
    }

    [[nodiscard]] bool worth_a_ramp(const Polygon& centres) const {
        return rules_.least_area <= 0 ||
               plane::area(centres) + plane::perimeter(centres) * rules_.radius >= rules_.least_area;
    }

    void go_round(const Track& track) {
        const double s = track.nearest(pen_.over());
        const Heights heights = ramp(s, z0_, z_, rules_.ramp_angle);
        pen_.follow(track, s, heights.back().s + track.length(), heights, {rules_.slot_feed, rules_.feeds.down});
    }

    /// To a place at the height where this pass begins, staying down when the way there is open.
    void down_at(Vec to, std::size_t level) {
        constexpr double kBeyond = 0.002; // mm
        const bool low = !pen_.is_up() && std::abs(pen_.at().z - z0_) < 1e-3;
        if (low && loops_.sight(loops_.root_of(level)).sees(pen_.over(), to, kBeyond))
            return pen_.line(to, z0_, rules_.feeds.cut);
        hop(to);
        pen_.lower(z0_, rules_.feeds.down);
    }

    bool enter_by_helix(std::size_t i, double least_radius) {
        const Vec centre = plane::inner_point(loops_.levels()[i].area);
        const auto border = loops_.sight(loops_.root_of(i)).border().nearest(centre);
        constexpr double kAway = 0.01; // mm
        const double radius = std::min(0.8 * rules_.radius, border->distance - kAway);
        if (radius < least_radius) return false;
        const Track& track = loops_.tracks(i)[0];
        const Vec nearest = track.at(track.nearest(centre));
        const double away = distance(nearest, centre);
        const Vec way = away > 1e-6 ? (nearest - centre) * (1 / away) : Vec{1, 0};
        down_at(centre + way * radius, i);
        helix(pen_, centre, radius, z0_, z_, rules_.ramp_angle, rules_.climb, {rules_.slot_feed, rules_.feeds.down});
        loop(track, rules_.slot_feed);
        return true;
    }

    [[nodiscard]] bool in_the_open(Vec p) const {
        return !contains(surroundings_->material, plane::to_grid(p)) && !material_->nearest(p, rules_.radius + kAir);
    }

    /// Down beside what still stands, then sideways into it.
    bool enter_from_the_open(std::size_t i) {
        const Track& track = loops_.tracks(i)[0];
        constexpr double kBeyond = 0.002; // mm
        const double step = rules_.radius / 4;
        std::optional<Vec> from;
        const auto look = [&](const Ring& ring, double furthest) {
            double least = furthest;
            for (const Vec p : plane::sampled(ring, step)) {
                const double way = distance(p, track.at(track.nearest(p)));
                if (way < least && in_the_open(p)) least = way, from = p;
            }
        };
        look(loops_.rings(i)[0], 1e-2);
        if (!from) {
            const std::size_t root = loops_.root_of(i);
            for (const Ring& ring : loops_.rings(root))
                look(ring, 3 * rules_.radius);
            if (!from) return false;
            const Vec to = track.at(track.nearest(*from));
            if (!loops_.sight(root).sees(*from, to, kBeyond)) return false;
        }
        hop(*from);
        pen_.lower(z_, rules_.feeds.down);
        loop(track, rules_.slot_feed);
        return true;
    }

    /// The border of where the cutter's centre is in the open.
    const plane::EdgeIndex& air() {
        constexpr double kThinning = 0.02; // mm
        if (!air_) {
            const plane::Shape near =
                plane::offset(thinned(surroundings_->material, kThinning), rules_.radius + kAir + kThinning);
            air_.emplace(plane::subtract(surroundings_->allowed.area(), near));
        }
        return *air_;
    }

    /// Down in the open outside of the area, then straight through what stands to its innermost loop.
    bool enter_from_far(std::size_t i) {
        constexpr double kBeyond = 0.002; // mm
        constexpr double kFurthest = 6;   // radii: coming down along a ramp is slow
        constexpr std::size_t kTries = 10;
        struct Way {
            double length = 0;
            Vec from, to;
        };
        std::vector<Way> ways;
        for (const Vec p : plane::sampled(loops_.rings(i)[0], rules_.radius / 2))
            if (const auto open = air().nearest(p, kFurthest * rules_.radius))
                ways.push_back({open->distance, open->at, p});
        std::stable_sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.length < b.length; });
        if (ways.size() > kTries) ways.resize(kTries);
        for (const Way& way : ways) {
            if (!surroundings_->allowed.sees(way.from, way.to, kBeyond)) continue;
            hop(way.from);
            pen_.lower(z_, rules_.feeds.down);
            pen_.line(way.to, z_, rules_.slot_feed);
            loop(loops_.tracks(i)[0], rules_.slot_feed);
            return true;
        }
        return false;
    }

    Pen& pen_;
    const Sight& over_;
    const ClearingRules& rules_;
    LevelLoops loops_;
    std::vector<std::size_t> order_;
    const Surroundings* surroundings_ = nullptr;
    std::optional<plane::EdgeIndex> material_;
    std::optional<plane::EdgeIndex> air_;
    std::vector<State> state_;
    double z0_ = 0, z_ = 0;
};

} // namespace

Cleared clear(Pen& pen, const plane::Shape& centres, const Surroundings* surroundings, const Sight& over, double top,
              const std::vector<double>& heights, const ClearingRules& rules) {
    Clearing clearing(pen, centres, surroundings, over, rules);
    double z0 = top;
    for (const double z : heights) {
        clearing.pass(z0, z);
        z0 = z;
    }
    return {clearing.cleared(), clearing.notes()};
}

} // namespace kerfwright::toolpath
