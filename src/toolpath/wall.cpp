#include "toolpath/wall.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "toolpath/centres.hpp"
#include "toolpath/checks.hpp"
#include "toolpath/finishing.hpp"
#include "toolpath/order.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace kerfwright::toolpath {

using plane::Shape;
using plane::Vec;

namespace {

constexpr double kTouch = 0.002; // mm, how far the cutter may go into a step

/// Quarter circles where there is room, then flatter arcs.
std::vector<LeadForm> leads_in_a_pocket(double radius, double allowance) {
    std::vector<LeadForm> leads;
    for (const double share : {1.0, 0.5, 0.25})
        leads.push_back({radius * share, std::numbers::pi / 2});
    for (const double share : {1.0, 0.5})
        leads.push_back({radius * share, std::acos(1 - std::min(1.0, 1.2 * allowance / (radius * share)))});
    return leads;
}

/// A floor as the finishing pass meets it.
struct Ground {
    double z = 0;
    Shape shallower;
    plane::EdgeIndex steps; ///< up to shallower floors
    LeadRoom room;
    plane::EdgeIndex open; ///< border of the room where the cutter may go straight down
};

/// Does a cutter at places along a way stay off the shallower floors?
class Clear {
  public:
    Clear(const Ground& ground, double radius) : ground_(ground), radius_(radius) {}
    [[nodiscard]] bool at(Vec p) {
        if (ground_.shallower.empty()) return true;
        // Away from the steps the side is that of the place before.
        if (const auto step = ground_.steps.nearest(p, radius_)) {
            known_ = false;
            if (step->distance < radius_ - kTouch) return false;
            return !contains(ground_.shallower, plane::to_grid(p));
        }
        if (!known_) outside_ = !contains(ground_.shallower, plane::to_grid(p));
        known_ = true;
        return outside_;
    }

  private:
    const Ground& ground_;
    double radius_;
    bool known_ = false, outside_ = false;
};

/// Part of a way at one depth. Positions go on beyond the track's length.
struct Stretch {
    double from = 0, to = 0;
    std::size_t ground = 0;
    [[nodiscard]] double length() const { return to - from; }
};

/// The deepest ground on which a cutter at p stays off all steps.
std::size_t ground_at(std::vector<Clear>& clear, Vec p) {
    std::size_t k = clear.size() - 1;
    while (k > 0 && !clear[k].at(p))
        --k;
    return k;
}

/// Around the track, beginning and ending at a change of depth; one stretch where there is none.
std::vector<Stretch> stretches_of(const Track& track, const std::vector<Ground>& grounds, double radius) {
    constexpr double kStep = 0.1, kExact = 1e-4, kShortest = 0.02; // mm
    std::vector<Clear> clear;
    for (const Ground& ground : grounds)
        clear.emplace_back(ground, radius);
    const int count = std::max(8, static_cast<int>(std::ceil(track.length() / kStep)));
    std::vector<Stretch> stretches{{0, 0, ground_at(clear, track.at(0))}};
    double before = 0;
    for (int i = 1; i <= count; ++i) {
        const double s = track.length() * i / count;
        while (ground_at(clear, track.at(s)) != stretches.back().ground) {
            const std::size_t last = stretches.back().ground;
            double low = before, high = s;
            while (high - low > kExact)
                (ground_at(clear, track.at((low + high) / 2)) == last ? low : high) = (low + high) / 2;
            const std::size_t next = ground_at(clear, track.at(high));
            stretches.back().to = next < last ? low : high; // the deeper side ends before the step
            stretches.push_back({stretches.back().to, stretches.back().to, next});
            before = high;
        }
        before = s;
    }
    stretches.back().to = track.length();
    if (stretches.size() > 1) { // the last one goes on in the first
        if (stretches.front().ground == stretches.back().ground) {
            stretches.back().to += stretches.front().length();
            stretches.erase(stretches.begin());
        }
        for (std::size_t i = 0; i < stretches.size(); ++i) { // too short to go down for
            const Stretch& next = stretches[(i + 1) % stretches.size()];
            if (stretches[i].length() < kShortest && next.ground < stretches[i].ground)
                stretches[i].ground = next.ground;
        }
    }
    return stretches;
}

/// One closed way along the wall.
class WallWay {
  public:
    WallWay(Track way, const std::vector<Ground>& grounds, const FinishRules& rules, double top, double radius)
        : lane_{std::move(way), {}}, grounds_(grounds), rules_(rules), top_(top),
          stretches_(stretches_of(lane_.track, grounds, radius)) {
        if (stretches_.size() == 1) starts_ = starts_of(level_way(), rules_);
        const auto shorter = [](const Stretch& a, const Stretch& b) { return a.length() < b.length(); };
        const auto longest = std::max_element(stretches_.begin(), stretches_.end(), shorter);
        std::rotate(stretches_.begin(), longest, stretches_.end());
        for (std::size_t i = 1; i < stretches_.size(); ++i) // in one go
            while (stretches_[i].from < stretches_[i - 1].to - 1e-6)
                stretches_[i].from += track().length(), stretches_[i].to += track().length();
    }

    [[nodiscard]] Stop stop() const {
        Stop stop;
        for (const Start& start : starts_)
            stop.places.push_back(track().at(start.s));
        const Stretch& first = stretches_.front();
        if (starts_.empty()) stop.places = {track().at(first.from + first.length() / 2)};
        return stop;
    }

    void go(Pen& pen, std::size_t place) const {
        if (!starts_.empty()) return finish(pen, level_way(), starts_[place], rules_);
        double above = top_;
        for (const double z : passes(top_, deepest(), rules_.ap)) {
            go_at(pen, above, z);
            above = z;
        }
        pen.raise();
    }

  private:
    [[nodiscard]] const Track& track() const { return lane_.track; }
    /// All of it, where it has one depth.
    [[nodiscard]] FinishWay level_way() const {
        const Ground& ground = grounds_[stretches_.front().ground];
        return {lane_, ground.room, top_, ground.z, ground.z};
    }
    [[nodiscard]] double deepest() const {
        double z = 1e300;
        for (const Stretch& stretch : stretches_)
            z = std::min(z, grounds_[stretch.ground].z);
        return z;
    }

    /// One pass, with those stretches left out that the pass at `above` has finished.
    void go_at(Pen& pen, double above, double z) const {
        const auto open = [&](const Stretch& stretch) { return grounds_[stretch.ground].z < above; };
        const bool around = std::all_of(stretches_.begin(), stretches_.end(), open);
        if (around) return go_around(pen, z);
        for (std::size_t i = 0; i < stretches_.size(); ++i) {
            if (!open(stretches_[i])) continue;
            const bool goes_on = i > 0 && open(stretches_[i - 1]);
            if (!goes_on) come_to(pen, stretches_[i].from, stretches_[i], z);
            along(pen, stretches_[i].from, stretches_[i].to, stretches_[i], z, goes_on);
            if (i + 1 == stretches_.size() || !open(stretches_[i + 1])) leave(pen, stretches_[i]);
        }
    }

    void go_around(Pen& pen, double z) const {
        constexpr double kOverlap = 1.0; // mm
        const Stretch& first = stretches_.front();
        const double overlap = std::min(kOverlap, first.length() / 4);
        const auto [start, lead] = start_of(first, overlap);
        if (lead) {
            pen.go_over(lead->on.from);
            pen.lower(height(first, z), rules_.feeds.down);
            pen.span(lead->on, height(first, z), rules_.feeds.cut);
        } else {
            come_to(pen, start, first, z);
        }
        along(pen, start, first.to, first, z, false);
        for (std::size_t i = 1; i < stretches_.size(); ++i)
            along(pen, stretches_[i].from, stretches_[i].to, stretches_[i], z, true);
        along(pen, first.from + track().length(), start + track().length() + overlap, first, z, true);
        if (lead)
            pen.span(lead->off, pen.at().z, rules_.feeds.cut);
        else
            leave(pen, first);
    }

    /// A place on the stretch with room for arcs onto the wall and off it; else its middle.
    [[nodiscard]] std::pair<double, std::optional<Lead>> start_of(const Stretch& on, double overlap) const {
        constexpr int kPairs = 12;
        const LeadRoom& room = grounds_[on.ground].room;
        const double middle = on.from + on.length() / 2;
        const double reach = (on.length() - overlap) / 2;
        for (int k = 0; k < 2 * kPairs; ++k) { // from the middle outwards, to both sides
            const int step = (k + 1) / 2;
            const double s = middle + (k % 2 == 0 ? -1 : 1) * reach * step / (kPairs + 1);
            for (const LeadForm& form : rules_.leads)
                if (auto lead = lead_at(track(), s, s + overlap, form.radius, form.angle, rules_.climb, room))
                    return {s, lead};
        }
        return {middle, std::nullopt};
    }

    [[nodiscard]] double height(const Stretch& stretch, double z) const {
        return std::max(z, grounds_[stretch.ground].z);
    }
    [[nodiscard]] Vec beside(Vec p, const Stretch& stretch) const {
        const auto nearest = grounds_[stretch.ground].open.nearest(p);
        return nearest ? nearest->at : p;
    }
    void come_to(Pen& pen, double s, const Stretch& stretch, double z) const {
        const Vec p = track().at(s);
        pen.go_over(beside(p, stretch));
        pen.lower(height(stretch, z), rules_.feeds.down);
        pen.line(p, height(stretch, z), rules_.feeds.cut);
    }
    void leave(Pen& pen, const Stretch& stretch) const {
        pen.line(beside(pen.over(), stretch), pen.at().z, rules_.feeds.cut);
        pen.raise();
    }

    /// Along a part of a stretch; `goes_on`: from where the cutter stands, maybe at another height.
    void along(Pen& pen, double from, double to, const Stretch& stretch, double z, bool goes_on) const {
        constexpr double kNear = 1.0; // mm
        const double h = height(stretch, z);
        if (goes_on && h < pen.at().z - 1e-6) {
            const Vec here = pen.over(), open = beside(here, stretch);
            if (distance(here, open) < kNear) pen.line(open, pen.at().z, rules_.feeds.cut);
            pen.lower(h, rules_.feeds.down);
            pen.line(here, h, rules_.feeds.cut);
        } else if (goes_on) {
            pen.line(pen.over(), h, rules_.feeds.cut);
        }
        pen.follow(track(), from, to, {{from, h}}, rules_.feeds);
    }

    Lane lane_;
    const std::vector<Ground>& grounds_;
    const FinishRules& rules_;
    double top_ = 0;
    std::vector<Stretch> stretches_; ///< the longest first
    std::vector<Start> starts_;      ///< of a way at one depth
};

std::vector<Ground> grounds_of(const std::vector<Layer>& layers, const std::vector<Shape>& kept_out, const Shape& exact,
                               double radius) {
    constexpr double kFitted = 0.006; // mm, for fitted arcs, thinned areas and rounding
    const Shape account = thinned(exact, kAccount);
    const Shape travel = offset(exact, kSlack);
    std::vector<Ground> grounds;
    for (std::size_t k = 0; k < layers.size(); ++k) {
        const Layer& layer = layers[k];
        if (layer.own.empty()) continue;
        LeadRoom room{travel, account};
        if (!kept_out[k].empty()) room = {subtract(travel, kept_out[k]), subtract(account, kept_out[k])};
        room.start = intersect(room.start, offset(thinned(layer.cleared, kAccount), 2 * kFitted - radius));
        plane::EdgeIndex open(room.start);
        grounds.push_back(
            {layer.floor, layer.shallower, plane::EdgeIndex(layer.shallower), std::move(room), std::move(open)});
    }
    std::sort(grounds.begin(), grounds.end(), [](const Ground& a, const Ground& b) { return a.z > b.z; });
    return grounds;
}

} // namespace

double allowance_of(const Technology& technology) {
    return std::max(0.0, technology.finish_allowance);
}

void finish_wall(Pen& pen, const Shape& wall, const std::vector<Layer>& layers, const std::vector<Shape>& kept_out,
                 const Technology& technology) {
    const double radius = technology.cutter.radius();
    const Shape exact = centres_with_tips(layers.size() == 1 ? layers.front().wanted : wall, radius, 0);
    const std::vector<Ground> grounds = grounds_of(layers, kept_out, exact, radius);
    const FinishRules rules{finishing_feeds(technology),
                            technology.finish.setting.ap,
                            1e9,
                            ramp_angle_of(technology.rough.setting, technology.cutter),
                            20,
                            technology.climb,
                            leads_in_a_pocket(radius, allowance_of(technology))};
    std::vector<WallWay> ways;
    std::vector<Stop> stops;
    for (const plane::Ring& ring : rings_of(exact))
        if (auto track = track_along(technology.climb ? ring : plane::reversed(ring), kFinishTolerance)) {
            ways.emplace_back(std::move(*track), grounds, rules, layers.front().top, radius);
            stops.push_back(ways.back().stop());
        }
    for (const Visit& visit : short_tour(stops, {}, pen.over()))
        ways[visit.stop].go(pen, visit.place);
}

} // namespace kerfwright::toolpath
