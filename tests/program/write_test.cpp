#include "base/random.hpp"
#include "program/block_writer.hpp"
#include "program/read.hpp"
#include "program/write.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <sstream>

namespace kerfwright::program {
namespace {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;

constexpr double kPi = std::numbers::pi;

Move line(Vec3 from, Vec3 to, double feed = 1000) {
    Move move;
    move.kind = MoveKind::line;
    move.from = from;
    move.to = to;
    move.feed = feed;
    move.spindle = 18000;
    return move;
}

Move rapid(Vec3 from, Vec3 to) {
    Move move;
    move.from = from;
    move.to = to;
    return move;
}

Move arc(Vec3 from, Vec3 to, Vec3 centre, bool clockwise, double feed = 1000) {
    Move move = line(from, to, feed);
    move.kind = MoveKind::arc;
    move.centre = centre;
    move.clockwise = clockwise;
    return move;
}

shop::Machine machine_with(const shop::Abilities& abilities) {
    shop::Machine machine;
    machine.abilities = abilities;
    return machine;
}

std::string written(const std::vector<Move>& moves, const shop::Abilities& abilities = {}, double clearance = 5) {
    const ProgramToWrite program{{"small job"}, 18000, clearance, {{"a part", moves}}};
    auto text = write_program(program, machine_with(abilities));
    EXPECT_TRUE(text.ok()) << (text.ok() ? "" : to_string(text.problem()));
    return text.ok() ? std::move(text).value() : std::string();
}

std::string told(const Reading& reading, const std::string& text) {
    std::string all;
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string l; std::getline(in, l);)
        lines.push_back(l);
    for (const Fault& f : reading.faults)
        all += std::to_string(f.line) + ": " + f.text + ": " +
               (f.line > 0 && f.line <= static_cast<int>(lines.size()) ? lines[static_cast<std::size_t>(f.line) - 1]
                                                                       : "") +
               "\n";
    return all;
}

/// Moves that get somewhere.
std::vector<Move> feed_moves(const Reading& reading) {
    std::vector<Move> moves;
    for (const Move& move : reading.moves)
        if (move.kind == MoveKind::line || move.kind == MoveKind::arc) moves.push_back(move);
    return moves;
}

/// A job as toolpaths are: down at a start, lines, arcs and helices, up again. Feeds change now and then.
std::vector<Move> random_moves(Random& random, int count) {
    std::vector<Move> moves;
    const auto place = [&] {
        return Vec3{random.uniform(-600, 600), random.uniform(-600, 600), random.uniform(-20, 4)};
    };
    Vec3 at{random.uniform(0, 600), random.uniform(0, 600), 5};
    Vec3 down = at;
    down.z = -1;
    moves.push_back(rapid({}, at));
    moves.push_back(line(at, down, 300));
    at = down;
    for (int i = 0; i < count; ++i) {
        const double feed = random.below(4) == 0 ? random.uniform(50, 5000) : 1000;
        if (random.below(3) == 0) {
            moves.push_back(line(at, place(), feed));
        } else {
            const double r = std::exp(random.uniform(std::log(0.002), std::log(200)));
            const double start = random.uniform(-kPi, kPi);
            const double sweep = random.below(5) == 0 ? 2 * kPi : random.uniform(1e-4, 2 * kPi);
            const bool clockwise = random.below(2) == 0;
            const double end = start + (clockwise ? -sweep : sweep);
            const Vec3 centre{at.x - r * std::cos(start), at.y - r * std::sin(start), 0};
            Vec3 to{centre.x + r * std::cos(end), centre.y + r * std::sin(end),
                    random.below(2) == 0 ? at.z : random.uniform(-20, 4)};
            if (sweep == 2 * kPi) to = {at.x, at.y, to.z};
            if (std::abs(to.x) > 5000 || std::abs(to.y) > 5000) continue;
            moves.push_back(arc(at, to, centre, clockwise, feed));
        }
        at = moves.back().to;
    }
    moves.push_back(rapid(at, {at.x, at.y, 5}));
    return moves;
}

TEST(Decimal, AlwaysAPointNeverMinusZero) {
    EXPECT_EQ(decimal(0, 3), "0.0");
    EXPECT_EQ(decimal(-0, 3), "0.0");
    EXPECT_EQ(decimal(-1, 3), "-0.001");
    EXPECT_EQ(decimal(1200, 3), "1.2");
    EXPECT_EQ(decimal(1234567, 4), "123.4567");
    EXPECT_EQ(decimal(-12000, 3), "-12.0");
    EXPECT_EQ(decimal(5, 1), "0.5");
}

TEST(Comments, LoseWhatTheFormatForbids) {
    EXPECT_EQ(plain_comment("6 mm (1/4 in): 80% \u00d7 2; \u00b10.1 \u00e9t\u00e9"),
              "6 mm [1/4 in] - 80pct x 2, +/-0.1 ?t?");
    EXPECT_EQ(plain_comment("a\nb\tc\x7f"), "a b c");
}

TEST(Write, ASmallProgramWordForWord) {
    const std::vector<Move> moves{
        rapid({0, 0, 5}, {10, 20, 5}),
        rapid({10, 20, 5}, {10, 20, 1}),
        line({10, 20, 1}, {10, 20, -3}, 300),
        line({10, 20, -3}, {40, 20, -3}, 1500.04),
        arc({40, 20, -3}, {50, 30, -3}, {40, 30, 0}, false, 1500),
        line({50, 30, -3}, {50, 30.0004, -3}, 1500), // shorter than the resolution
        line({50, 30, -3}, {50, 60, -2.5}, 1500),
        rapid({50, 60, -2.5}, {0, 0, 5}),
    };
    EXPECT_EQ(written(moves), "(small job)\n"
                              "G21 G17 G90 G94 G40 G49 G80 G54\n"
                              "G0 Z5.0\n"
                              "S18000 M3\n"
                              "G4 P5.0\n"
                              "(a part)\n"
                              "X10.0 Y20.0\n"
                              "Z1.0\n"
                              "G1 Z-3.0 F300.0\n"
                              "X40.0 F1500.0\n"
                              "G3 X50.0 Y30.0 I0.0 J10.0\n"
                              "G1 Y60.0 Z-2.5\n"
                              "G0 Z5.0\n"
                              "X0.0 Y0.0\n"
                              "M5\n"
                              "M2\n");
}

TEST(Write, AbilitiesAreRespected) {
    const std::vector<Move> moves{rapid({0, 0, 5}, {10, 0, 5}), line({10, 0, 5}, {10, 0, -1}, 300),
                                  arc({10, 0, -1}, {10, 0, -2}, {0, 0, 0}, true),
                                  arc({10, 0, -2}, {-10, 0, -2}, {0, 0, 0}, false), rapid({-10, 0, -2}, {-10, 0, 5})};
    const auto has = [](const std::string& text, const char* what) { return text.find(what) != std::string::npos; };
    shop::Abilities able;
    EXPECT_TRUE(has(written(moves, able), "G2 X-10.0 Y0.0 Z-1.5 I-10.0 J0.0"));
    able.helical_arcs = false;
    std::string text = written(moves, able);
    EXPECT_FALSE(has(text, "G2 "));
    EXPECT_TRUE(has(text, "G3 X-10.0 Y0.0 I-10.0 J0.0"));
    able.arcs = false;
    text = written(moves, able);
    EXPECT_FALSE(has(text, "G2 ") || has(text, "G3") || has(text, " I"));
    // Chords within 0.002 mm of the circle: ceil(pi / acos(1 - e / r)) = 158 and 79 (and the vertical lines).
    const Reading chords = read_program(text);
    EXPECT_NEAR(static_cast<double>(feed_moves(chords).size()), 158 + 79 + 1, 2);
    for (const Move& move : feed_moves(chords)) {
        if (move.from.z > 0) continue;
        EXPECT_NEAR(std::hypot((move.from.x + move.to.x) / 2, (move.from.y + move.to.y) / 2), 10, 0.0035);
    }
    able = {};
    able.line_numbers = true;
    EXPECT_TRUE(has(written(moves, able), "N10 G21 G17 G90 G94 G40 G49 G80 G54\nN20 G0 Z5.0\n"));
    able = {};
    able.comments = ";";
    EXPECT_TRUE(has(written(moves, able), "; small job\n"));
    able.comments = "";
    EXPECT_FALSE(has(written(moves, able), "job"));
    able = {};
    able.inches = true;
    able.decimals = 4;
    text = written(moves, able);
    EXPECT_TRUE(has(text, "G20 "));
    EXPECT_TRUE(has(text, "G0 Z0.1969\n"));
    EXPECT_TRUE(has(text, "F39.37"));
    able = {};
    able.dwell = false;
    EXPECT_FALSE(has(written(moves, able), "G4 P"));
    EXPECT_TRUE(has(written(moves, able), "(wait 5.0 s here)"));
    able = {};
    able.longest_line = 36;
    able.line_numbers = true;
    std::istringstream in(written(moves, able));
    for (std::string l; std::getline(in, l);)
        EXPECT_LE(l.size() + 1, 36u) << l;
}

TEST(Write, NothingMovesSidewaysBeforeZIsUp) {
    Random random(7);
    for (int i = 0; i < 20; ++i) {
        const Reading reading = read_program(written(random_moves(random, 20)), {});
        ASSERT_FALSE(reading.moves.empty());
        EXPECT_EQ(reading.moves.front().to, (Vec3{0, 0, 5}));
        for (const Move& move : reading.moves) {
            if (move.kind != MoveKind::rapid) continue;
            const bool sideways = move.from.x != move.to.x || move.from.y != move.to.y;
            EXPECT_TRUE(!sideways || move.from.z == move.to.z); // no slanting rapids
        }
        EXPECT_TRUE(reading.ended);
        EXPECT_EQ(reading.moves.back().to.z, 5);
    }
}

TEST(Write, ModalWordsAreSaidOnce) {
    const std::string text =
        written({rapid({0, 0, 5}, {1, 1, 5}), line({1, 1, 5}, {1, 1, 0}), line({1, 1, 0}, {2, 1, 0}),
                 line({2, 1, 0}, {2, 3, 0}), rapid({2, 3, 0}, {2, 3, 5})});
    EXPECT_EQ(std::count(text.begin(), text.end(), 'F'), 1);
    EXPECT_NE(text.find("X2.0\nY3.0\n"), std::string::npos);
}

TEST(Write, SpeedsThatChange) {
    std::vector<Move> moves{rapid({0, 0, 5}, {1, 1, 5}), line({1, 1, 5}, {1, 1, 0}), line({1, 1, 0}, {2, 1, 0}),
                            rapid({2, 1, 0}, {2, 1, 5})};
    moves[2].spindle = 12000;
    const Reading reading = read_program(written(moves), {});
    EXPECT_EQ(feed_moves(reading)[0].spindle, 18000);
    EXPECT_EQ(feed_moves(reading)[1].spindle, 12000);
}

TEST(Write, RefusesWhatCannotBeWritten) {
    const auto problem = [](const std::vector<Move>& moves, double clearance = 5, int longest = 80) {
        shop::Abilities able;
        able.longest_line = longest;
        const auto text = write_program({{}, 18000, clearance, {{"a part", moves}}}, machine_with(able));
        return text.ok() ? std::string() : text.problem().what;
    };
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const auto says = [](const std::string& text, const char* what) { return text.find(what) != std::string::npos; };
    EXPECT_EQ(problem({}), "");
    EXPECT_TRUE(says(problem({rapid({}, {nan, 0, 5})}), "not finite"));
    EXPECT_TRUE(says(problem({rapid({}, {1e4, 0, 5})}), "beyond 9999"));
    EXPECT_TRUE(says(problem({}, nan), "clearance"));
    EXPECT_TRUE(says(problem({line({0, 0, 5}, {1, 0, 5}, 0)}), "feed"));
    EXPECT_TRUE(says(problem({line({0, 0, 5}, {1, 0, 5}, nan)}), "feed"));
    EXPECT_TRUE(says(problem({line({0, 0, 0}, {1, 0, 0})}), "begins at"));
    EXPECT_TRUE(says(problem({rapid({}, {0, 0, 1}), line({3, 0, 1}, {1, 0, 0})}), "move 2 of \"a part\""));
    EXPECT_TRUE(says(problem({rapid({}, {0, 0, 5}), arc({0, 0, 5}, {1, 0, 5}, {0, 0, 0}, true)}), "radius"));
    EXPECT_TRUE(says(problem({rapid({}, {0, 0, 5}), arc({0, 0, 5}, {1, 0, 5}, {nan, 0, 0}, true)}), "centre"));
    EXPECT_TRUE(says(
        problem({rapid({}, {-1234.567, -1234.567, 5}), arc({-1234.567, -1234.567, 5}, {-1214.567, -1234.567, -4.321},
                                                           {-1224.567, -1234.567, 0}, true, 1234.5)},
                5, 24),
        "longest line"));
    EXPECT_EQ(problem({rapid({}, {-1234.567, -1234.567, 5})}, 5, 32), "");
}

// What NISTIR 6556 allows is 0.002 mm. Plain rounding to three decimals breaks it in about one arc of 5000.
TEST(Write, RadiusRuleHoldsOnFourHundredThousandArcs) {
    Random random(20);
    constexpr int kArcs = 400'000;
    std::vector<Move> moves{rapid({}, {0, 0, 5})};
    Vec3 at{0, 0, 5};
    for (int i = 0; i < kArcs; ++i) {
        const double r = random.uniform(0.05, 300);
        const double start = random.uniform(-kPi, kPi);
        const double sweep = random.uniform(0.02, 2 * kPi);
        const bool clockwise = random.below(2) == 0;
        const Vec3 centre{random.uniform(-300, 300), random.uniform(-300, 300), 0};
        const double end = start + (clockwise ? -sweep : sweep);
        const Vec3 from{centre.x + r * std::cos(start), centre.y + r * std::sin(start), 5};
        const Vec3 to{centre.x + r * std::cos(end), centre.y + r * std::sin(end), 5};
        moves.push_back(rapid(at, from));
        moves.push_back(arc(from, to, centre, clockwise));
        at = to;
    }
    const std::string text = written(moves);
    const Reading reading = read_program(text, {});
    EXPECT_EQ(told(reading, text), "");
    std::size_t arcs = 0;
    double worst = 0;
    for (const Move& move : reading.moves) {
        if (move.kind != MoveKind::arc) continue;
        ++arcs;
        worst = std::max(worst, std::abs(std::hypot(move.from.x - move.centre.x, move.from.y - move.centre.y) -
                                         std::hypot(move.to.x - move.centre.x, move.to.y - move.centre.y)));
    }
    EXPECT_GE(arcs, static_cast<std::size_t>(kArcs));
    EXPECT_LE(worst, 0.00142); // 2 sqrt(2) half steps
    std::printf("arcs: %zu, largest difference of radii: %.5f mm\n", arcs, worst);
}

/// Largest distance of points along `asked` from the polyline through `got`, both as chains of the same run.
double deviation(const std::vector<Move>& asked, const std::vector<Move>& got) {
    // Walk both by share of length; compare each asked point with the nearest one of the written path around there.
    std::vector<Vec3> path;
    for (const Move& move : got) {
        // Chords of the comparison itself within 5e-4 mm.
        const int parts =
            move.kind == MoveKind::arc ? 1 + static_cast<int>(sweep_of(move) * std::sqrt(radius_of(move) / 4e-3)) : 1;
        if (path.empty()) path.push_back(move.from);
        for (int i = 1; i <= parts; ++i)
            path.push_back(point_at(move, static_cast<double>(i) / parts));
    }
    double worst = 0;
    for (const Move& move : asked) {
        for (int i = 0; i <= 16; ++i) {
            const Vec3 p = point_at(move, i / 16.0);
            double least = 1e300;
            for (std::size_t k = 1; k < path.size(); ++k) {
                const Vec3 d = path[k] - path[k - 1];
                const double t = dot(d, d) > 0 ? std::clamp(dot(p - path[k - 1], d) / dot(d, d), 0.0, 1.0) : 0;
                least = std::min(least, length(p - (path[k - 1] + d * t)));
            }
            worst = std::max(worst, least);
        }
    }
    return worst;
}

RC_GTEST_PROP(Write, ReadsBackAsTheSameMovesWithoutFaults, (std::uint64_t seed)) {
    Random random(seed);
    shop::Abilities able;
    able.arcs = random.below(4) != 0;
    able.helical_arcs = random.below(3) != 0;
    able.inches = random.below(3) == 0;
    able.decimals = able.inches ? 4 + static_cast<int>(random.below(2)) : 3 + static_cast<int>(random.below(2));
    able.line_numbers = random.below(2) == 0;
    const char* styles[] = {"()", ";", ""};
    able.comments = styles[random.below(3)];
    const std::vector<Move> moves = random_moves(random, 8);
    const std::string text = written(moves, able);
    const Reading reading = read_program(text, {});
    if (!reading.faults.empty()) RC_FAIL(told(reading, text));
    RC_ASSERT(reading.ended);
    const double step = std::pow(10, -able.decimals) * (able.inches ? 25.4 : 1);
    std::vector<Move> asked;
    for (const Move& move : moves)
        if (move.kind != MoveKind::rapid) asked.push_back(move);
    const std::vector<Move> got = feed_moves(reading);
    RC_ASSERT(length(got.back().to - asked.back().to) <= step);
    // Ends and centres are rounded; chords and lines instead of arcs add the arc tolerance.
    RC_ASSERT(deviation(asked, got) <= 2 * step + 0.0027);
    RC_ASSERT(deviation(got, asked) <= 2 * step + 0.0027);
    for (const Move& move : got)
        RC_ASSERT(move.feed > 49 && move.spindle == 18000);
}

RC_GTEST_PROP(Write, ArcsOfAnySizeStayOnTheirCircle, (std::uint64_t seed)) {
    Random random(seed);
    const double r = std::exp(random.uniform(std::log(0.0005), std::log(9000)));
    const double start = random.uniform(-kPi, kPi);
    const double sweep = random.uniform(0, std::min(2 * kPi, 5000 / r));
    const bool clockwise = random.below(2) == 0;
    const Vec3 from{random.uniform(-500, 500), random.uniform(-500, 500), 5};
    const Vec3 centre{from.x - r * std::cos(start), from.y - r * std::sin(start), 0};
    const double end = start + (clockwise ? -sweep : sweep);
    const Vec3 to{centre.x + r * std::cos(end), centre.y + r * std::sin(end), 5};
    if (length(to - from) < 1e-6 || std::abs(to.x) > 9000 || std::abs(to.y) > 9000 || std::abs(centre.x) > 9000 ||
        std::abs(centre.y) > 9000)
        return;
    const std::string text = written({rapid({}, from), arc(from, to, centre, clockwise)});
    const Reading reading = read_program(text, {});
    if (!reading.faults.empty()) RC_FAIL(told(reading, text));
    double run = 0;
    for (const Move& move : feed_moves(reading)) {
        run += length(move);
        for (int i = 0; i <= 64; ++i) {
            const Vec3 p = point_at(move, i / 64.0);
            RC_ASSERT(std::abs(std::hypot(p.x - centre.x, p.y - centre.y) - r) <= 0.0032);
        }
    }
    // Rounding to 0.001 mm moves ends and centre by 0.0007 mm each: both ends along the arc, and the radius by 0.0015,
    // which counts over the whole sweep. Small arcs may become chords within the arc tolerance.
    RC_ASSERT(std::abs(run - r * sweep) <= 0.003 + 0.0015 * sweep + 1e-3 * r * sweep);
}

} // namespace
} // namespace kerfwright::program
