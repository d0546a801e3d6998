#include "fit/disc_contacts.hpp"
#include "fit/rolling_disc.hpp"
#include "fit/thickness.hpp"
#include "fit/windows.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::fit {
namespace {

using plane::Vec;

constexpr double kSameDisc = 5e-5; // mm

/// Ends of stretches that meet come out a grid step apart: one vertex will do.
void add_point(plane::Ring& ring, Vec v) {
    constexpr std::int64_t kSame = 5; // grid units
    const plane::Point p = plane::to_grid(v);
    if (ring.empty() || std::abs(ring.back().x - p.x) > kSame || std::abs(ring.back().y - p.y) > kSame)
        ring.push_back(p);
}

/// Drops vertices on the straight way between their neighbours: the ends of an offset line, where a mitre lengthens it.
plane::Ring straightened(const plane::Ring& ring) {
    constexpr double kStraight = 5;  // grid units
    constexpr std::size_t kMost = 8; // vertices dropped in a row
    const auto off = [](plane::Point a, plane::Point b, plane::Point p) {
        const auto abx = static_cast<double>(b.x - a.x), aby = static_cast<double>(b.y - a.y);
        const auto apx = static_cast<double>(p.x - a.x), apy = static_cast<double>(p.y - a.y);
        const double square = abx * abx + aby * aby;
        const double ahead = abx * apx + aby * apy;
        if (ahead < 0 || ahead > square) return 1e300;
        return std::abs(abx * apy - aby * apx) / std::sqrt(std::max(1.0, square));
    };
    const std::size_t n = ring.size();
    plane::Ring out;
    std::size_t kept = 0; // index of the last vertex in `out`
    for (std::size_t k = 0; k < n; ++k) {
        bool drop = !out.empty() && k - kept <= kMost;
        for (std::size_t m = kept + 1; drop && m <= k; ++m)
            drop = off(ring[kept], ring[(k + 1) % n], ring[m]) <= kStraight;
        if (drop) continue;
        out.push_back(ring[k]);
        kept = k;
    }
    return out.size() >= 3 ? out : ring;
}

/// The way of the centre along one stretch, both ends included.
void add_way(plane::Ring& ring, const Stretch& stretch, double distance, double sagitta) {
    if (!stretch.at_corner) {
        add_point(ring, stretch.first.centre);
        add_point(ring, stretch.last.centre);
        return;
    }
    const Vec corner = stretch.first.at;
    const Vec a = stretch.first.centre - corner;
    const Vec b = stretch.last.centre - corner;
    const double sweep = std::atan2(cross(a, b), dot(a, b));
    if (distance * (1 / std::cos(sweep / 2) - 1) < sagitta && sweep < 1) {
        const Vec middle = a + b;
        add_point(ring, corner + middle * (distance / std::cos(sweep / 2) / plane::length(middle)));
        return;
    }
    const double step = 2 * std::acos(std::max(0.0, 1 - sagitta / distance));
    const int parts = std::max(1, static_cast<int>(std::ceil(std::abs(sweep) / step)));
    for (int k = 0; k <= parts; ++k) {
        const double angle = sweep * k / parts;
        const double c = std::cos(angle), s = std::sin(angle);
        add_point(ring, corner + Vec{c * a.x - s * a.y, s * a.x + c * a.y});
    }
}

/// For each stretch the one that goes on where it ends.
std::optional<std::vector<std::size_t>> linked(const std::vector<Stretch>& all, const std::vector<std::size_t>& after) {
    std::vector<std::size_t> by_x(all.size());
    for (std::size_t k = 0; k < all.size(); ++k)
        by_x[k] = k;
    const auto x_of = [&](std::size_t k) { return all[k].first.centre.x; };
    std::sort(by_x.begin(), by_x.end(), [&](std::size_t a, std::size_t b) { return x_of(a) < x_of(b); });
    std::vector<std::size_t> next(all.size());
    std::vector<bool> taken(all.size(), false);
    for (std::size_t k = 0; k < all.size(); ++k) {
        const Vec end = all[k].last.centre;
        std::size_t best = all.size();
        double best_off = kSameDisc;
        if (const double off = plane::distance(all[after[k]].first.centre, end); off < kSameDisc) best = after[k];
        auto it = std::lower_bound(by_x.begin(), by_x.end(), end.x - kSameDisc,
                                   [&](std::size_t g, double x) { return x_of(g) < x; });
        for (; best == all.size() && it != by_x.end() && x_of(*it) <= end.x + kSameDisc; ++it) {
            const double off = plane::distance(all[*it].first.centre, end);
            if (off < best_off && !taken[*it]) {
                best_off = off;
                best = *it;
                break;
            }
        }
        if (best == all.size() || taken[best]) return std::nullopt;
        taken[best] = true;
        next[k] = best;
    }
    return next;
}

} // namespace

std::optional<plane::Shape> rolled_inset(const plane::Shape& shape, double distance, double sagitta) {
    // Turned about, the shape is what lies outside, and the disc rolls where the shape was.
    std::vector<plane::Ring> turned;
    for (const plane::Ring& ring : plane::rings_of(without_spikes(shape)))
        turned.push_back(plane::reversed(ring));
    std::vector<Stretch> all;
    std::vector<std::size_t> after;
    for (const std::vector<Stretch>& ring : free_stretches(turned, distance)) {
        const std::size_t first = all.size();
        for (std::size_t k = 0; k < ring.size(); ++k) {
            all.push_back(ring[k]);
            after.push_back(first + (k + 1) % ring.size());
        }
    }
    const auto next = linked(all, after);
    if (!next) return std::nullopt;
    std::vector<plane::Ring> rings;
    std::vector<bool> used(all.size(), false);
    for (std::size_t start = 0; start < all.size(); ++start) {
        if (used[start]) continue;
        plane::Ring ring;
        for (std::size_t k = start; !used[k]; k = (*next)[k]) {
            used[k] = true;
            add_way(ring, all[k], distance, sagitta);
        }
        ring = plane::reversed(straightened(without_spikes(ring)));
        if (ring.size() >= 3) rings.push_back(std::move(ring));
    }
    return nested(std::move(rings));
}

} // namespace kerfwright::fit
