#include "plane/arcs.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

// An arc from one vertex to another has one free number, its bulge. Every point that lies between them allows an
// interval of bulges (in closed form, see `Chord`); an arc fits when the intervals have a bulge in common. The reach
// of a vertex is found by doubling and halving, so the whole costs O(n log n).

namespace kerfwright::plane {
namespace {

constexpr double kDegree = std::numbers::pi / 180;
constexpr double kLargestSweep = 170 * kDegree;
constexpr double kSmallestRadius = 0.05; // mm
constexpr double kLargestRadius = 2000;  // mm
constexpr double kCornerTurn = 20 * kDegree;
constexpr double kCornerEdge = 0.05; // mm

struct Interval {
    double low, high;
    [[nodiscard]] bool empty() const { return low > high; }
    [[nodiscard]] bool contains(double v) const { return low <= v && v <= high; }
    void meet(const Interval& other) {
        low = std::max(low, other.low);
        high = std::min(high, other.high);
    }
};

/// The chord of all arcs from a to b, as a frame: x along it from its middle, y to its left.
class Chord {
  public:
    Chord(Vec a, Vec b) : middle_((a + b) * 0.5), half_(distance(a, b) / 2), along_((b - a) * (1 / (2 * half_))) {}

    struct Local {
        double x, y;
    };
    [[nodiscard]] Local local(Vec p) const { return {dot(along_, p - middle_), cross(along_, p - middle_)}; }
    [[nodiscard]] double half() const { return half_; }

    /// Bulges whose circle passes within t of p: from |distance to the centre - radius| <= t with the centre at height
    /// half (1 - bulge²) / (2 bulge), which is quadratic in the bulge. Empty when p lies outside the half circles.
    [[nodiscard]] Interval bulges(Local p, double t) const {
        constexpr double kAll = 1e300;
        const double b = half_ * half_ + t * t - p.x * p.x - p.y * p.y;
        const double root = b * b + 4 * half_ * half_ * (p.y * p.y - t * t);
        const bool at_end = std::hypot(std::abs(p.x) - half_, p.y) <= t;
        if (at_end || (root < 0 && b > 0)) return {-kAll, kAll};
        if (b <= 0) return {1, -1};
        const double scale = 2 * half_ / (b + std::sqrt(root));
        return {-(p.y + t) * scale, -(p.y - t) * scale};
    }
    /// Bulges of sweeps and radii that are allowed, without their sign.
    [[nodiscard]] Interval allowed() const {
        const double widest = std::tan(kLargestSweep / 4);
        return {bulge_of(kLargestRadius),
                half_ < kSmallestRadius ? std::min(widest, bulge_of(kSmallestRadius)) : widest};
    }

  private:
    [[nodiscard]] double bulge_of(double radius) const {
        const double ratio = radius / half_;
        return ratio > 1 ? 1 / (ratio + std::sqrt(ratio * ratio - 1)) : 1;
    }
    Vec middle_;
    double half_;
    Vec along_;
};

/// Fits pieces between vertices of one ring. Indices run on past the end of the ring.
class Fitter {
  public:
    Fitter(const Ring& ring, double tolerance) : tolerance_(tolerance) {
        for (std::size_t i = 0; i < ring.size(); ++i)
            if (ring[i] != ring[(i + 1) % ring.size()]) points_.push_back(to_mm(ring[i]));
        if (points_.size() >= 3) mark();
    }

    [[nodiscard]] Path fit() const {
        Path path;
        const std::size_t n = points_.size();
        if (n < 3) {
            for (const Vec p : points_)
                path.vertices.push_back({p, 0});
            return path;
        }
        if (auto circle = whole_circle()) return *circle;
        const std::size_t start = first_break();
        for (std::size_t i = start; i < start + n;) {
            const Piece piece = reach(i, start + n);
            path.vertices.push_back({at(i), piece.bulge});
            i = piece.end;
        }
        return path;
    }

  private:
    struct Piece {
        std::size_t end;
        double bulge;
    };

    [[nodiscard]] Vec at(std::size_t i) const { return points_[i % points_.size()]; }
    [[nodiscard]] bool corner(std::size_t i) const { return corner_[i % points_.size()]; }
    [[nodiscard]] bool straight(std::size_t i) const { return straight_[i % points_.size()]; }

    /// Finds corners, and edges that can be no part of the curve beside them: as arcs of the curvature at one of their
    /// ends they would bulge by more than the tolerance. Those stay lines, so that a line ends where its fillet begins.
    void mark() {
        const std::size_t n = points_.size();
        corner_.resize(n);
        straight_.resize(n);
        std::vector<double> turn(n);
        std::vector<double> edge(n);
        for (std::size_t i = 0; i < n; ++i)
            edge[i] = distance(at(i), at(i + 1));
        for (std::size_t i = 0; i < n; ++i) {
            const Vec before = at(i) - at(i + n - 1);
            const Vec after = at(i + 1) - at(i);
            turn[i] = std::abs(std::atan2(cross(before, after), dot(before, after)));
            corner_[i] = turn[i] > kCornerTurn && edge[(i + n - 1) % n] > kCornerEdge && edge[i] > kCornerEdge;
        }
        for (std::size_t i = 0; i < n; ++i) {
            const std::size_t next = (i + 1) % n;
            const double at_start = corner_[i] ? 0 : turn[i] / edge[(i + n - 1) % n];
            const double at_end = corner_[next] ? 0 : turn[next] / edge[next];
            straight_[i] = edge[i] * edge[i] * std::max(at_start, at_end) / 8 > tolerance_;
        }
        to_corner_.assign(n, n);
        to_straight_.assign(n, n);
        for (std::size_t i = 2 * n; i-- > 0;) { // twice around, for what lies behind the first vertex
            const std::size_t next = (i + 1) % n;
            to_corner_[i % n] = corner_[next] ? 1 : std::min(n, to_corner_[next] + 1);
            to_straight_[i % n] = corner_[next] || straight_[next] ? 1 : std::min(n, to_straight_[next] + 1);
        }
    }

    [[nodiscard]] std::size_t first_break() const {
        for (std::size_t i = 0; i < points_.size(); ++i)
            if (corner(i)) return i;
        for (std::size_t i = 0; i < points_.size(); ++i)
            if (straight(i)) return reach(i, i + points_.size()).end;
        return reach(0, points_.size()).end; // rather a place where the curve asks for it than any
    }

    /// The longest line or arc from vertex i that ends at `last` at most.
    [[nodiscard]] Piece reach(std::size_t i, std::size_t last) const {
        const std::size_t n = points_.size();
        const Piece line =
            farthest(i, std::min(last, i + to_corner_[i % n]), [&](std::size_t j) { return line_piece(i, j); });
        if (straight(i)) return line;
        const Piece curve =
            farthest(i, std::min(last, i + to_straight_[i % n]), [&](std::size_t j) { return piece(i, j); });
        return curve.end > line.end ? curve : line;
    }

    /// The farthest end up to `end` that `fits`, by doubling and then halving; the next vertex always does.
    template <class Fits>
    static Piece farthest(std::size_t i, std::size_t end, const Fits& fits) {
        Piece best{i + 1, 0};
        std::size_t bad = end + 1;
        for (std::size_t step = 2; best.end < end; step *= 2) {
            const std::size_t j = std::min(i + step, end);
            const auto bulge = fits(j);
            if (!bulge) {
                bad = j;
                break;
            }
            best = {j, *bulge};
        }
        while (best.end + 1 < bad) {
            const std::size_t j = best.end + (bad - best.end) / 2;
            if (const auto bulge = fits(j))
                best = {j, *bulge};
            else
                bad = j;
        }
        return best;
    }

    /// A line where one is meant: much closer than the tolerance.
    [[nodiscard]] std::optional<double> line_piece(std::size_t i, std::size_t j) const {
        constexpr double kMeant = 0.1;
        const double close = kMeant * tolerance_;
        const Vec a = at(i);
        const Vec b = at(j);
        if (a == b) return std::nullopt;
        const Chord chord(a, b);
        double progress = -chord.half();
        for (std::size_t k = i + 1; k < j; ++k) {
            const auto p = chord.local(at(k));
            if (std::abs(p.y) > close || p.x < progress - close || p.x > chord.half()) return std::nullopt;
            progress = std::max(progress, p.x);
        }
        return 0;
    }

    /// The bulge of a line or arc from vertex i to vertex j that keeps the tolerance, if there is one.
    [[nodiscard]] std::optional<double> piece(std::size_t i, std::size_t j) const {
        const Vec a = at(i);
        const Vec b = at(j);
        if (a == b) return std::nullopt;
        const Chord chord(a, b);
        Interval bulges{-1, 1};
        double sum = 0;
        double weights = 0;
        double progress = -chord.half();
        for (std::size_t k = i; k < j; ++k) {
            const auto middle = chord.local((at(k) + at(k + 1)) * 0.5);
            bulges.meet(chord.bulges(middle, tolerance_));
            if (bulges.empty()) return std::nullopt;
            if (k == i) continue;
            const auto p = chord.local(at(k));
            // An arc below a half circle runs forward along its chord; so must what it replaces.
            if (p.x < progress - tolerance_) return std::nullopt;
            progress = std::max(progress, p.x);
            bulges.meet(chord.bulges(p, tolerance_));
            if (bulges.empty()) return std::nullopt;
            const double lever = chord.half() - p.x * p.x / chord.half(); // mm the arc moves here per unit of bulge
            if (lever <= 0) continue;
            const Interval exact = chord.bulges(p, 0);
            sum += lever * lever * exact.low;
            weights += lever * lever;
        }
        return choose(chord, bulges, weights > 0 ? sum / weights : 0);
    }

    /// A line where it serves as well; else the arc nearest to the mean one that is allowed.
    [[nodiscard]] std::optional<double> choose(const Chord& chord, const Interval& bulges, double mean) const {
        constexpr double kAsGoodAsStraight = 0.5; // of the tolerance, sagitta of the mean arc
        const double sagitta = std::abs(mean) * chord.half();
        if (bulges.contains(0) && sagitta <= kAsGoodAsStraight * tolerance_) return 0;
        Interval allowed = chord.allowed();
        if (mean < 0) allowed = {-allowed.high, -allowed.low};
        allowed.meet(bulges);
        if (!allowed.empty()) return std::clamp(mean, allowed.low, allowed.high);
        return bulges.contains(0) ? std::optional(0.0) : std::nullopt;
    }

    /// A ring that is one circle: three arcs of the same sweep, as near as its vertices allow.
    [[nodiscard]] std::optional<Path> whole_circle() const {
        const std::size_t n = points_.size();
        if (n < 9 || std::find(corner_.begin(), corner_.end(), true) != corner_.end()) return std::nullopt;
        Path path;
        std::size_t from = 0;
        if (std::find(straight_.begin(), straight_.end(), true) != straight_.end()) return std::nullopt;
        const Vec first = at(0);
        const auto [centre, radius] = circumcircle(first, at(n / 3), at(2 * n / 3));
        if (!(radius < kLargestRadius)) return std::nullopt;
        for (int third = 1; third <= 3; ++third) {
            std::size_t to = n;
            if (third < 3) {
                const double sign = cross(first - centre, at(n / 3) - centre) > 0 ? 1 : -1;
                const double angle = sign * third * 2 * std::numbers::pi / 3;
                const Vec spoke = first - centre;
                const Vec goal = centre + Vec{std::cos(angle) * spoke.x - std::sin(angle) * spoke.y,
                                              std::sin(angle) * spoke.x + std::cos(angle) * spoke.y};
                to = nearest_vertex(goal);
            }
            if (to <= from) return std::nullopt;
            const auto bulge = piece(from, to);
            if (!bulge || *bulge == 0) return std::nullopt;
            path.vertices.push_back({at(from), *bulge});
            from = to;
        }
        return path;
    }

    struct Circle {
        Vec centre;
        double radius;
    };
    static Circle circumcircle(Vec a, Vec b, Vec c) {
        const Vec ab = b - a;
        const Vec ac = c - a;
        const double twice = 2 * cross(ab, ac);
        if (twice == 0) return {a, 1e300};
        const double bb = dot(ab, ab);
        const double cc = dot(ac, ac);
        const Vec to_centre{(ac.y * bb - ab.y * cc) / twice, (ab.x * cc - ac.x * bb) / twice};
        return {a + to_centre, length(to_centre)};
    }
    [[nodiscard]] std::size_t nearest_vertex(Vec goal) const {
        std::size_t best = 0;
        for (std::size_t i = 1; i < points_.size(); ++i)
            if (distance(points_[i], goal) < distance(points_[best], goal)) best = i;
        return best;
    }

    double tolerance_;
    std::vector<Vec> points_;
    std::vector<bool> corner_;
    std::vector<bool> straight_;           ///< edge i, from vertex i on
    std::vector<std::size_t> to_corner_;   ///< edges from here to the next corner
    std::vector<std::size_t> to_straight_; ///< edges from here to the next corner or straight edge
};

} // namespace

Path fit_arcs(const Ring& ring, double tolerance) {
    return Fitter(ring, std::max(tolerance, kGrid)).fit();
}

} // namespace kerfwright::plane
