#include "fit/rolling_disc.hpp"

#include "fit/disc_contacts.hpp"
#include "fit/thickness.hpp"
#include "fit/windows.hpp"
#include "plane/boolean.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::fit {
namespace {

using plane::Vec;

/// Two contacts with centres this close belong to the same disc.
constexpr double kSameDisc = 5e-5; // mm

/// Outline between two stretches, from where the disc leaves it to where it touches it again.
struct Gap {
    Contact from, to;
    std::size_t ring = 0;
    std::size_t leaves = 0, touches = 0; ///< vertices from the one up to the other, round the ring, are not reached
    std::size_t after = 0;               ///< the next gap of the ring
};

/// Adds the ring's gaps.
void add_gaps(std::vector<Gap>& gaps, std::size_t ring, std::size_t n, const std::vector<Stretch>& stretches) {
    const std::size_t first = gaps.size();
    for (std::size_t k = 0; k < stretches.size(); ++k) {
        const Stretch& here = stretches[k];
        const Stretch& next = stretches[(k + 1) % stretches.size()];
        const bool same_place = plane::distance(here.last.at, next.first.at) < 1e-7;
        const bool wraps = k + 1 == stretches.size();
        if (same_place && plane::distance(here.last.centre, next.first.centre) < kSameDisc && stretches.size() > 1)
            continue;
        // Vertices after `here` up to `next`: a stretch along edge e ends before vertex e + 1, one about a corner is at
        // e.
        const std::size_t leaves = here.edge + 1;
        const std::size_t touches = next.edge + (wraps ? n : 0) + (next.at_corner ? 0 : 1);
        gaps.push_back({here.last, next.first, ring, leaves, std::max(leaves, touches), gaps.size() + 1});
    }
    if (gaps.size() > first) gaps.back().after = first;
}

/// Chords of the arc from one contact of the disc on, counter-clockwise, to another; ends left out.
void add_arc(plane::Ring& ring, Vec centre, Vec from, Vec to, double sagitta) {
    const Vec a = from - centre;
    const Vec b = to - centre;
    double sweep = std::atan2(cross(a, b), dot(a, b));
    if (sweep < 0) sweep += 2 * std::numbers::pi;
    const double radius = plane::length(a);
    const double step = 2 * std::acos(std::max(0.0, 1 - sagitta / radius));
    const int parts = std::max(1, static_cast<int>(std::ceil(sweep / step)));
    const double start = std::atan2(a.y, a.x);
    for (int k = 1; k < parts; ++k) {
        const double angle = start + sweep * k / parts;
        ring.push_back(plane::to_grid(centre + Vec{std::cos(angle), std::sin(angle)} * radius));
    }
}

void add_point(plane::Ring& ring, plane::Point p) {
    if (ring.empty() || ring.back() != p) ring.push_back(p);
}

/// The gaps linked by the discs on which they begin and end.
class Linking {
  public:
    Linking(const std::vector<plane::Ring>& rings, std::vector<Gap> gaps, double radius, double noise, double sagitta)
        : rings_(rings), gaps_(std::move(gaps)), before_(gaps_.size()), radius_(radius), noise_(noise),
          sagitta_(sagitta) {
        for (std::size_t g = 0; g < gaps_.size(); ++g)
            by_x_.push_back(g);
        std::sort(by_x_.begin(), by_x_.end(),
                  [&](std::size_t a, std::size_t b) { return gaps_[a].from.centre.x < gaps_[b].from.centre.x; });
    }

    /// Loops with the fill to the left.
    std::optional<std::vector<plane::Ring>> loops() {
        std::vector<plane::Ring> found;
        std::vector<bool> used(gaps_.size(), false);
        std::vector<std::size_t> loop;
        for (std::size_t g = 0; g < gaps_.size(); ++g) {
            if (used[g]) continue;
            loop.clear();
            plane::Ring ring;
            double depth = 0;
            for (std::size_t at = g;;) {
                if (used[at]) return std::nullopt;
                used[at] = true;
                loop.push_back(at);
                const Gap& gap = gaps_[at];
                add_point(ring, plane::to_grid(gap.from.at));
                each_unreached(gap, [&](plane::Point p) {
                    add_point(ring, p);
                    depth = std::max(depth, plane::distance(to_mm(p), gap.from.centre) - radius_);
                });
                add_point(ring, plane::to_grid(gap.to.at));
                const auto next = partner(gap.to);
                if (!next) {
                    if (!negligible(gap)) return std::nullopt;
                    depth = 0;
                    break;
                }
                if (*next != g || at != g) depth = 1e300; // through a bottleneck: never mere noise
                add_arc(ring, gap.to.centre, gap.to.at, gaps_[*next].from.at, sagitta_);
                if (*next == g) break;
                at = *next;
            }
            while (ring.size() > 1 && ring.front() == ring.back())
                ring.pop_back();
            if (depth <= noise_ || ring.size() < 3) continue;
            ring = plane::reversed(std::move(ring));
            // A loop the other way round is the inner border of a fill.
            if (plane::signed_area(ring) > 0 && !thicker_than(plane::Polygon{ring, {}}, noise_)) continue;
            found.push_back(std::move(ring));
            for (std::size_t k = 0; k < loop.size(); ++k)
                before_[loop[(k + 1) % loop.size()]] = loop[k];
        }
        return found;
    }

    /// Once the loops are known: the outlines with their fills, those that have gaps.
    [[nodiscard]] std::vector<plane::Ring> outlines() const {
        std::vector<plane::Ring> found;
        std::vector<bool> used(gaps_.size(), false);
        for (std::size_t first = 0; first < gaps_.size(); ++first) {
            plane::Ring ring;
            for (std::size_t g = first; !used[g];) {
                used[g] = true;
                if (!before_[g]) each_unreached(gaps_[g], [&](plane::Point p) { add_point(ring, p); });
                const std::size_t past = before_[g] ? across(ring, g, *before_[g]) : g;
                const Gap& gap = gaps_[past];
                const plane::Ring& outline = rings_[gap.ring];
                // Vertices of both gaps are counted from their own stretch on.
                const std::size_t n = outline.size();
                const std::size_t start = gap.touches % n;
                const std::size_t count = (gaps_[gap.after].leaves % n + n - start) % n;
                const bool all_round = gap.after == past && gap.leaves == gap.touches;
                for (std::size_t k = 0; k < (all_round ? n : count); ++k)
                    add_point(ring, outline[(start + k) % n]);
                g = gap.after;
            }
            while (ring.size() > 1 && ring.front() == ring.back())
                ring.pop_back();
            if (ring.size() >= 3) found.push_back(std::move(ring));
        }
        return found;
    }

  private:
    template <class Call>
    void each_unreached(const Gap& gap, Call call) const {
        const plane::Ring& ring = rings_[gap.ring];
        for (std::size_t v = gap.leaves; v < gap.touches; ++v)
            call(ring[v % ring.size()]);
    }

    /// Goes around the disc on which the gap begins, to where the other gap ends.
    std::size_t across(plane::Ring& ring, std::size_t g, std::size_t other) const {
        const Contact& disc = gaps_[other].to;
        plane::Ring arc;
        add_arc(arc, disc.centre, disc.at, gaps_[g].from.at, sagitta_);
        add_point(ring, plane::to_grid(gaps_[g].from.at));
        for (auto p = arc.rbegin(); p != arc.rend(); ++p)
            add_point(ring, *p);
        add_point(ring, plane::to_grid(disc.at));
        return other;
    }

    /// The gap that begins on the same disc, next counter-clockwise. Nearly the same discs are many where arcs of about
    /// the radius meet, so the tolerance is widened only as far as needed.
    [[nodiscard]] std::optional<std::size_t> partner(const Contact& end) const {
        for (const double tolerance : {1e-7, 1e-6, 1e-5, kSameDisc})
            if (const auto found = partner_within(end, tolerance)) return found;
        return std::nullopt;
    }

    [[nodiscard]] std::optional<std::size_t> partner_within(const Contact& end, double tolerance) const {
        std::optional<std::size_t> best;
        double best_turn = 1e300;
        auto it = std::lower_bound(by_x_.begin(), by_x_.end(), end.centre.x - tolerance,
                                   [&](std::size_t g, double x) { return gaps_[g].from.centre.x < x; });
        for (; it != by_x_.end() && gaps_[*it].from.centre.x <= end.centre.x + tolerance; ++it) {
            const Contact& start = gaps_[*it].from;
            if (plane::distance(start.centre, end.centre) > tolerance) continue;
            const Vec a = end.at - end.centre;
            const Vec b = start.at - end.centre;
            double turn = std::atan2(cross(a, b), dot(a, b));
            if (turn < -1e-9) turn += 2 * std::numbers::pi;
            if (turn < best_turn) {
                best_turn = turn;
                best = *it;
            }
        }
        return best;
    }

    /// A break between nearly straight edges, far below anything that counts.
    [[nodiscard]] static bool negligible(const Gap& gap) {
        return plane::distance(gap.from.at, gap.to.at) < 1e-3 && plane::distance(gap.from.centre, gap.to.centre) < 1e-3;
    }

    const std::vector<plane::Ring>& rings_;
    std::vector<Gap> gaps_;
    std::vector<std::optional<std::size_t>> before_; ///< in its loop, for gaps that are filled
    std::vector<std::size_t> by_x_;
    double radius_, noise_, sagitta_;
};

} // namespace

std::optional<Rolled> rolled_closing(const plane::Shape& shape, double radius, double noise, double sagitta) {
    const std::vector<plane::Ring> rings = plane::rings_of(without_spikes(shape));
    Rolled rolled;
    std::vector<plane::Ring> outlines;
    std::vector<Gap> gaps;
    const auto stretches = free_stretches(rings, radius);
    for (std::size_t r = 0; r < rings.size(); ++r) {
        const std::size_t known = gaps.size();
        add_gaps(gaps, r, rings[r].size(), stretches[r]);
        if (!stretches[r].empty() && gaps.size() == known) outlines.push_back(rings[r]);
        if (!stretches[r].empty()) continue;
        // No disc fits: a hole that is filled as a whole.
        if (plane::signed_area(rings[r]) > 0) return std::nullopt;
        rolled.fills.push_back({plane::reversed(rings[r]), {}});
    }
    Linking linking(rings, std::move(gaps), radius, noise, sagitta);
    auto loops = linking.loops();
    if (!loops) return std::nullopt;
    for (plane::Ring& outline : linking.outlines())
        outlines.push_back(std::move(outline));
    auto closed = nested(std::move(outlines));
    if (!closed) return std::nullopt;
    rolled.closed = std::move(*closed);
    std::vector<plane::Ring> inward;
    for (plane::Ring& loop : *loops) {
        if (plane::signed_area(loop) > 0)
            rolled.fills.push_back({std::move(loop), {}});
        else
            inward.push_back(std::move(loop));
    }
    if (inward.empty()) return rolled;
    // A fill around something: let the booleans find out which ring is whose hole.
    for (plane::Polygon& fill : rolled.fills)
        inward.push_back(std::move(fill.outer));
    rolled.fills = plane::normal(inward);
    return rolled;
}

} // namespace kerfwright::fit
