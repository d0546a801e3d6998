#include "fit/ease.hpp"

#include "base/parallel.hpp"
#include "fit/boxes.hpp"
#include "fit/claims.hpp"
#include "fit/local_boolean.hpp"
#include "fit/thickness.hpp"
#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <algorithm>
#include <numeric>

namespace kerfwright::fit {
namespace {

constexpr int kPatientSweeps = 4; ///< from then on a claim that is still disputed is given up
constexpr int kMostSweeps = 40;
constexpr double kLakeArea = 5; ///< mm²; larger parts of the tray stay with it as posts
constexpr double kDust = 1e-4;  ///< mm²

double contact(const plane::Polygon& part, const plane::Shape& body) {
    const plane::EdgeIndex index(body);
    double touching = 0;
    for (const plane::Ring& ring : plane::rings_of(part))
        for (const plane::Vec p : plane::sampled(ring, 0.05))
            if (index.nearest(p, 0.01)) touching += 0.05;
    return touching;
}

/// Bodies that may meet must not work at the same time: waves of bodies that are far from each other, in order.
std::vector<std::vector<std::size_t>> waves_of(const std::vector<EasingBody>& solids,
                                               const std::vector<std::size_t>& order) {
    std::vector<std::vector<std::size_t>> waves;
    constexpr std::size_t kNotYet = static_cast<std::size_t>(-1);
    std::vector<std::size_t> level(solids.size(), kNotYet);
    for (const std::size_t i : order) {
        std::size_t here = 0;
        for (const std::size_t j : solids[i].beside)
            if (level[j] != kNotYet) here = std::max(here, level[j] + 1);
        level[i] = here;
        if (waves.size() <= here) waves.resize(here + 1);
        waves[here].push_back(i);
    }
    return waves;
}

void find_neighbours(std::vector<EasingBody>& solids) {
    constexpr double kApart = 0.01; // mm
    for (EasingBody& solid : solids)
        solid.beside.clear();
    for (std::size_t i = 0; i < solids.size(); ++i)
        for (std::size_t j = 0; j < solids.size(); ++j)
            if (i != j && overlap(grown(solids[i].box, kApart), solids[j].box)) solids[i].beside.push_back(j);
}

class Easing {
  public:
    Easing(const Bodies& bodies, int threads) : bodies_(bodies), threads_(threads) {
        for (const Body& body : bodies.all) {
            EasingBody solid;
            solid.skeleton = body.drawn;
            solid.radius = body.easing_radius() > 0 ? body.easing_radius() + kRoom : 0;
            solid.box = plane::bounds(body.drawn);
            solids_.push_back(std::move(solid));
        }
        find_neighbours(solids_);
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
        parallel_for(bodies_.all.size(), threads_, [&](std::size_t i) { eased_.shapes[i] = eased_shape(solids_[i]); });
        return std::move(eased_);
    }

  private:
    /// True when anything was taken.
    bool sweep() {
        bool taken = false;
        for (const auto& wave : waves_of(solids_, order_)) {
            parallel_for(solids_.size(), threads_, [&](std::size_t i) { index_edges(solids_[i]); });
            std::vector<std::vector<Take>> takes(wave.size());
            parallel_for(wave.size(), threads_, [&](std::size_t w) {
                EasingBody& solid = solids_[wave[w]];
                if (solid.dirty) takes[w] = takes_of(solids_, wave[w], refill(solid));
            });
            for (std::size_t w = 0; w < wave.size(); ++w) {
                solids_[wave[w]].dirty = false;
                for (const Take& take : takes[w])
                    settle(wave[w], take);
                taken = taken || !takes[w].empty();
            }
        }
        return taken;
    }

    void settle(std::size_t i, const Take& take) {
        if (eased_.sweeps < kPatientSweeps) return give_to(i, take);
        // The tray can be cut wider without harm to any piece, so it gives up first.
        const bool tray_yields = take.from == bodies_.tray;
        const std::size_t claimant = tray_yields ? take.from : i;
        const std::size_t other = tray_yields ? i : take.from;
        for (const plane::Polygon& place : take.disputed) {
            if (tray_yields && solids_[claimant].radius <= 0) return give_to(i, take);
            give_up(solids_[claimant], place);
            eased_.voids.push_back({claimant, other, plane::bounds(place)});
        }
    }

    void give_to(std::size_t taker, const Take& take) {
        give(solids_[take.from], take);
        tell_grown(take.from, taker, take.bake);
    }

    /// Neighbours look at their fills again where a body has grown. (Where it only lost, no claim can be new.)
    void tell_grown(std::size_t who, std::optional<std::size_t> but, const plane::Shape& by) {
        for (const plane::Polygon& part : by)
            for (const std::size_t j : solids_[who].beside)
                if (j != but) solids_[j].grown.push_back(plane::grown(plane::bounds(part), kNudge));
    }

    /// Parts of a piece that easing has cut off go to the neighbour with the longest contact.
    bool hand_over_severed() {
        bool any = false;
        for (const std::size_t i : order_) {
            // Fills hang on their skeleton, so one skeleton is one part.
            if (solids_[i].skeleton.size() < 2) continue;
            plane::Shape whole = eased_shape(solids_[i]);
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
        EasingBody& loser = solids_[from];
        loser.skeleton = plane::without_specks(less(loser.skeleton, cut), 1e-8);
        std::erase_if(loser.fill, [&](const plane::Polygon& fill) {
            return plane::side_of(part, plane::to_grid(plane::inner_point(fill))) != plane::Side::outside;
        });
        loser.fill_box = boxes_of(loser.fill);
        loser.edges.reset();
        loser.dirty = true;
        if (plane::area(part) < kDust) return;
        std::optional<std::size_t> heir;
        double longest = 0;
        for (const std::size_t j : loser.beside) {
            if (!overlap(plane::grown(plane::bounds(part), 0.02), solids_[j].box)) continue;
            const double length = contact(part, eased_shape(solids_[j]));
            if (length > longest) {
                longest = length;
                heir = j;
            }
        }
        if (!heir) return;
        // Grown by two nudges, so that it certainly joins its heir.
        EasingBody& gainer = solids_[*heir];
        gainer.skeleton = with(gainer.skeleton, nudged({part}, 3 * kNudge));
        gainer.box = plane::bounds(gainer.skeleton);
        gainer.edges.reset();
        gainer.dirty = true;
        find_neighbours(solids_);
        tell_grown(*heir, std::nullopt, {part});
        eased_.hand_overs.push_back({from, *heir, part});
    }

    const Bodies& bodies_;
    int threads_;
    std::vector<EasingBody> solids_;
    std::vector<std::size_t> order_;
    Eased eased_;
};

} // namespace

plane::Shape lost_parts(const Bodies& bodies, const Eased& eased, std::size_t body) {
    return thick(plane::subtract(bodies.all[body].drawn, eased.shapes[body]));
}

Eased ease(const Bodies& bodies, int threads) {
    return Easing(bodies, threads).run();
}

} // namespace kerfwright::fit
