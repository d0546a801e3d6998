#include "fit/disc_contacts.hpp"

#include "fit/edge_cells.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace kerfwright::fit {
namespace {

using plane::Vec;

constexpr double kTouch = 1e-9; ///< mm; an edge this much nearer than the radius does not block yet
constexpr double kTurn = 2 * std::numbers::pi;

struct Interval {
    double low, high;
};

/// Part of the line from + along t where the distance to the blocking side is below r; empty when low >= high.
Interval blocked_on_line(Vec from, Vec along, const Side& by, double r) {
    Interval whole{1e300, -1e300};
    const auto add = [&](double low, double high) {
        whole.low = std::min(whole.low, low);
        whole.high = std::max(whole.high, high);
    };
    const auto disc = [&](Vec centre) {
        const Vec to = centre - from;
        const double t = dot(to, along);
        const double off = cross(along, to);
        if (const double square = r * r - off * off; square > 0) add(t - std::sqrt(square), t + std::sqrt(square));
    };
    disc(by.from);
    disc(by.to);
    // The slab beside the side: 0 < s < length and |h| < r, both linear in t.
    const Vec rel = from - by.from;
    double low = -1e300, high = 1e300;
    const auto clip = [&](double value, double slope, double bound_low, double bound_high) {
        if (std::abs(slope) < 1e-15) {
            if (value <= bound_low || value >= bound_high) high = -1e300;
            return;
        }
        const double t0 = (bound_low - value) / slope;
        const double t1 = (bound_high - value) / slope;
        low = std::max(low, std::min(t0, t1));
        high = std::min(high, std::max(t0, t1));
    };
    clip(dot(rel, by.along), dot(along, by.along), 0, by.length);
    clip(cross(by.along, rel), cross(by.along, along), -r, r);
    if (low < high) add(low, high);
    return whole;
}

/// Directions phi (radians) from `corner` for which corner + radius phi is nearer than r to the blocking side.
Interval blocked_about(Vec corner, double radius, Side by, double r) {
    const Interval none{1, -1};
    double h = cross(by.along, corner - by.from);
    if (h < 0) {
        std::swap(by.from, by.to);
        by.along = by.along * -1.0;
        h = -h;
    }
    if (h >= radius + r) return none;
    const double s = dot(corner - by.from, by.along);
    const double direction = std::atan2(by.along.y, by.along.x);
    if (h < 1e-9 && s > -1e-9 && s < by.length + 1e-9) {
        if (s < 1e-9) return {direction - std::numbers::pi / 2, direction + std::numbers::pi / 2};
        if (s > by.length - 1e-9) return {direction + std::numbers::pi / 2, direction + 3 * std::numbers::pi / 2};
        return {0, kTurn};
    }
    const double kappa = std::clamp((r - h) / radius, -1.0, 1.0);
    const double rise = std::asin(kappa);
    const double span = radius * std::sqrt(std::max(0.0, 1 - kappa * kappa));
    const auto disc = [&](Vec centre, double sign) -> std::optional<double> {
        const Vec to = centre - corner;
        const double d = plane::length(to);
        if (d >= radius + r || d <= 0) return std::nullopt;
        const double half = std::acos(std::clamp((d * d + radius * radius - r * r) / (2 * d * radius), -1.0, 1.0));
        // Angles as seen from `direction`, in (-3/2 pi, 1/2 pi]: the side lies below the corner.
        double angle = std::atan2(to.y, to.x) - direction;
        while (angle > std::numbers::pi / 2 + 1e-9)
            angle -= kTurn;
        while (angle <= -3 * std::numbers::pi / 2 + 1e-9)
            angle += kTurn;
        return angle + sign * half;
    };
    double high = rise;
    if (s + span > by.length || s + span < 0) {
        const auto end = disc(s + span < 0 ? by.from : by.to, 1);
        if (!end) return none;
        high = *end;
    }
    double low = -std::numbers::pi - rise;
    if (s - span > by.length || s - span < 0) {
        const auto end = disc(s - span < 0 ? by.from : by.to, -1);
        if (!end) return none;
        low = *end;
    }
    return {direction + low, direction + high};
}

/// What of [0, end] is not blocked.
void free_of(std::vector<Interval>& blocked, double end, std::vector<Interval>& free) {
    free.clear();
    std::sort(blocked.begin(), blocked.end(), [](const Interval& a, const Interval& b) { return a.low < b.low; });
    double at = 0;
    for (const Interval& b : blocked) {
        if (b.low >= end) break;
        if (b.low > at) free.push_back({at, b.low});
        at = std::max(at, b.high);
        if (at >= end) break;
    }
    if (at < end) free.push_back({at, end});
}

/// What no blocking interval has covered yet, from both ends of a range.
struct Uncovered {
    double low, high;
    /// True when nothing is left.
    bool cover(const Interval& by) {
        if (by.low <= low) low = std::max(low, by.high);
        if (by.high >= high) high = std::min(high, by.low);
        return low >= high;
    }
};

class Search {
  public:
    Search(const std::vector<plane::Ring>& rings, double radius)
        : radius_(radius), sides_(sides_of(rings)),
          cells_(sides_, box_of(rings), std::max(radius / kCellsToRadius, mean_length(sides_) * kCellsToLength)) {
        first_.push_back(0);
        for (const plane::Ring& ring : rings)
            first_.push_back(first_.back() + ring.size());
        seen_.assign(sides_.size(), 0);
    }

    std::vector<Stretch> along(std::size_t ring) {
        std::vector<Stretch> found;
        for (std::size_t k = 0; k < first_[ring + 1] - first_[ring]; ++k) {
            about_corner(ring, k, found);
            along_side(ring, k, found);
        }
        return found;
    }

  private:
    static constexpr double kCellsToRadius = 2;

    static plane::Box box_of(const std::vector<plane::Ring>& rings) {
        plane::Box box;
        for (const plane::Ring& ring : rings)
            extend(box, plane::bounds(ring));
        return box;
    }

    static constexpr double kCellsToLength = 2;
    static double mean_length(const std::vector<Side>& sides) {
        double sum = 0;
        for (const Side& side : sides)
            sum += side.length;
        return sum / std::max(1.0, static_cast<double>(sides.size()));
    }

    /// Nothing within `half` of `middle` can be nearer than the radius to the side.
    [[nodiscard]] bool out_of_range(Vec middle, double half, const Side& by) const {
        const Vec to = middle - by.from;
        const Vec off = to - by.along * std::clamp(dot(to, by.along), 0.0, by.length);
        const double reach = radius_ + half;
        return dot(off, off) >= reach * reach;
    }

    /// Calls once with every side in the cells within the radius and `more` of the line, until one says enough. Those
    /// next to it in its ring come first: where the outline is crooked, they are often enough.
    template <class Call>
    bool near(const Side& line, double more, std::size_t ring, std::size_t k, Call enough) {
        ++stamp_;
        const auto once = [&](std::uint32_t s) {
            if (seen_[s] == stamp_) return false;
            seen_[s] = stamp_;
            return enough(s);
        };
        const std::size_t first = first_[ring], count = first_[ring + 1] - first;
        for (const std::size_t off : {count - 1, std::size_t{1}, count - 2, std::size_t{2}})
            if (once(static_cast<std::uint32_t>(first + (k + off) % count))) return true;
        const double reach = radius_ + more;
        const int pieces = std::max(1, static_cast<int>(line.length / (2 * reach)));
        for (int piece = 0; piece < pieces; ++piece) {
            plane::Box box;
            extend(box, line.from + line.along * (line.length * piece / pieces));
            extend(box, line.from + line.along * (line.length * (piece + 1) / pieces));
            if (cells_.near(grown(box, reach), once)) return true;
        }
        return false;
    }

    void along_side(std::size_t ring, std::size_t k, std::vector<Stretch>& found) {
        const std::size_t index = first_[ring] + k;
        const Side& side = sides_[index];
        const Vec from = side.from + side.outward() * radius_;
        blocked_.clear();
        const Vec middle = from + side.along * (side.length / 2);
        Uncovered left{0, side.length};
        const Side line{from, from + side.along * side.length, side.along, side.length};
        const bool covered = near(line, 0, ring, k, [&](std::uint32_t other) {
            if (other == index || out_of_range(middle, side.length / 2, sides_[other])) return false;
            const Interval b = blocked_on_line(from, side.along, sides_[other], radius_ - kTouch);
            if (b.low >= side.length || b.high <= 0) return false;
            blocked_.push_back(b);
            return left.cover(b);
        });
        if (covered) return;
        free_of(blocked_, side.length, free_);
        for (const Interval& f : free_)
            found.push_back({static_cast<std::uint32_t>(k),
                             false,
                             {side.from + side.along * f.low, from + side.along * f.low},
                             {side.from + side.along * f.high, from + side.along * f.high}});
    }

    /// About the start of side k.
    void about_corner(std::size_t ring, std::size_t k, std::vector<Stretch>& found) {
        const std::size_t count = first_[ring + 1] - first_[ring];
        const std::size_t before = first_[ring] + (k + count - 1) % count;
        const std::size_t after = first_[ring] + k;
        const Side& in = sides_[before];
        const Side& out = sides_[after];
        const double sine = cross(in.along, out.along), cosine = dot(in.along, out.along);
        if (sine < 0 || (sine <= 1e-12 && cosine > 0)) return;
        const double turn = std::atan2(sine, cosine);
        const Vec corner = out.from;
        const Vec start = in.outward();
        const double base = std::atan2(start.y, start.x);
        blocked_.clear();
        const Vec middle = corner + Vec{std::cos(base + turn / 2), std::sin(base + turn / 2)} * radius_;
        const double half = radius_ * turn / 2; // no chord is longer than its arc
        Uncovered left{0, turn};
        const bool covered = near({middle, middle, {1, 0}, 0}, half, ring, k, [&](std::uint32_t other) {
            if (other == before || other == after || out_of_range(middle, half, sides_[other])) return false;
            const Interval b = blocked_about(corner, radius_, sides_[other], radius_ - kTouch);
            if (b.low >= b.high) return false;
            const double shift = std::floor((b.low - base) / kTurn) * kTurn + base;
            for (const double s : {shift, shift + kTurn}) {
                const Interval moved{b.low - s, b.high - s};
                if (moved.low >= turn || moved.high <= 0) continue;
                blocked_.push_back(moved);
                if (left.cover(moved)) return true;
            }
            return false;
        });
        if (covered) return;
        free_of(blocked_, turn, free_);
        const auto contact = [&](double phi) -> Contact {
            return {corner, corner + Vec{std::cos(base + phi), std::sin(base + phi)} * radius_};
        };
        for (const Interval& f : free_)
            found.push_back({static_cast<std::uint32_t>(k), true, contact(f.low), contact(f.high)});
    }

    double radius_;
    std::vector<Side> sides_;
    EdgeCells cells_;
    std::vector<std::size_t> first_;
    std::vector<std::uint32_t> seen_;
    std::uint32_t stamp_ = 0;
    std::vector<Interval> blocked_, free_;
};

} // namespace

std::vector<std::vector<Stretch>> free_stretches(const std::vector<plane::Ring>& rings, double radius) {
    Search search(rings, radius);
    std::vector<std::vector<Stretch>> stretches;
    for (std::size_t r = 0; r < rings.size(); ++r)
        stretches.push_back(search.along(r));
    return stretches;
}

} // namespace kerfwright::fit
