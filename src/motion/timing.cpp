#include "motion/timing.hpp"

#include "motion/profile.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::motion {
namespace {

constexpr double kPerMinute = 1.0 / 60;
constexpr double kFastest = 1e9; // mm/s, where nothing limits

/// A piece of the way between two vertices.
struct Span {
    std::size_t move;  ///< whose time it is
    std::size_t other; ///< of a corner: the move after it, which bears the other half
    double length;
    double v, a, j;       ///< limits along the way
    double shared_radius; ///< of an arc with shared acceleration, else 0
    double cap;           ///< speed limit where it begins
};

struct Limits {
    double v, a, j;
};

std::array<double, 3> parts(Vec3 v) {
    return {std::abs(v.x), std::abs(v.y), std::abs(v.z)};
}

/// Limits along a direction; `share` holds, for each axis, the part of the motion it may have to bear.
Limits limits_along(const std::array<double, 3>& share, const shop::Machine& machine, bool rapid) {
    constexpr double kStill = 1e-9;
    Limits limits{kFastest, kFastest, kFastest};
    for (std::size_t i = 0; i < 3; ++i) {
        if (share[i] < kStill) continue;
        const shop::Axis& axis = machine.axes[i];
        limits.v = std::min(limits.v, (rapid ? axis.rapid : axis.feed_max) * kPerMinute / share[i]);
        limits.a = std::min(limits.a, axis.acceleration / share[i]);
        limits.j = std::min(limits.j, axis.jerk / share[i]);
    }
    return limits;
}

/// The share of each axis in an arc: any direction of its plane, and the slope of a helix.
std::array<double, 3> shares_of(const Move& move) {
    const Vec3 direction = direction_at(move, 0.5);
    if (move.kind != MoveKind::arc) return parts(direction);
    const PlaneVec slope = in_plane(direction, move.normal);
    const double flat = std::hypot(slope.u, slope.v);
    return parts(from_plane({flat, flat, slope.w}, move.normal));
}

/// Acceleration that the axes can give through a corner: along the normals of both sides and of its middle.
double corner_acceleration(Vec3 before, Vec3 after, Vec3 change, const shop::Machine& machine) {
    double a = limits_along(parts(change * (1 / length(change))), machine, true).a;
    for (const Vec3 normal : {after - before * dot(before, after), before - after * dot(before, after)}) {
        const double size = length(normal);
        if (size > 0) a = std::min(a, limits_along(parts(normal * (1 / size)), machine, true).a);
    }
    return a;
}

Span span_of(const Move& move, std::size_t index, const shop::Machine& machine, const TimingOptions& options) {
    const auto limits = limits_along(shares_of(move), machine, move.kind == MoveKind::rapid);
    Span span{index, index, length(move), limits.v, limits.a, limits.j, 0, kFastest};
    if (move.kind != MoveKind::rapid && move.feed > 0) span.v = std::min(span.v, move.feed * kPerMinute);
    if (move.kind == MoveKind::arc) {
        const PlaneVec slope = in_plane(direction_at(move, 0.5), move.normal);
        const double flat = std::hypot(slope.u, slope.v);
        const double radius = flat > 0 ? radius_of(move) / (flat * flat) : 0; // as the whole speed sees it
        span.v = std::min(span.v, std::sqrt(span.a * radius));
        if (options.shared_acceleration) span.shared_radius = radius;
    }
    return span;
}

/// The speed allowed after a span, from speed v0 at its start.
double reach(const Span& span, double v0) {
    if (span.shared_radius > 0) return shared_arc_reach(span.length, std::min(v0, span.v), span.a, span.shared_radius);
    return std::sqrt(v0 * v0 + 2 * span.a * span.length);
}

double time_on(const Span& span, double v0, double v1) {
    if (span.shared_radius > 0) return shared_arc_time(span.length, v0, v1, span.v, span.a, span.shared_radius);
    return trapezoid_time(span.length, v0, v1, span.v, span.a);
}

/// All spans from one stop to the next.
class Stretch {
  public:
    Stretch(const shop::Machine& machine, const TimingOptions& options) : machine_(machine), options_(options) {}

    void add(const Move& move, std::size_t index) {
        Span span = span_of(move, index, machine_, options_);
        if (!(span.length > 0) || !(span.v > 0) || (move.kind != MoveKind::rapid && !(move.feed > 0))) return;
        const Vec3 start = direction_at(move, 0);
        if (!spans_.empty()) join(span, start);
        spans_.push_back(span);
        end_ = direction_at(move, 1);
        straight_ = straight_ && move.kind != MoveKind::arc;
    }

    /// Adds the times of the stretch and forgets it.
    void close(Timing& timing) {
        if (!spans_.empty()) {
            bound(timing);
            pass();
            spread(timing);
        }
        spans_.clear();
        speeds_.clear();
        straight_ = true;
    }

  private:
    /// The corner between the last span and the next one.
    void join(Span& next, Vec3 start) {
        constexpr double kStraightOn = 1e-9;
        const Vec3 change = start - end_;
        const double turn = 2 * std::asin(std::min(1.0, length(change) / 2));
        if (turn < kStraightOn) return;
        straight_ = false;
        Span& last = spans_.back();
        const double a = corner_acceleration(end_, start, change, machine_);
        const double room = std::min(last.length, next.length) / 2;
        const bool parabola = options_.corner == TimingOptions::CornerModel::parabola;
        const Corner corner = parabola ? parabola_corner(turn, machine_.corner_deviation, a, room)
                                       : arc_corner(turn, machine_.corner_deviation, a, room);
        next.cap = corner.speed;
        if (options_.corner == TimingOptions::CornerModel::capped || !(corner.speed > 0)) return;
        const double v = std::min({corner.speed, last.v, next.v});
        last.length -= corner.consumed;
        next.length -= corner.consumed;
        spans_.push_back(
            {last.move, next.move, corner.length, v, std::min(last.a, next.a), std::min(last.j, next.j), 0, v});
        next.cap = v;
    }

    /// Speeds at the vertices: limits, then what can be reached from before and stopped from behind.
    void pass() {
        const std::size_t n = spans_.size();
        speeds_.assign(n + 1, 0);
        for (std::size_t i = 1; i < n; ++i)
            speeds_[i] = std::min({spans_[i].cap, spans_[i - 1].v, spans_[i].v});
        for (std::size_t i = 1; i < n; ++i)
            speeds_[i] = std::min(speeds_[i], reach(spans_[i - 1], speeds_[i - 1]));
        for (std::size_t i = n; i-- > 1;)
            speeds_[i] = std::min(speeds_[i], reach(spans_[i], speeds_[i + 1]));
    }

    void spread(Timing& timing) const {
        std::vector<double> times(spans_.size());
        double sum = 0;
        for (std::size_t i = 0; i < spans_.size(); ++i)
            sum += times[i] = time_on(spans_[i], speeds_[i], speeds_[i + 1]);
        if (options_.jerk_limited && sum > 0) {
            // A straight run keeps its shares of time; of others, the first and the last move bear the added time.
            if (const double whole = exact_s_curve(); whole > 0) {
                for (double& time : times)
                    time *= whole / sum;
            } else {
                times.front() += spans_.front().a / spans_.front().j / 2;
                times.back() += spans_.back().a / spans_.back().j / 2;
            }
        }
        for (std::size_t i = 0; i < spans_.size(); ++i) {
            timing.per_move[spans_[i].move] += times[i] / 2;
            timing.per_move[spans_[i].other] += times[i] / 2;
            timing.total += times[i];
        }
    }

    /// Time of the stretch when it is one straight run at one speed limit; 0 when it is not.
    [[nodiscard]] double exact_s_curve() const {
        if (!straight_) return 0;
        double whole = 0;
        for (const Span& span : spans_) {
            if (std::abs(span.v - spans_.front().v) > 1e-9 * span.v) return 0;
            whole += span.length;
        }
        const Span& first = spans_.front();
        return s_curve_time(whole, 0, 0, first.v, first.a, first.j);
    }

    void bound(Timing& timing) const {
        double whole = 0;
        double v = 0;
        double a = 0;
        for (const Span& span : spans_) {
            whole += span.length;
            v = std::max(v, span.v);
            a = std::max(a, span.a);
        }
        timing.ramp_bound += trapezoid_time(whole, 0, 0, v, a);
    }

    const shop::Machine& machine_;
    const TimingOptions& options_;
    std::vector<Span> spans_;
    std::vector<double> speeds_;
    Vec3 end_;
    bool straight_ = true;
};

} // namespace

Timing time_of(const std::vector<Move>& moves, const shop::Machine& machine, const TimingOptions& options) {
    Timing timing;
    timing.per_move.assign(moves.size(), 0);
    Stretch stretch(machine, options);
    for (std::size_t i = 0; i < moves.size(); ++i) {
        const Move& move = moves[i];
        if (move.kind == MoveKind::dwell || move.kind == MoveKind::stop) {
            stretch.close(timing);
            const double seconds = move.kind == MoveKind::dwell && move.seconds > 0 ? move.seconds : 0;
            timing.per_move[i] += seconds;
            timing.total += seconds;
            timing.lower_bound += seconds;
            timing.ramp_bound += seconds;
            continue;
        }
        stretch.add(move, i);
        if (options.exact_stop) stretch.close(timing);
        const double way = length(move);
        const double feed =
            move.kind == MoveKind::rapid ? limits_along(shares_of(move), machine, true).v : move.feed * kPerMinute;
        if (way > 0 && feed > 0) timing.lower_bound += way / feed;
    }
    stretch.close(timing);
    return timing;
}

TimeBounds bounds_of(const std::vector<Move>& moves, const shop::Machine& machine) {
    const Timing plain = time_of(moves, machine);
    TimingOptions careful;
    careful.exact_stop = careful.jerk_limited = true;
    return {std::max(plain.lower_bound, plain.ramp_bound), time_of(moves, machine, careful).total};
}

} // namespace kerfwright::motion
