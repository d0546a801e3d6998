// Worked examples, all computed from the textbook formulas named in motion/profile.hpp with F = 100 mm/s,
// a = 500 mm/s², j = 5000 mm/s³ unless said; checked once more by hand or by integration.

#include "base/random.hpp"
#include "motion/profile.hpp"
#include "motion/timing.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>
#include <numeric>

namespace kerfwright::motion {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kF = 6000; // mm/min

shop::Machine even_machine() {
    shop::Machine machine;
    for (shop::Axis& axis : machine.axes)
        axis = {1000, 60000, 60000, 500, 5000};
    machine.corner_deviation = 0.05;
    return machine;
}

Move line(Vec3 from, Vec3 to, double feed = kF) {
    Move move;
    move.kind = MoveKind::line;
    move.from = from;
    move.to = to;
    move.feed = feed;
    return move;
}

Move circle(double r, double rise = 0, double feed = kF) {
    Move move = line({r, 0, 0}, {r, 0, rise}, feed);
    move.kind = MoveKind::arc;
    return move;
}

std::vector<Move> polyline(const std::vector<Vec3>& points, double feed = kF) {
    std::vector<Move> moves;
    for (std::size_t i = 1; i < points.size(); ++i)
        moves.push_back(line(points[i - 1], points[i], feed));
    return moves;
}

double time(const std::vector<Move>& moves, const TimingOptions& options = {},
            const shop::Machine& machine = even_machine()) {
    const Timing timing = time_of(moves, machine, options);
    EXPECT_EQ(timing.per_move.size(), moves.size());
    EXPECT_NEAR(std::accumulate(timing.per_move.begin(), timing.per_move.end(), 0.0), timing.total,
                1e-9 * (1 + timing.total));
    EXPECT_LE(timing.lower_bound, timing.total + 1e-9);
    if (options.corner == TimingOptions::CornerModel::capped) {
        EXPECT_LE(timing.ramp_bound, timing.total + 1e-9);
    }
    return timing.total;
}

constexpr TimingOptions kJerk{false, true};

TEST(Timing, T1_T2_TrapezoidFromRestToRest) {
    EXPECT_NEAR(time({line({}, {100, 0, 0})}), 1.2, 1e-6);
    EXPECT_NEAR(time({line({}, {10, 0, 0})}), 0.282843, 1e-6);
}

TEST(Timing, T3_T6_SCurves) {
    EXPECT_NEAR(time({line({}, {100, 0, 0})}, kJerk), 1.3, 1e-6);
    EXPECT_NEAR(time({line({}, {20, 0, 0})}, kJerk), 0.512311, 1e-6);
    EXPECT_NEAR(time({line({}, {2, 0, 0})}, kJerk), 0.233921, 1e-6);
    EXPECT_NEAR(time({line({}, {50, 0, 0}, 1800)}, kJerk), 1.821586, 1e-6);
}

TEST(Timing, T7_LookAheadJoinsCollinearLines) {
    std::vector<Vec3> points;
    for (int i = 0; i <= 10; ++i)
        points.push_back({static_cast<double>(i), 0, 0});
    EXPECT_NEAR(time(polyline(points)), 0.282843, 1e-6);
    EXPECT_NEAR(time(polyline(points), kJerk), time({line({}, {10, 0, 0})}, kJerk), 1e-9);
    EXPECT_NEAR(time(polyline(points), {true, false}), 10 * 2 * std::sqrt(1 / 500.0), 1e-9);
}

TEST(Timing, T8_T11_TheSameCornerByFourModels) {
    const std::vector<Move> moves = polyline({{0, 0, 0}, {50, 0, 0}, {50, 50, 0}});
    EXPECT_NEAR(time(moves, {true, false}), 1.4, 1e-6);
    EXPECT_NEAR(time(moves), 1.370132, 1e-6);
    EXPECT_NEAR(time(moves, {false, false, TimingOptions::CornerModel::arc}), 1.392124, 1e-6);
    EXPECT_NEAR(time(moves, {false, false, TimingOptions::CornerModel::parabola}), 1.387456, 1e-6);
    const Corner arc = arc_corner(kPi / 2, 0.05, 500);
    EXPECT_NEAR(arc.speed, 7.768870, 1e-6);
    EXPECT_NEAR(arc.consumed, 0.120711, 1e-6);
    EXPECT_NEAR(arc.length, 0.189612, 1e-6);
    const Corner parabola = parabola_corner(kPi / 2, 0.05, 500);
    EXPECT_NEAR(parabola.speed, 10, 1e-9);
    EXPECT_NEAR(parabola.consumed, 0.141421, 1e-6);
}

TEST(Timing, CornerSpeedsByAngle) {
    const double table[][3] = {{5, 161.993, 162.108}, {10, 80.900, 81.131}, {30, 26.621, 27.321}, {45, 17.419, 18.478},
                               {60, 12.712, 14.142},  {90, 7.769, 10.000},  {120, 5.000, 8.165},  {135, 3.937, 7.654},
                               {150, 2.955, 7.321},   {170, 1.545, 7.098}};
    for (const auto& [degrees, arc, parabola] : table) {
        EXPECT_NEAR(arc_corner(degrees * kPi / 180, 0.05, 500).speed, arc, 6e-4);
        EXPECT_NEAR(parabola_corner(degrees * kPi / 180, 0.05, 500).speed, parabola, 6e-4);
    }
    EXPECT_NEAR(arc_corner(kPi, 0.05, 500).speed, 0, 1e-6);
}

TEST(Timing, T12_LimitsAtVerticesGoBothWays) {
    // Three lines of 5, 0.5 and 5 mm with caps of 60 and 20 mm/s: after both passes 30 and 20.
    const double times[] = {trapezoid_time(5, 0, 30, 100, 500), trapezoid_time(0.5, 30, 20, 100, 500),
                            trapezoid_time(5, 20, 0, 100, 500)};
    EXPECT_NEAR(times[0], 0.157256, 1e-6);
    EXPECT_NEAR(times[1], 0.020000, 1e-6);
    EXPECT_NEAR(times[2], 0.167846, 1e-6);
    // The same by the planner: straight on at the first vertex, and a turn that allows 20 mm/s at the second. Along
    // the third line, at 30 degrees, the axes give 500 / cos(30) together.
    const double cosine = std::cos(kPi / 12);
    shop::Machine machine = even_machine();
    machine.corner_deviation = 20 * 20 / 500.0 * (1 - cosine) / cosine;
    const Vec3 b{5.5, 0, 0};
    const Vec3 c = b + Vec3{std::cos(kPi / 6), std::sin(kPi / 6), 0} * 5;
    const Timing timing = time_of(polyline({{0, 0, 0}, {5, 0, 0}, b, c}), machine);
    EXPECT_NEAR(timing.per_move[0], times[0], 1e-9);
    EXPECT_NEAR(timing.per_move[1], times[1], 1e-9);
    EXPECT_NEAR(timing.per_move[2], trapezoid_time(5, 20, 0, 100, 500 / std::cos(kPi / 6)), 1e-9);
}

TEST(Timing, T13_Circles) {
    const std::vector<Move> lap{circle(10)};
    EXPECT_NEAR(20 * kPi / std::sqrt(5000.0), 0.888577, 1e-6); // steady lap
    EXPECT_NEAR(time(lap), 1.029998, 1e-6);
    EXPECT_NEAR(time(lap, {false, false, TimingOptions::CornerModel::capped, true}), 1.037247, 1e-6);
    // Ramp of the shared limit: length pi r / 4, time sqrt(r / a) 2.622057554 / 2.
    const double ramp = kPi * 10 / 4;
    EXPECT_NEAR(shared_arc_time(ramp, 0, std::sqrt(5000.0), std::sqrt(5000.0), 500, 10),
                std::sqrt(10 / 500.0) * 2.622057554 / 2, 1e-6);
    EXPECT_NEAR(shared_arc_reach(ramp, 0, 500, 10), std::sqrt(5000.0), 1e-9);
    // Short arcs that never get to full speed, and arcs entered at speed, against a fine integration.
    const auto integrated = [](double length, double v0, double v1, double v, double acceleration, double r) {
        constexpr int kSteps = 200'000;
        double sum = 0;
        for (int i = 0; i < kSteps; ++i) {
            const double s = (i + 0.5) * length / kSteps;
            const double u = std::min(
                {v, shared_arc_reach(s, v0, acceleration, r), shared_arc_reach(length - s, v1, acceleration, r)});
            sum += length / kSteps / u;
        }
        return sum;
    };
    EXPECT_NEAR(shared_arc_time(3, 0, 10, 60, 500, 10), integrated(3, 0, 10, 60, 500, 10), 2e-4);
    EXPECT_NEAR(shared_arc_time(20, 30, 10, 50, 500, 10), integrated(20, 30, 10, 50, 500, 10), 1e-6);
}

TEST(Timing, T14_EachAxisHasItsLimits) {
    shop::Machine machine = even_machine();
    machine.axes[0].feed_max = machine.axes[1].feed_max = 6000;
    machine.axes[1].acceleration = 250;
    EXPECT_NEAR(time({line({}, {30, 40, 0})}, {}, machine), 0.82, 1e-6);
}

TEST(Timing, T15_FeedGoesAlongTheHelix) {
    const Timing timing = time_of({circle(10, 5, 600)}, even_machine());
    EXPECT_NEAR(timing.lower_bound, 6.303048, 1e-6);
    EXPECT_GT(timing.total, 6.303048);
}

TEST(Timing, T16_Raster) {
    std::vector<Vec3> points{{0, 0, 0}};
    for (int i = 0; i < 20; ++i) {
        points.push_back({i % 2 == 0 ? 100.0 : 0.0, i * 3.0, 0});
        if (i < 19) points.push_back({i % 2 == 0 ? 100.0 : 0.0, (i + 1) * 3.0, 0});
    }
    EXPECT_NEAR(time_of(polyline(points), even_machine()).lower_bound, 20.57, 1e-9);
    EXPECT_NEAR(time(polyline(points), {true, false}), 26.943467, 1e-5);
    EXPECT_NEAR(time(polyline(points)), 25.844168, 1e-5);
}

TEST(Timing, T18_InverseTime) {
    Move move = line({}, {20, 0, 0}, 40); // F2: 30 s for 20 mm
    move.seconds = 30;
    EXPECT_NEAR(time_of({move}, even_machine()).lower_bound, 30, 1e-9);
    EXPECT_NEAR(time({move}), 30, 0.01); // and the ramps
}

TEST(Timing, T19_T20_ChordsOfACircleAreAsFastAsTheArc) {
    EXPECT_NEAR(arc_corner(5 * kPi / 180, 0.01, 500).speed, 72.445, 1e-3);
    EXPECT_NEAR(arc_corner(5 * kPi / 180, 10 * (1 - std::cos(2.5 * kPi / 180)), 500).speed, 70.677, 1e-3);
    // Chords of a circle within e: ceil(pi / acos(1 - e / r)).
    const double table[][3] = {{10, 0.01, 71}, {50, 0.01, 158}, {5, 0.05, 23}};
    for (const auto& [r, e, count] : table)
        EXPECT_EQ(std::ceil(kPi / std::acos(1 - e / r)), count);
    std::vector<Vec3> points;
    for (int i = 0; i <= 72; ++i)
        points.push_back({10 * std::cos(i * 5 * kPi / 180), 10 * std::sin(i * 5 * kPi / 180), 0});
    // Lines have what both axes give together, arcs what the weaker one gives in every direction.
    EXPECT_NEAR(time(polyline(points)), time({circle(10)}), 0.06);
    EXPECT_LE(time(polyline(points)), time({circle(10)}));
}

TEST(Timing, DwellsStopsAndPeople) {
    Move dwell;
    dwell.kind = MoveKind::dwell;
    dwell.seconds = 2.5;
    Move stop;
    stop.kind = MoveKind::stop;
    const Timing timing =
        time_of({line({}, {10, 0, 0}), dwell, line({10, 0, 0}, {20, 0, 0}), stop, line({20, 0, 0}, {30, 0, 0})},
                even_machine());
    EXPECT_NEAR(timing.total, 2.5 + 3 * 0.282843, 1e-5);
    EXPECT_NEAR(timing.per_move[1], 2.5, 1e-12);
    EXPECT_EQ(timing.per_move[3], 0);
    EXPECT_EQ(time_of({}, even_machine()).total, 0);
    EXPECT_EQ(time_of({line({}, {10, 0, 0}, 0)}, even_machine()).total, 0); // no feed: a fault elsewhere
}

/// The same passes on a fine grid of places along the way, brute force.
double simulated(const std::vector<Move>& moves, const shop::Machine& machine) {
    constexpr int kParts = 2000;
    std::vector<double> limit{0}; // squares, at grid points
    std::vector<double> step;
    std::vector<double> ramp;
    const double axis = machine.axes[0].acceleration;
    const auto along = [&](Vec3 u) { return axis / std::max(std::abs(u.x), std::abs(u.y)) * length(u); };
    for (std::size_t i = 0; i < moves.size(); ++i) {
        const double whole = length(moves[i]);
        double v = moves[i].feed / 60;
        if (moves[i].kind == MoveKind::arc) v = std::min(v, std::sqrt(axis * radius_of(moves[i])));
        for (int k = 1; k <= kParts; ++k) {
            step.push_back(whole / kParts);
            ramp.push_back(moves[i].kind == MoveKind::arc ? axis : along(direction_at(moves[i], 0)));
            limit.push_back(v * v);
        }
        const std::size_t begin = limit.size() - kParts - 1;
        limit[begin] = std::min(limit[begin], v * v);
        if (i + 1 == moves.size()) break;
        const Vec3 before = direction_at(moves[i], 1);
        const Vec3 after = direction_at(moves[i + 1], 0);
        const double turn = std::atan2(length(after - before * dot(before, after)), dot(before, after));
        if (turn > 1e-9) {
            const Vec3 left{-before.y, before.x, 0};
            double a = 1e300;
            for (const double share : {0.0, 0.5, 1.0}) { // the normal turns with the corner
                const double angle = share * turn * (dot(left, after) > 0 ? 1 : -1);
                a = std::min(a, along(left * std::cos(angle) - before * std::sin(angle)));
            }
            const double room = std::min(whole, length(moves[i + 1])) / 2;
            const double cap = arc_corner(turn, machine.corner_deviation, a, room).speed;
            limit.back() = std::min(limit.back(), cap * cap);
        }
    }
    limit.back() = 0;
    for (std::size_t i = 0; i < step.size(); ++i)
        limit[i + 1] = std::min(limit[i + 1], limit[i] + 2 * ramp[i] * step[i]);
    for (std::size_t i = step.size(); i-- > 0;)
        limit[i] = std::min(limit[i], limit[i + 1] + 2 * ramp[i] * step[i]);
    double sum = 0;
    for (std::size_t i = 0; i < step.size(); ++i)
        sum += 2 * step[i] / (std::sqrt(limit[i]) + std::sqrt(limit[i + 1]));
    return sum;
}

std::vector<Move> random_path(Random& random) {
    std::vector<Move> moves;
    Vec3 at;
    const int count = 1 + static_cast<int>(random.below(30));
    for (int i = 0; i < count; ++i) {
        const double size = std::exp(random.uniform(std::log(0.05), std::log(80)));
        const double angle = random.uniform(-kPi, kPi);
        const double feed = random.uniform(1500, 9000); // slower, and ramps are finer than the grid of the check
        if (random.below(3) == 0) {
            Move arc = line(at, at, feed);
            arc.kind = MoveKind::arc;
            arc.centre = at + Vec3{size * std::cos(angle), size * std::sin(angle), 0};
            const double sweep = random.uniform(0.1, 6);
            const Vec3 spoke = at - arc.centre;
            arc.to = arc.centre + Vec3{spoke.x * std::cos(sweep) - spoke.y * std::sin(sweep),
                                       spoke.x * std::sin(sweep) + spoke.y * std::cos(sweep), 0};
            moves.push_back(arc);
        } else {
            moves.push_back(line(at, at + Vec3{size * std::cos(angle), size * std::sin(angle), 0}, feed));
        }
        at = moves.back().to;
    }
    return moves;
}

RC_GTEST_PROP(Timing, AgreesWithABruteForcePass, (std::uint64_t seed)) {
    Random random(seed);
    const std::vector<Move> moves = random_path(random);
    const shop::Machine machine = even_machine();
    const double expected = simulated(moves, machine);
    RC_ASSERT(std::abs(time(moves, {}, machine) - expected) <= 2e-3 * expected);
}

TEST(Timing, BoundsLieAroundTheTime) {
    // One line: 1 s without ramps, 1.2 s with them, 1.3 s as an S-curve (T1, T3).
    const TimeBounds one = bounds_of({line({}, {100, 0, 0})}, even_machine());
    EXPECT_NEAR(one.fastest, 1.2, 1e-6);
    EXPECT_NEAR(one.slowest, 1.3, 1e-6);
    // The corner of T8: one straight line of 100 at the diagonal's acceleration, or two lines from rest to rest.
    const TimeBounds corner = bounds_of(polyline({{0, 0, 0}, {50, 0, 0}, {50, 50, 0}}), even_machine());
    EXPECT_NEAR(corner.fastest, 1.2, 1e-6);
    EXPECT_NEAR(corner.slowest, 1.6, 1e-6);
    EXPECT_EQ(bounds_of({}, even_machine()).slowest, 0);
}

// Closed forms from rest to rest against the search for the largest speed, which other ends of the curve take.
TEST(Timing, SCurvesFromRestAreClosed) {
    for (const double length : {0.01, 0.3, 2.0, 9.9, 10.0, 20.0, 29.0, 31.0, 100.0})
        for (const double v : {5.0, 49.0, 51.0, 100.0})
            EXPECT_NEAR(s_curve_time(length, 0, 0, v, 500, 5000), s_curve_time(length, 1e-9, 0, v, 500, 5000), 1e-5)
                << length << " " << v;
}

RC_GTEST_PROP(Timing, BoundsHoldForAnyPath, (std::uint64_t seed)) {
    Random random(seed);
    const std::vector<Move> moves = random_path(random);
    const TimeBounds bounds = bounds_of(moves, even_machine());
    RC_ASSERT(bounds.fastest <= time(moves) + 1e-9);
    RC_ASSERT(time(moves) <= bounds.slowest + 1e-9);
    RC_ASSERT(time(moves, kJerk) <= bounds.slowest + 1e-9);
    RC_ASSERT(time(moves, {true, false}) <= bounds.slowest + 1e-9);
}

RC_GTEST_PROP(Timing, MoreCautionNeverTakesLessTime, (std::uint64_t seed)) {
    Random random(seed);
    const std::vector<Move> moves = random_path(random);
    const double plain = time(moves);
    RC_ASSERT(time(moves, {true, false}) >= plain - 1e-9);
    RC_ASSERT(time(moves, kJerk) >= plain - 1e-9);
    RC_ASSERT(time(moves, {false, false, TimingOptions::CornerModel::capped, true}) >= plain - 1e-9);
    shop::Machine slower = even_machine();
    for (shop::Axis& axis : slower.axes)
        axis.acceleration /= 2;
    RC_ASSERT(time(moves, {}, slower) >= plain - 1e-9);
    std::vector<Move> split;
    for (const Move& move : moves) {
        Move first = move;
        Move second = move;
        first.to = second.from = point_at(move, 0.5);
        split.push_back(first);
        split.push_back(second);
    }
    // Corners may only get slower by the shorter sides.
    RC_ASSERT(time(split) >= plain - 1e-6 * plain);
}

RC_GTEST_PROP(Timing, SCurvesHoldTheirEnds, (std::uint64_t seed)) {
    Random random(seed);
    const double length = std::exp(random.uniform(std::log(0.01), std::log(500)));
    const double v = random.uniform(5, 200);
    const double a = random.uniform(50, 3000);
    const double j = random.uniform(500, 100'000);
    const double t = s_curve_time(length, 0, 0, v, a, j);
    RC_ASSERT(t >= trapezoid_time(length, 0, 0, v, a) - 1e-9);
    RC_ASSERT(t <= trapezoid_time(length, 0, 0, v, a) + 2 * a / j + 4 * std::cbrt(length / (2 * j)));
    RC_ASSERT(std::abs(s_curve_time(length, 0, 0, v, a, 1e12) - trapezoid_time(length, 0, 0, v, a)) < 1e-3);
    // A longer way takes longer; there and back is the same.
    RC_ASSERT(s_curve_time(length * 1.01, 0, 0, v, a, j) >= t);
    const double v1 = random.uniform(0, v);
    RC_ASSERT(std::abs(s_curve_time(length, 0, v1, v, a, j) - s_curve_time(length, v1, 0, v, a, j)) < 1e-9);
}

TEST(Timing, AMillionMoves) {
    std::vector<Move> moves;
    Vec3 at;
    for (int i = 0; i < 1'000'000; ++i) {
        const Vec3 to{at.x + 0.3 * std::cos(i * 1e-3), at.y + 0.3 * std::sin(i * 1e-3), 0};
        moves.push_back(line(at, to));
        at = to;
    }
    EXPECT_GT(time_of(moves, even_machine()).total, 3000);
}

} // namespace
} // namespace kerfwright::motion
