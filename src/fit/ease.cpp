#include "fit/ease.hpp"

#include "base/parallel.hpp"
#include "fit/local_boolean.hpp"
#include "fit/thickness.hpp"
#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <algorithm>
#include <numeric>

namespace kerfwright::fit {
namespace {

constexpr double kNudge = 2e-4;   ///< mm
constexpr int kPatientSweeps = 4; ///< from then on a claim that is still disputed is given up
constexpr int kMostSweeps = 40;
constexpr double kLakeArea = 5; ///< mm²; larger parts of the tray stay with it as posts
constexpr double kDust = 1e-4;  ///< mm²

/// What one body's fills take from another.
struct Take {
    std::size_t from = 0;
    plane::Shape cut;      ///< goes from its skeleton
    plane::Shape bake;     ///< fills of it that are disputed: they become skeleton first, to be cut then
    plane::Shape disputed; ///< the fills of the taker that meet it
};

struct State {
    std::vector<plane::Shape> skeleton;
    std::vector<plane::Shape> fill;
    std::vector<double> radius;
    std::vector<bool> dirty;
    std::vector<plane::Box> box; ///< of skeleton and fill
};

bool box_meets(const plane::Polygon& polygon, const plane::Shape& others) {
    const plane::Box box = plane::bounds(polygon);
    return std::any_of(others.begin(), others.end(),
                       [&](const plane::Polygon& other) { return overlap(box, plane::bounds(other)); });
}

plane::Shape those_meeting(const plane::Shape& shape, const plane::Shape& others) {
    plane::Shape met;
    for (const plane::Polygon& polygon : shape)
        if (box_meets(polygon, others)) met.push_back(polygon);
    return met;
}

plane::Shape those_meeting(const plane::Shape& shape, const plane::Box& box) {
    plane::Shape met;
    for (const plane::Polygon& polygon : shape)
        if (overlap(plane::bounds(polygon), box)) met.push_back(polygon);
    return met;
}

plane::Shape thick(plane::Shape shape) {
    std::erase_if(shape, [](const plane::Polygon& polygon) { return !thicker_than(polygon, kNoise); });
    return shape;
}

std::vector<Take> takes_of(const State& state, std::size_t i, const plane::Shape& fill) {
    std::vector<Take> takes;
    for (std::size_t j = 0; j < state.skeleton.size(); ++j) {
        if (j == i) continue;
        const plane::Shape near = those_meeting(fill, state.box[j]);
        if (near.empty()) continue;
        const plane::Shape from_skeleton = thick(shared(state.skeleton[j], near));
        const plane::Shape from_fill = thick(shared(those_meeting(state.fill[j], near), near));
        if (from_skeleton.empty() && from_fill.empty()) continue;
        Take take{j, {}, those_meeting(state.fill[j], from_fill), {}};
        plane::Shape all = from_skeleton;
        all.insert(all.end(), from_fill.begin(), from_fill.end());
        take.disputed = those_meeting(near, all);
        take.cut = nudged(take.disputed, kNudge);
        takes.push_back(std::move(take));
    }
    return takes;
}

void append(plane::Shape& shape, const plane::Shape& more) {
    shape.insert(shape.end(), more.begin(), more.end());
}

void give(State& state, const Take& take) {
    plane::Shape& skeleton = state.skeleton[take.from];
    if (!take.bake.empty()) {
        skeleton = with(skeleton, nudged(take.bake, kNudge));
        std::erase_if(state.fill[take.from], [&](const plane::Polygon& polygon) {
            return std::find(take.bake.begin(), take.bake.end(), polygon) != take.bake.end();
        });
    }
    skeleton = plane::without_specks(less(skeleton, take.cut), 1e-8);
    state.dirty[take.from] = true;
}

/// The claimant gives up: a disc of its own cutter is let in over the place, which then belongs to nobody.
plane::Shape give_up(State& state, std::size_t claimant, const plane::Polygon& place) {
    const double radius = state.radius[claimant];
    const plane::Box box = plane::bounds(place);
    const plane::Vec middle = (box.low + box.high) * 0.5;
    const plane::Polygon seed{plane::rectangle(middle - plane::Vec{1e-3, 1e-3}, middle + plane::Vec{1e-3, 1e-3}), {}};
    const double reach = 0.5 * plane::length(box.high - box.low);
    const plane::OffsetOptions options{kArcTolerance, plane::OffsetOptions::Join::round};
    plane::Shape hole = plane::offset(reach < radius ? plane::Shape{seed} : plane::Shape{place}, radius, options);
    state.skeleton[claimant] = plane::without_specks(less(state.skeleton[claimant], hole), 1e-8);
    state.dirty[claimant] = true;
    return hole;
}

plane::Shape eased_shape(const State& state, std::size_t i) {
    if (state.fill[i].empty()) return state.skeleton[i];
    return plane::without_specks(with(state.skeleton[i], nudged(state.fill[i], kNudge)), 1e-6);
}

double contact(const plane::Polygon& part, const plane::Shape& body) {
    const plane::EdgeIndex index(body);
    double touching = 0;
    for (const plane::Ring& ring : plane::rings_of(part))
        for (const plane::Vec p : plane::sampled(ring, 0.05))
            if (index.nearest(p, 0.01)) touching += 0.05;
    return touching;
}

/// Bodies that may meet must not work at the same time: waves of bodies that are far from each other, in order.
std::vector<std::vector<std::size_t>> waves_of(const State& state, const std::vector<std::size_t>& order) {
    std::vector<std::vector<std::size_t>> waves;
    std::vector<std::size_t> level(state.skeleton.size(), 0);
    for (std::size_t at = 0; at < order.size(); ++at) {
        const std::size_t i = order[at];
        for (std::size_t before = 0; before < at; ++before) {
            const std::size_t j = order[before];
            if (overlap(grown(state.box[i], 0.01), state.box[j])) level[i] = std::max(level[i], level[j] + 1);
        }
        if (waves.size() <= level[i]) waves.resize(level[i] + 1);
        waves[level[i]].push_back(i);
    }
    return waves;
}

class Easing {
  public:
    Easing(const Bodies& bodies, int threads) : bodies_(bodies), threads_(threads) {
        for (const Body& body : bodies.all) {
            state_.skeleton.push_back(body.drawn);
            state_.fill.emplace_back();
            state_.radius.push_back(body.easing_radius() > 0 ? body.easing_radius() + kRoom : 0);
            state_.box.push_back(plane::bounds(body.drawn));
        }
        eased_.cuts.resize(bodies.all.size());
        state_.dirty.assign(bodies.all.size(), true);
        order_.resize(bodies.all.size());
        std::iota(order_.begin(), order_.end(), std::size_t{0});
        // Small pieces first, the tray last: the order that moves least (docs/fit.md).
        std::stable_sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
            const auto key = [&](std::size_t i) {
                return std::tuple(i == bodies_.tray, plane::area(bodies_.all[i].drawn), bodies_.all[i].cutter_radius);
            };
            return key(a) < key(b);
        });
    }

    Eased run() {
        for (eased_.sweeps = 0; eased_.sweeps < kMostSweeps && !eased_.at_rest; ++eased_.sweeps) {
            eased_.at_rest = !sweep();
            if (hand_over_severed()) eased_.at_rest = false;
        }
        eased_.shapes.resize(bodies_.all.size());
        parallel_for(bodies_.all.size(), threads_, [&](std::size_t i) { eased_.shapes[i] = eased_shape(state_, i); });
        return std::move(eased_);
    }

  private:
    /// True when anything was taken.
    bool sweep() {
        bool taken = false;
        for (const auto& wave : waves_of(state_, order_)) {
            std::vector<std::vector<Take>> takes(wave.size());
            parallel_for(wave.size(), threads_, [&](std::size_t w) {
                const std::size_t i = wave[w];
                if (!state_.dirty[i]) return;
                state_.fill[i] = fills(state_.skeleton[i], state_.radius[i]);
                takes[w] = takes_of(state_, i, state_.fill[i]);
            });
            for (std::size_t w = 0; w < wave.size(); ++w) {
                state_.dirty[wave[w]] = false;
                for (const Take& take : takes[w])
                    settle(wave[w], take);
                taken = taken || !takes[w].empty();
            }
        }
        return taken;
    }

    void settle(std::size_t i, const Take& take) {
        append(eased_.cuts[take.from], take.cut);
        if (eased_.sweeps < kPatientSweeps) return give(state_, take);
        // The tray can be cut wider without harm to any piece, so it gives up first.
        const bool tray_yields = take.from == bodies_.tray;
        const std::size_t claimant = tray_yields ? take.from : i;
        const std::size_t other = tray_yields ? i : take.from;
        for (const plane::Polygon& place : take.disputed) {
            if (tray_yields && state_.radius[claimant] <= 0) {
                give(state_, take);
                return;
            }
            append(eased_.cuts[claimant], give_up(state_, claimant, place));
            eased_.voids.push_back({claimant, other, plane::bounds(place)});
        }
    }

    /// Parts of a piece that easing has cut off go to the neighbour with the longest contact.
    bool hand_over_severed() {
        bool any = false;
        for (const std::size_t i : order_) {
            // Fills hang on their skeleton, so one skeleton is one part.
            if (state_.skeleton[i].size() < 2) continue;
            plane::Shape whole = eased_shape(state_, i);
            if (whole.size() < 2) continue;
            std::sort(whole.begin(), whole.end(),
                      [](const plane::Polygon& a, const plane::Polygon& b) { return plane::area(a) > plane::area(b); });
            const bool is_tray = i == bodies_.tray;
            for (std::size_t k = 1; k < whole.size(); ++k) {
                if (is_tray && plane::area(whole[k]) > kLakeArea) continue;
                if (is_tray && was_drawn_apart(whole[k])) continue;
                hand_over(i, whole[k]);
                any = true;
            }
        }
        return any;
    }

    [[nodiscard]] bool was_drawn_apart(const plane::Polygon& part) const {
        const plane::Point inside = plane::to_grid(plane::inner_point(part));
        const plane::Shape& drawn = bodies_.all[*bodies_.tray].drawn;
        const plane::Polygon main = plane::largest(drawn);
        return plane::contains(drawn, inside) && plane::side_of(main, inside) == plane::Side::outside;
    }

    void hand_over(std::size_t from, const plane::Polygon& part) {
        const plane::Shape cut = nudged({part}, kNudge);
        append(eased_.cuts[from], cut);
        state_.skeleton[from] = plane::without_specks(less(state_.skeleton[from], cut), 1e-8);
        std::erase_if(state_.fill[from], [&](const plane::Polygon& fill) {
            return plane::side_of(part, plane::to_grid(plane::inner_point(fill))) != plane::Side::outside;
        });
        if (plane::area(part) < kDust) return;
        std::optional<std::size_t> heir;
        double longest = 0;
        for (std::size_t j = 0; j < bodies_.all.size(); ++j) {
            if (j == from || !overlap(grown(plane::bounds(part), 0.02), state_.box[j])) continue;
            const double length = contact(part, eased_shape(state_, j));
            if (length > longest) {
                longest = length;
                heir = j;
            }
        }
        if (!heir) return;
        // Grown by two nudges, so that it certainly joins its heir.
        state_.skeleton[*heir] = with(state_.skeleton[*heir], nudged({part}, 3 * kNudge));
        state_.dirty[*heir] = true;
        eased_.hand_overs.push_back({from, *heir, part});
    }

    const Bodies& bodies_;
    int threads_;
    State state_;
    std::vector<std::size_t> order_;
    Eased eased_;
};

} // namespace

plane::Shape lost_parts(const Bodies& bodies, const Eased& eased, std::size_t body) {
    const plane::Shape cut = shared(bodies.all[body].drawn, eased.cuts[body]);
    return thick(beyond(eased.shapes[body], cut));
}

Eased ease(const Bodies& bodies, int threads) {
    return Easing(bodies, threads).run();
}

} // namespace kerfwright::fit
