#include "toolpath/clearing.hpp"

#include "plane/nearest.hpp"
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

/// Is the straight way from a to b inside the polygon or on its edge?
bool sees(const Polygon& area, const plane::EdgeIndex& edges, Vec a, Vec b, double step) {
    constexpr double kOnEdge = 0.01; // mm
    const int parts = std::max(2, static_cast<int>(std::ceil(distance(a, b) / step)));
    for (int k = 0; k <= parts; ++k) {
        const Vec p = a + (b - a) * (static_cast<double>(k) / parts);
        if (side_of(area, plane::to_grid(p)) == plane::Side::outside && !edges.nearest(p, kOnEdge)) return false;
    }
    return true;
}

double across(const Ring& ring) {
    const plane::Box box = bounds(ring);
    return std::max(box.width(), box.height());
}

/// Loops of one level, made when they are needed first.
struct Loops {
    std::vector<Ring> rings;
    std::vector<Track> tracks;
};

class Clearing {
  public:
    Clearing(Pen& pen, const plane::Shape& centres, const plane::Shape* material, const ClearingRules& rules)
        : pen_(pen), rules_(rules), levels_(levels_of(centres, rules.stepover)) {
        set_order();
        for (const Level& level : levels_) {
            Loops loops;
            for (const Ring& ring : rings_of(level.area))
                if (auto track = track_along(rules.climb ? ring : plane::reversed(ring), rules.tolerance)) {
                    loops.rings.push_back(ring);
                    loops.tracks.push_back(std::move(*track));
                }
            loops_.push_back(std::move(loops));
        }
        if (material != nullptr) material_.emplace(*material), shape_ = material;
    }

    /// One pass. Gives whether each level was cut.
    void pass(double z0, double z) {
        z0_ = z0;
        z_ = z;
        state_.assign(levels_.size(), State::waiting);
        for (const std::size_t i : order_)
            outwards(i);
    }
    [[nodiscard]] plane::Shape cleared() const {
        plane::Shape shape;
        for (std::size_t i = 0; i < levels_.size(); ++i)
            if (levels_[i].parent == Level::kNone && state_[i] == State::cut) shape.push_back(levels_[i].area);
        return shape;
    }

  private:
    /// Areas one after the other with short ways between them, each from the inside outwards.
    void set_order() {
        constexpr std::size_t kPlaces = 8;
        std::vector<Stop> stops;
        std::vector<std::size_t> stop_of(levels_.size());
        for (std::size_t i = 0; i < levels_.size() && levels_[i].parent == Level::kNone; ++i) {
            const Ring& ring = levels_[i].area.outer;
            Stop stop;
            for (std::size_t k = 0; k < ring.size(); k += ring.size() / kPlaces + 1)
                stop.places.push_back(plane::to_mm(ring[k]));
            stops.push_back(std::move(stop));
        }
        for (std::size_t i = 0; i < levels_.size(); ++i)
            stop_of[i] = levels_[i].parent == Level::kNone ? i : stop_of[levels_[i].parent];
        std::vector<std::vector<std::size_t>> within(stops.size());
        for (const std::size_t i : inside_out(levels_))
            within[stop_of[i]].push_back(i);
        for (const Visit& visit : short_tour(stops, {}, pen_.over()))
            order_.insert(order_.end(), within[visit.stop].begin(), within[visit.stop].end());
    }

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

    void outwards(std::size_t i) {
        std::vector<std::size_t> inner;
        for (const std::size_t child : levels_[i].children)
            if (state_[child] == State::cut) inner.push_back(child);
        if (loops_[i].tracks.empty()) { // too small to be a way
            state_[i] = State::deferred;
            return;
        }
        std::vector<std::size_t> left(loops_[i].tracks.size());
        for (std::size_t k = 0; k < left.size(); ++k)
            left[k] = k;
        if (inner.empty()) {
            if (!enter(i)) {
                state_[i] = State::deferred;
                return;
            }
            left.erase(left.begin());
            for (const std::size_t k : left) {
                step_to(loops_[i].tracks[k], {&loops_[i].rings[0]}, nullptr, 2 * rules_.stepover + kLoose);
                loop(loops_[i].tracks[k], rules_.slot_feed);
            }
        } else {
            while (!left.empty()) {
                const auto next = std::min_element(
                    left.begin(), left.end(), [&](std::size_t a, std::size_t b) { return away(i, a) < away(i, b); });
                std::vector<const Ring*> from;
                for (const std::size_t child : inner)
                    for (const Ring& ring : loops_[child].rings)
                        from.push_back(&ring);
                step_to(loops_[i].tracks[*next], from, &inner, rules_.stepover + kLoose);
                loop(loops_[i].tracks[*next], rules_.feeds.cut);
                left.erase(next);
            }
        }
        state_[i] = State::cut;
        for (const std::size_t child : levels_[i].children)
            if (state_[child] == State::deferred) inwards(child);
    }

    /// What could not be entered from above is taken from its surroundings.
    void inwards(std::size_t top) {
        std::vector<std::size_t> waiting{top};
        while (!waiting.empty()) {
            const std::size_t i = waiting.back();
            waiting.pop_back();
            std::vector<const Ring*> from;
            for (const Ring& ring : loops_[levels_[i].parent].rings)
                from.push_back(&ring);
            for (const Track& track : loops_[i].tracks) {
                step_to(track, from, nullptr, rules_.stepover + kLoose);
                loop(track, rules_.feeds.cut);
            }
            state_[i] = State::cut;
            waiting.insert(waiting.end(), levels_[i].children.rbegin(), levels_[i].children.rend());
        }
    }

    [[nodiscard]] double away(std::size_t i, std::size_t k) const {
        const Track& track = loops_[i].tracks[k];
        return distance(pen_.over(), track.at(track.nearest(pen_.over())));
    }

    /// From where the cutter stands, or from a place of the rings that it has been along, sideways onto the track.
    /// `open`: levels whose whole area is cleared, for ways across at depth.
    void step_to(const Track& track, const std::vector<const Ring*>& from, const std::vector<std::size_t>* open,
                 double limit) {
        const Vec here = pen_.over();
        if (at_depth() && distance(track.at(track.nearest(here)), here) <= limit) return;
        Vec best;
        double least = 1e300;
        Vec closest;
        double closest_step = 1e300;
        for (const Ring* ring : from)
            for (const plane::Point point : *ring) {
                const Vec p = plane::to_mm(point);
                const double step = distance(p, track.at(track.nearest(p)));
                if (step < closest_step) closest_step = step, closest = p;
                if (step <= limit && distance(here, p) < least) least = distance(here, p), best = p;
            }
        go(least < 1e300 ? best : closest, open);
    }

    [[nodiscard]] bool at_depth() const { return !pen_.is_up() && std::abs(pen_.at().z - z_) < 1e-3; }

    /// To a place where the cutter can stand at depth, at depth if an open area allows it.
    void go(Vec to, const std::vector<std::size_t>* open) {
        constexpr double kFurthest = 100; // mm; beyond that a rapid is quicker
        if (at_depth() && open != nullptr && distance(pen_.over(), to) < kFurthest)
            for (const std::size_t level : *open)
                if (sees(levels_[level].area, plane::EdgeIndex(loops_[level].rings), pen_.over(), to,
                         rules_.radius / 10))
                    return pen_.line(to, z_, rules_.feeds.cut);
        if (at_depth() && distance(pen_.over(), to) < 1e-3) return;
        pen_.go_over(to);
        pen_.lower(z_, rules_.feeds.down);
    }

    /// Gets down to depth and cuts the outer loop of a level with nothing cleared inside.
    bool enter(std::size_t i) {
        const Ring& ring = loops_[i].rings[0];
        const Track& track = loops_[i].tracks[0];
        if (material_ && enter_from_the_open(i)) return true;
        const double least = (rules_.centre_cutting ? kLeastWithCentre : kLeastWithoutCentre) * 2 * rules_.radius;
        if (across(ring) >= least) {
            down_at(track.at(track.nearest(pen_.over())), i);
            go_round(track);
            return true;
        }
        if (enter_by_helix(i, least / 2)) return true;
        if (!rules_.centre_cutting) return false;
        down_at(track.at(track.nearest(pen_.over())), i);
        if (track.length() < kTiny)
            pen_.line(pen_.over(), z_, rules_.feeds.down);
        else
            go_round(track);
        return true;
    }

    void go_round(const Track& track) {
        const double s = track.nearest(pen_.over());
        const Heights heights = ramp(s, z0_, z_, rules_.ramp_angle);
        pen_.follow(track, s, heights.back().s + track.length(), heights, {rules_.slot_feed, rules_.feeds.down});
    }

    /// To a place at the height where this pass begins, staying down when the way there is open.
    void down_at(Vec to, std::size_t level) {
        const std::size_t root = root_of(level);
        const bool low = !pen_.is_up() && std::abs(pen_.at().z - z0_) < 1e-3;
        if (low && sees(levels_[root].area, plane::EdgeIndex(loops_[root].rings), pen_.over(), to, rules_.radius / 10))
            return pen_.line(to, z0_, rules_.feeds.cut);
        pen_.go_over(to);
        pen_.lower(z0_, rules_.feeds.down);
    }

    [[nodiscard]] std::size_t root_of(std::size_t level) const {
        while (levels_[level].parent != Level::kNone)
            level = levels_[level].parent;
        return level;
    }

    bool enter_by_helix(std::size_t i, double least_radius) {
        const Vec centre = plane::inner_point(levels_[i].area);
        const std::size_t root = root_of(i);
        const auto border = plane::EdgeIndex(loops_[root].rings).nearest(centre);
        constexpr double kAway = 0.01; // mm
        const double radius = std::min(0.8 * rules_.radius, border->distance - kAway);
        if (radius < least_radius) return false;
        const Track& track = loops_[i].tracks[0];
        const Vec nearest = track.at(track.nearest(centre));
        const double away = distance(nearest, centre);
        const Vec way = away > 1e-6 ? (nearest - centre) * (1 / away) : Vec{1, 0};
        down_at(centre + way * radius, i);
        helix(pen_, centre, radius, z0_, z_, rules_.ramp_angle, rules_.climb, {rules_.slot_feed, rules_.feeds.down});
        loop(track, rules_.slot_feed);
        return true;
    }

    [[nodiscard]] bool in_the_open(Vec p) const {
        constexpr double kAir = 0.005; // mm
        return !contains(*shape_, plane::to_grid(p)) && !material_->nearest(p, rules_.radius + kAir);
    }

    /// Down beside what still stands, then sideways into it.
    bool enter_from_the_open(std::size_t i) {
        const Track& track = loops_[i].tracks[0];
        const double step = rules_.radius / 4;
        std::optional<Vec> from;
        const auto look = [&](const Ring& ring, double furthest) {
            double least = furthest;
            for (const Vec p : plane::sampled(ring, step)) {
                const double way = distance(p, track.at(track.nearest(p)));
                if (way < least && in_the_open(p)) least = way, from = p;
            }
        };
        look(loops_[i].rings[0], 1e-2);
        if (!from) {
            const std::size_t root = root_of(i);
            for (const Ring& ring : loops_[root].rings)
                look(ring, 3 * rules_.radius);
            if (!from) return false;
            const Vec to = track.at(track.nearest(*from));
            if (!sees(levels_[root].area, plane::EdgeIndex(loops_[root].rings), *from, to, rules_.radius / 10))
                return false;
        }
        pen_.go_over(*from);
        pen_.lower(z_, rules_.feeds.down);
        loop(track, rules_.slot_feed);
        return true;
    }

    Pen& pen_;
    const ClearingRules& rules_;
    std::vector<Level> levels_;
    std::vector<std::size_t> order_;
    std::vector<Loops> loops_;
    std::optional<plane::EdgeIndex> material_;
    const plane::Shape* shape_ = nullptr;
    std::vector<State> state_;
    double z0_ = 0, z_ = 0;
};

} // namespace

plane::Shape clear(Pen& pen, const plane::Shape& centres, const plane::Shape* material, double top,
                   const std::vector<double>& heights, const ClearingRules& rules) {
    Clearing clearing(pen, centres, material, rules);
    double z0 = top;
    for (const double z : heights) {
        clearing.pass(z0, z);
        z0 = z;
    }
    return clearing.cleared();
}

} // namespace kerfwright::toolpath
