// Check values from Kramer, Proctor, Messina: The NIST RS274NGC Interpreter - Version 3, NISTIR 6556 (2000). Where it
// prints no value the expected one was computed from its rules, and the test says so.

#include "program/read.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <string>

namespace kerfwright::program {
namespace {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;

ReadOptions from(Vec3 start) {
    ReadOptions options;
    options.start = start;
    options.past_end = true; // lines as if typed one by one: no end is asked for
    options.origins_known = true;
    return options;
}

/// Faults but for the missing end of the program.
std::vector<Fault> faults_of(const Reading& reading) {
    std::vector<Fault> faults;
    for (const Fault& fault : reading.faults)
        if (fault.text.find("the program has no end") == std::string::npos) faults.push_back(fault);
    return faults;
}

std::string told(const std::vector<Fault>& faults) {
    std::string text;
    for (const Fault& f : faults)
        text += std::to_string(f.line) + ":" + std::to_string(f.column) + ": " + f.text + "\n";
    return text;
}

Reading read_good(std::string_view text, const ReadOptions& options = from({})) {
    Reading reading = read_program(text, options);
    EXPECT_EQ(told(faults_of(reading)), "") << text;
    return reading;
}

/// The one fault of a text; its kind, line and column are looked at by the caller.
Fault the_fault(std::string_view text, const ReadOptions& options = from({})) {
    const auto faults = faults_of(read_program(text, options));
    EXPECT_EQ(faults.size(), 1u) << text << "\n" << told(faults);
    return faults.empty() ? Fault{} : faults.front();
}

double value_of(const std::string& expression) {
    const Reading reading = read_good("#1=" + expression);
    return reading.parameters.count(1) != 0 ? reading.parameters.at(1) : std::nan("");
}

void expect_move(const Reading& reading, std::size_t i, MoveKind kind, Vec3 to, double tolerance = 1e-9) {
    ASSERT_LT(i, reading.moves.size());
    const Move& move = reading.moves[i];
    EXPECT_EQ(static_cast<int>(move.kind), static_cast<int>(kind)) << i;
    EXPECT_NEAR(move.to.x, to.x, tolerance) << i;
    EXPECT_NEAR(move.to.y, to.y, tolerance) << i;
    EXPECT_NEAR(move.to.z, to.z, tolerance) << i;
}

constexpr auto kRapid = MoveKind::rapid;
constexpr auto kFeed = MoveKind::line;
constexpr auto kArc = MoveKind::arc;
constexpr auto kDwell = MoveKind::dwell;

TEST(Ngc, N1_N2_ValuesPrintedInTheText) {
    EXPECT_DOUBLE_EQ(value_of("[2.0 / 3 * 1.5 - 5.5 / 11.0]"), 0.5); // NISTIR 6556, 3.3.2.3
    EXPECT_EQ(value_of("fix[2.8]"), 2);
    EXPECT_EQ(value_of("fix[-2.8]"), -3);
    EXPECT_EQ(value_of("fup[2.8]"), 3);
    EXPECT_EQ(value_of("fup[-2.8]"), -2);
}

TEST(Ngc, N3_ParametersAreSetAfterTheWholeLineIsRead) {
    const Reading reading = read_good("#3=15 f100\n#3=6 G1 x#3\nx#3");
    expect_move(reading, 0, kFeed, {15, 0, 0});
    expect_move(reading, 1, kFeed, {6, 0, 0});
}

TEST(Ngc, N4_AxisOffsets) {
    const Reading reading = read_good("g1 x4 f100\ng92 x7\n#1=#5211\ng92 x9\n#2=#5211\nx9\nx10");
    EXPECT_DOUBLE_EQ(reading.parameters.at(1), -3);
    EXPECT_DOUBLE_EQ(reading.parameters.at(2), -5);
    expect_move(reading, 1, kFeed, {4, 0, 0}); // the coordinate changed, the place did not
    expect_move(reading, 2, kFeed, {5, 0, 0});
}

TEST(Ngc, N5_N6_DrillingCycle) {
    const Reading absolute = read_good("f100\ng90 g81 g98 x4 y5 z1.5 r2.8", from({1, 2, 3}));
    ASSERT_EQ(absolute.moves.size(), 4u);
    expect_move(absolute, 0, kRapid, {4, 5, 3});
    expect_move(absolute, 1, kRapid, {4, 5, 2.8});
    expect_move(absolute, 2, kFeed, {4, 5, 1.5});
    expect_move(absolute, 3, kRapid, {4, 5, 3});

    const Reading incremental = read_good("f100\ng91 g81 g98 x4 y5 z-0.6 r1.8 l3", from({1, 2, 3}));
    ASSERT_EQ(incremental.moves.size(), 10u);
    expect_move(incremental, 0, kRapid, {1, 2, 4.8});
    for (int i = 0; i < 3; ++i) {
        const double x = 5 + 4 * i;
        const double y = 7 + 5 * i;
        expect_move(incremental, 1 + 3 * static_cast<std::size_t>(i), kRapid, {x, y, 4.8});
        expect_move(incremental, 2 + 3 * static_cast<std::size_t>(i), kFeed, {x, y, 4.2});
        expect_move(incremental, 3 + 3 * static_cast<std::size_t>(i), kRapid, {x, y, 4.8});
    }
}

TEST(Ngc, N7_N8_N9_TranscriptOfTable10) {
    ReadOptions options = from({});
    options.tools[2] = {1.0, 0};
    const Reading reading = read_good("g1 x3 y1 f20.0\n"
                                      "g2 x[6-[4*3/2]] r 7.01 z0.5\n"
                                      "t2\n"
                                      "m6 g43 h2\n"
                                      "m2\n"
                                      "g1 x asin[0.5]\n"
                                      "g91 g81 x3 y2 z-0.8 r1.5 l2\n",
                                      options);
    ASSERT_EQ(reading.moves.size(), 10u);
    expect_move(reading, 0, kFeed, {3, 1, 0});
    expect_move(reading, 1, kArc, {0, 1, 0.5});
    EXPECT_TRUE(reading.moves[1].clockwise);
    EXPECT_NEAR(reading.moves[1].centre.x, 1.5, 1e-4);
    EXPECT_NEAR(reading.moves[1].centre.y, 7.847635, 1e-6); // printed 7.8476
    EXPECT_NEAR(length(reading.moves[1]), 3.064444, 1e-6);  // computed
    expect_move(reading, 2, kFeed, {30, 1, -0.5});
    expect_move(reading, 3, kRapid, {30, 1, 1});
    expect_move(reading, 4, kRapid, {33, 3, 1});
    expect_move(reading, 5, kFeed, {33, 3, 0.2});
    expect_move(reading, 6, kRapid, {33, 3, 1});
    expect_move(reading, 7, kRapid, {36, 5, 1});
    expect_move(reading, 8, kFeed, {36, 5, 0.2});
    expect_move(reading, 9, kRapid, {36, 5, 1});
    for (const Move& move : reading.moves)
        if (move.kind == kFeed) {
            EXPECT_DOUBLE_EQ(move.feed, 20);
        }
}

TEST(Ngc, N10_UnknownWord) {
    const Fault fault = the_fault("g1 x asim[0.5]");
    EXPECT_EQ(fault.text, "unknown word starting with a"); // the message of table 10
    EXPECT_EQ(fault.line, 1);
    EXPECT_EQ(fault.column, 6);
}

TEST(Ngc, N11_ExpressionsOfAppendixC2) {
    const std::pair<const char*, double> cases[] = {
        {"[1 + 2]", 3},
        {"[1 - 2]", -1},
        {"[1 --3]", 4},
        {"[2/5]", 0.4},
        {"[3.0 * 5]", 15},
        {"[0 OR 0]", 0},
        {"[0 OR 1]", 1},
        {"[2 or 2]", 1},
        {"[0 AND 0]", 0},
        {"[0 AND 1]", 0},
        {"[2 and 2]", 1},
        {"[0 XOR 0]", 0},
        {"[0 XOR 1]", 1},
        {"[2 xor 2]", 0},
        {"[15 MOD 4.0]", 3},
        {"[1 + 2 * 3 - 4 / 5]", 6.2},
        {"sin[30]", 0.5},
        {"cos[0.0]", 1},
        {"tan[60.0]", 1.7321},
        {"sqrt[3]", 1.7321},
        {"atan[1.7321]/[1.0]", 60},
        {"asin[1.0]", 90},
        {"acos[0.707107]", 45},
        {"abs[20.0]", 20},
        {"abs[-1.23]", 1.23},
        {"round[-0.499]", 0},
        {"round[-0.5001]", -1},
        {"round[2.444]", 2},
        {"round[9.975]", 10},
        {"fix[-0.499]", -1},
        {"fix[2.444]", 2},
        {"fix[9.975]", 9},
        {"fup[-0.499]", 0},
        {"fup[2.444]", 3},
        {"fup[9.975]", 10},
        {"exp[2.3026]", 10},
        {"ln[10.0]", 2.3026},
        {"[2 ** 3.0]", 8},
        {"sqrt[3 ** 2 + 4 ** 2]", 5},
        {"[1+2]", 3},
        {"[2**3**2]", 64},
        {"[2+3*4**2]", 50}, // precedence: table 5 of the text's 3.3.2.2
    };
    for (const auto& [text, value] : cases)
        EXPECT_NEAR(value_of(text), value, 1e-3) << text;
    EXPECT_DOUBLE_EQ(read_good("#1=2\n##1=0.375").parameters.at(2), 0.375);
    const Reading parallel = read_good("f9\n#3=7\n#3=5.0 g1 x#3\nx #3 #3=1.1\n");
    expect_move(parallel, 0, kFeed, {7, 0, 0});
    expect_move(parallel, 1, kFeed, {5, 0, 0});
    EXPECT_DOUBLE_EQ(parallel.parameters.at(3), 1.1);
    EXPECT_DOUBLE_EQ(value_of("[#2+2]"), 2); // "#" binds tighter than "+"
}

// The text prints no value. Computed; a one-argument arctangent would give 2.0019361.
TEST(Ngc, N12_ArctangentKnowsItsQuadrant) {
    EXPECT_NEAR(value_of("[2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]"), 2.0005451, 1e-7);
}

TEST(Ngc, N13_TwoThousandShortLines) {
    std::string text = "f1000 g91 g1 x0.1\n";
    for (int i = 1; i < 2000; ++i)
        text += "x0.1\n";
    const Reading reading = read_good(text);
    ASSERT_EQ(reading.moves.size(), 2000u);
    double seconds = 0;
    for (const Move& move : reading.moves)
        seconds += length(move) / move.feed * 60;
    EXPECT_NEAR(seconds, 12, 1e-9); // 5.3 of the text
    EXPECT_NEAR(reading.moves.back().to.x, 200, 1e-9);
}

// The arcs of appendix C.1; their figures are computed.
TEST(Ngc, N15_ArcsOfTheEngravingProgram) {
    const Reading half = read_good("g1 x79.5 y0 z-.5 f20\ng2 y5 j2.5\n"); // uses only a Y word
    ASSERT_EQ(half.moves.size(), 2u);
    EXPECT_NEAR(sweep_of(half.moves[1]), std::numbers::pi, 1e-12);
    EXPECT_NEAR(radius_of(half.moves[1]), 2.5, 1e-12);
    const Reading full = read_good("g1 x35 y2.5 f20\ng3 x35 i-2.5\n");
    EXPECT_NEAR(sweep_of(full.moves[1]), 2 * std::numbers::pi, 1e-12);
    EXPECT_NEAR(full.moves[1].centre.x, 32.5, 1e-12);
    const Reading three_quarters = read_good("g1 x5 y2.5 f20\ng3 x2.5 y0 i-2.5\n");
    EXPECT_NEAR(sweep_of(three_quarters.moves[1]) * 180 / std::numbers::pi, 270, 1e-9);
}

// The start of appendix C.3 (inches, G43 with a tool length of 2): positions computed from the rules.
TEST(Ngc, N18_CannedCycleFile) {
    for (const bool to_start : {true, false}) {
        ReadOptions options = from({});
        options.tools[1] = {2.0 * 25.4, 0};
        const Reading reading = read_good(std::string("g20 f20\ng43 h1\n") + (to_start ? "g98\n" : "g99\n") +
                                              "g81 x3 y4 r0.2 z-1.1\n"
                                              "g91 x1 y0 r0 l3\n"
                                              "y-2 r0.1\n"
                                              "g82 g90 x4 y5 r0.2 z-1.1 p0.6\n"
                                              "x2 z-3.0\n"
                                              "g91 x-2 y2 r0 l4\n",
                                          options);
        const auto expect_inch = [&](std::size_t i, MoveKind kind, Vec3 to) {
            expect_move(reading, i, kind, to * 25.4, 1e-9);
        };
        const double back = to_start ? 0.3 : 0.2;
        expect_inch(0, kRapid, {0, 0, 0.2});
        expect_inch(1, kRapid, {3, 4, 0.2});
        expect_inch(2, kFeed, {3, 4, -1.1});
        expect_inch(3, kRapid, {3, 4, 0.2});
        for (std::size_t i = 0; i < 3; ++i) {
            const double x = 4 + static_cast<double>(i);
            expect_inch(4 + 3 * i, kRapid, {x, 4, 0.2});
            expect_inch(5 + 3 * i, kFeed, {x, 4, -0.9});
            expect_inch(6 + 3 * i, kRapid, {x, 4, 0.2});
        }
        expect_inch(13, kRapid, {6, 4, 0.3});
        expect_inch(14, kRapid, {6, 2, 0.3});
        expect_inch(15, kFeed, {6, 2, -0.8});
        expect_inch(16, kRapid, {6, 2, 0.3});
        expect_inch(17, kRapid, {4, 5, 0.3});
        expect_inch(18, kRapid, {4, 5, 0.2});
        expect_inch(19, kFeed, {4, 5, -1.1});
        expect_inch(20, kDwell, {4, 5, -1.1});
        EXPECT_DOUBLE_EQ(reading.moves[20].seconds, 0.6);
        expect_inch(21, kRapid, {4, 5, back});
        const std::size_t base = to_start ? 27 : 26; // G99 is at R already
        expect_inch(base - 3, kFeed, {2, 5, -3.0});
        expect_inch(base - 1, kRapid, {2, 5, back});
        for (std::size_t i = 0; i < 4; ++i) {
            const auto k = static_cast<double>(i);
            expect_inch(base + 4 * i, kRapid, {0 - 2 * k, 7 + 2 * k, back});
            expect_inch(base + 4 * i + 1, kFeed, {0 - 2 * k, 7 + 2 * k, to_start ? -2.7 : -2.8});
            expect_inch(base + 4 * i + 2, kDwell, {0 - 2 * k, 7 + 2 * k, to_start ? -2.7 : -2.8});
            expect_inch(base + 4 * i + 3, kRapid, {0 - 2 * k, 7 + 2 * k, back});
        }
        EXPECT_EQ(reading.moves.size(), base + 16);
    }
}

// C.3: 16 x 0.6 + 4 x 902.61 + 4 x 0.3333 + 3 x 1.272 s of dwell (computed); here by G82, G86, G88 and G89.
TEST(Ngc, N19_DwellsAddUp) {
    const Reading reading = read_good("f20 s100 m3\n"
                                      "g82 x1 z-1 r1 p0.6\ng91 x1 r0 l15\n"
                                      "g90 g86 x1 z-1 r1 p902.61\ng91 x1 r0 l3\n"
                                      "g90 g88 x1 z-1 r1 p0.3333\ng91 x1 r0 l3\n"
                                      "g90 g89 x1 z-1 r1 p1.272\ng91 x1 r0 l2\n");
    double dwell = 0;
    for (const Move& move : reading.moves)
        if (move.kind == kDwell) dwell += move.seconds;
    EXPECT_NEAR(dwell, 3625.1892, 1e-9);
}

TEST(Ngc, N20_PecksGoDownByQ) {
    const Reading reading = read_good("g20 f20\ng0 z1\ng83 x1 y1 r0.2 z-1.1 q0.21\n");
    int pecks = 0;
    double lowest = 1e9;
    for (const Move& move : reading.moves)
        if (move.kind == kFeed) {
            ++pecks;
            EXPECT_LE(lowest - move.to.z, 0.21 * 25.4 + (pecks == 1 ? 1e9 : 1e-9));
            lowest = move.to.z;
        }
    EXPECT_EQ(pecks, 7);
    EXPECT_NEAR(lowest, -1.1 * 25.4, 1e-9);
}

// Computed: R1 Z-5 Q2, clear at 1, back-off 0.5: 7 mm of feed (1 mm of it twice), 17 mm of rapid.
TEST(Ngc, T17_LengthsOfPecks) {
    ReadOptions options = from({0, 0, 1});
    options.peck_back_off = 0.5;
    const Reading reading = read_good("f20\ng99 g83 x0 r1 z-5 q2\n", options);
    double feed = 0;
    double rapid = 0;
    for (const Move& move : reading.moves)
        (move.kind == kFeed ? feed : rapid) += length(move);
    EXPECT_NEAR(feed, 7, 1e-9);
    EXPECT_NEAR(rapid, 17, 1e-9);
}

TEST(Ngc, CyclesInAllPlanes) {
    const Reading xz = read_good("f20 g18 g81 g99 x1 z2 y-1 r0.5\n"); // depth along Y
    ASSERT_EQ(xz.moves.size(), 4u);
    expect_move(xz, 1, kRapid, {1, 0.5, 2});
    expect_move(xz, 2, kFeed, {1, -1, 2});
    const Reading yz = read_good("f20 g19 g81 g99 y1 z2 x-1 r0.5\n"); // depth along X
    expect_move(yz, 2, kFeed, {-1, 1, 2});
    expect_move(yz, 3, kRapid, {0.5, 1, 2});
}

TEST(Ngc, SpindleInCycles) {
    const Reading tap = read_good("f150 s300 m3\ng84 x0 z-2 r1\n");
    ASSERT_EQ(tap.moves.size(), 4u);
    EXPECT_EQ(tap.moves[2].spindle, 300);
    EXPECT_EQ(tap.moves[3].spindle, -300);
    EXPECT_EQ(static_cast<int>(tap.moves[3].kind), static_cast<int>(kFeed));
    EXPECT_EQ(the_fault("f150 s300\ng84 x0 z-2 r1").kind, Fault::Kind::spindle);
    const Reading back = read_good("f100 s500 m3\ng0 z5\ng87 x0 y0 z-4 r1 i2 j0 k-1\n");
    // In beside the hole with the spindle still, up to K and back, out again.
    bool turned = false;
    for (const Move& move : back.moves)
        if (move.kind == kFeed) {
            turned = true;
            EXPECT_EQ(move.spindle, 500);
        }
    EXPECT_TRUE(turned);
    expect_move(back, back.moves.size() - 1, kRapid, {0, 0, 5});
}

// After table 6 (finding a hole's centre by probing), with numbers put in: the middle of two probed points.
TEST(Ngc, N21_ProbedPointsAreParameters) {
    const Reading reading = read_good("f10\n#1001=4 #1002=2\ng38.2 x[#1001+6]\n#1011=#5061\ng0 x0\n"
                                      "g38.2 x[#1001-10]\n"
                                      "#1021=[[#1011+#5061]/#1002]\ng0 x#1021\n",
                                      from({}));
    expect_move(reading, 3, kRapid, {2, 0, 0});
}

TEST(Ngc, SpacesInsideNumbersAreLegal) {
    const Reading reading = read_good("f9\ng0x +0. 12 34y 7\nG 1 X 1\t0 . 5");
    expect_move(reading, 0, kRapid, {0.1234, 7, 0});
    expect_move(reading, 1, kFeed, {10.5, 7, 0});
}

// 3.5.3.2: at (7, 7), G2 x10 y16 i3 j4 z9 has its centre at (10, 11) and radius 5.
TEST(Ngc, ArcsInAllPlanes) {
    const Reading xy = read_good("f9 g0 x7 y7\ng17 g2 x10 y16 i3 j4 z9");
    expect_move(xy, 1, kArc, {10, 16, 9});
    EXPECT_EQ(xy.moves[1].centre.x, 10);
    EXPECT_EQ(xy.moves[1].centre.y, 11);
    EXPECT_NEAR(sweep_of(xy.moves[1]) * 180 / std::numbers::pi, 143.1301, 1e-4);
    // G18 is right-handed from Z to X: seen from +Y, a counter-clockwise quarter goes from +Z to +X.
    const Reading xz = read_good("f9 g0 z1\ng18 g3 x1 z0 k-1 y3");
    EXPECT_NEAR(sweep_of(xz.moves[1]), std::numbers::pi / 2, 1e-12);
    EXPECT_EQ(static_cast<int>(xz.moves[1].normal), static_cast<int>(motion::Normal::y));
    const Reading yz = read_good("f9 g0 y1\ng19 g3 y0 z1 j-1");
    EXPECT_NEAR(sweep_of(yz.moves[1]), std::numbers::pi / 2, 1e-12);
    // By radius, short and long way round.
    for (const bool clockwise : {true, false}) {
        const std::string word = clockwise ? "g2" : "g3";
        for (const char* radius : {"5", "-5"}) {
            const Reading reading = read_good("f9 g0 x1 y2\n" + word + " x5 y5 r" + radius);
            const double sweep = sweep_of(reading.moves[1]);
            EXPECT_EQ(sweep < std::numbers::pi, radius[0] != '-');
            EXPECT_NEAR(radius_of(reading.moves[1]), 5, 1e-9);
        }
    }
}

TEST(Ngc, RadiusRule) {
    // Start radius 10; the end lies off by just below and just above 0.002 mm (0.0002 in under G20).
    EXPECT_TRUE(faults_of(read_program("f9 g1 x10\ng3 x0 y10.0019 i-10", from({}))).empty());
    EXPECT_EQ(the_fault("f9 g1 x10\ng3 x0 y10.0021 i-10").kind, Fault::Kind::arc);
    EXPECT_TRUE(faults_of(read_program("g20 f9 g1 x10\ng3 x0 y10.00019 i-10", from({}))).empty());
    EXPECT_EQ(the_fault("g20 f9 g1 x10\ng3 x0 y10.00021 i-10").kind, Fault::Kind::arc);
}

TEST(Ngc, CoordinateSystems) {
    const Reading reading =
        read_good("f9 g10 l2 p2 x10 y20 z30\ng55 g0 x1 y1 z1\ng54 x1 y1 z1\ng53 x2\n#5221=100\ng54 x0\n");
    expect_move(reading, 0, kRapid, {11, 21, 31});
    expect_move(reading, 1, kRapid, {1, 1, 1});
    expect_move(reading, 2, kRapid, {2, 1, 1});
    expect_move(reading, 3, kRapid, {100, 1, 1});
    ReadOptions known = from({});
    known.parameters = {{5221, 100}, {5222, 50}, {5223, -40}, {5241, 300}, {5161, 5}, {5162, 6}, {5163, -1}};
    const Reading home = read_good("g55 g0 x0\ng28 z10\ng53 g0 x100 y50 z-40", known);
    expect_move(home, 0, kRapid, {200, 0, 0});
    expect_move(home, 1, kRapid, {200, 0, 50}); // Z10 of G55, whose origin lies 40 above that of G54
    expect_move(home, 2, kRapid, {-95, -44, 39});
    expect_move(home, 3, kRapid, {0, 0, 0});
    ReadOptions unknown = from({});
    unknown.origins_known = false;
    EXPECT_NE(the_fault("g55 g0 x1", unknown).text.find("G55"), std::string::npos);
    EXPECT_NE(the_fault("g53 g0 z0", unknown).text.find("G53"), std::string::npos);
    const Reading left_out = read_program("g91 g28 z5", unknown);
    ASSERT_EQ(left_out.moves.size(), 1u);
    expect_move(left_out, 0, kRapid, {0, 0, 5});
}

TEST(Ngc, AxisOffsetsComeAndGo) {
    const Reading reading = read_good("g0 x10\ng92 x0\nx1\ng92.2\nx1\ng92.3\nx1\ng92.1\nx1\n#1=#5211");
    expect_move(reading, 1, kRapid, {11, 0, 0});
    expect_move(reading, 2, kRapid, {1, 0, 0});
    expect_move(reading, 3, kRapid, {11, 0, 0});
    expect_move(reading, 4, kRapid, {1, 0, 0});
    EXPECT_EQ(reading.parameters.at(1), 0);
}

TEST(Ngc, FeedsUnitsAndInverseTime) {
    const Reading reading = read_good("g21 f600 g1 x10\ng20 f10 x1\ng93 g21 f2 x100\n");
    EXPECT_DOUBLE_EQ(reading.moves[0].feed, 600);
    EXPECT_DOUBLE_EQ(reading.moves[1].feed, 254);
    EXPECT_NEAR(reading.moves[2].seconds, 30, 1e-12); // T18: F2 is 30 s at any length
    EXPECT_NEAR(reading.moves[2].feed, (100 - 25.4) * 2, 1e-9);
    EXPECT_EQ(the_fault("g93 f2 g1 x1\nx2").kind, Fault::Kind::no_feed);
    EXPECT_EQ(the_fault("g1 x1").kind, Fault::Kind::no_feed);
    EXPECT_EQ(the_fault("f100\ng20\ng1 x1\nx2").kind, Fault::Kind::units);
    EXPECT_EQ(the_fault("f100 g1 x1\ng93 f3 x2\ng94 x3").kind, Fault::Kind::no_feed);
}

TEST(Ngc, EventsAndSpindle) {
    const Reading reading =
        read_good("g20 g91 s1000\nm3 f9\ng1 x1\nm4\nx1\nm5\n(msg, turn the sheet )\nt3 m6\nm0\nm2\n");
    std::string kinds;
    for (const Event& e : reading.events)
        kinds += static_cast<char>('a' + static_cast<int>(e.kind));
    EXPECT_EQ(kinds, "ahccdgjef") << "units, incremental, on, on, off, message, tool, change, end";
    EXPECT_EQ(reading.moves[0].spindle, 1000);
    EXPECT_EQ(reading.moves[1].spindle, -1000);
    EXPECT_EQ(static_cast<int>(reading.moves[2].kind), static_cast<int>(MoveKind::stop));
    EXPECT_TRUE(reading.ended);
}

TEST(Ngc, PercentAndEnds) {
    ReadOptions strict;
    EXPECT_TRUE(read_program("%\ng0 x1\n%\nthis is not read", strict).faults.empty());
    EXPECT_TRUE(read_program("\n\n %\r\ng0 x1\rm2\nthis is not read", strict).faults.empty());
    EXPECT_EQ(read_program("%\ng0 x1\n", strict).faults.size(), 1u);
    EXPECT_EQ(read_program("g0 x1\n", strict).faults.size(), 1u);
    EXPECT_EQ(read_program("", strict).faults.size(), 1u);
    EXPECT_TRUE(read_program("g0 x1\nm30\ng1 nonsense", strict).faults.empty());
    EXPECT_EQ(read_program("/g0 x1\nm2", strict).moves.size(), 1u);
    strict.block_delete = true;
    EXPECT_EQ(read_program("/g0 x1\nm2", strict).moves.size(), 0u);
}

TEST(Ngc, ForeignPrograms) {
    const Reading reading = read_good("; made elsewhere\nG0 X1 ; go\n(a) G0 X2 (b)\nN99999 G0 X3\n");
    EXPECT_EQ(reading.moves.size(), 3u);
    EXPECT_NE(the_fault("o100 sub").text.find("O words"), std::string::npos);
    EXPECT_NE(the_fault("g96 s100").text.find("G96"), std::string::npos);
}

struct BadLine {
    const char* text;
    Fault::Kind kind;
    int column; // 0: the whole line
};

TEST(Ngc, LinesThatStandAgainstTheLanguage) {
    using Kind = Fault::Kind;
    const BadLine lines[] = {
        {"x-#1", Kind::syntax, 2}, // a sign belongs to a number only
        {"x-[2]", Kind::syntax, 2},
        {"g0 x", Kind::syntax, 5},
        {"g0 x1e5", Kind::syntax, 6}, // no exponents, and no E words
        {"g0 x.", Kind::syntax, 5},
        {"g0 xnan", Kind::syntax, 4},
        {"g0 xinf", Kind::syntax, 4},
        {"g0 x[1/0]", Kind::syntax, 5},
        {"g0 x[sqrt[-1]]", Kind::syntax, 6},
        {"g0 x[1+2", Kind::syntax, 9},
        {"g0 xatan[1]", Kind::syntax, 12},
        {"g0 x1 x2", Kind::syntax, 7},
        {"g0 g1 x1", Kind::syntax, 4},
        {"g17 g18", Kind::syntax, 5},
        {"g0 (a (b) x1", Kind::syntax, 4},
        {"g0 (a", Kind::syntax, 4},
        {"g0 x1 n5", Kind::syntax, 7},
        {"n123456 g0 x1", Kind::syntax, 1},
        {"n-1 g0 x1", Kind::syntax, 1},
        {"g0", Kind::syntax, 0},
        {"x1", Kind::syntax, 0}, // no motion word in force
        {"g80 x1", Kind::syntax, 0},
        {"g1 g92 x1", Kind::syntax, 0},
        {"g4", Kind::syntax, 0},
        {"g4 p-1", Kind::syntax, 4},
        {"g10 l3 p1 x1", Kind::syntax, 5},
        {"g10 l2 p0 x1", Kind::syntax, 8},
        {"g10 l2 p1.5 x1", Kind::syntax, 8},
        {"f1 g2 x1", Kind::arc, 0},
        {"f1 g2 i1", Kind::arc, 0},
        {"f1 g2 x1 r1 i1", Kind::arc, 10},
        {"f1 g2 x0 y0 r1", Kind::arc, 13},
        {"f1 g2 x5 r1", Kind::arc, 10},
        {"f1 g2 x1 k1", Kind::arc, 10},
        {"f1 g0 x1 r1", Kind::syntax, 10},
        {"d1", Kind::syntax, 1},
        {"h1", Kind::syntax, 1},
        {"p1", Kind::syntax, 1},
        {"g43", Kind::tool, 0},
        {"g43 h-1", Kind::tool, 5},
        {"t-1", Kind::tool, 1},
        {"t1.5", Kind::tool, 1},
        {"s-1", Kind::syntax, 1},
        {"f-1", Kind::syntax, 1},
        {"m3 m5", Kind::syntax, 4},
        {"m0 m1", Kind::syntax, 4},
        {"m98 p1", Kind::syntax, 1},
        {"m3.5", Kind::syntax, 1},
        {"g1.5 x1", Kind::syntax, 1},
        {"g53 x1", Kind::syntax, 0},
        {"g91 g0 g53 x1", Kind::syntax, 0},
        {"#0=1", Kind::syntax, 2},
        {"#5400=1", Kind::syntax, 2},
        {"#1.5=1", Kind::syntax, 2},
        {"#1 1", Kind::syntax, 5},
        {"a5 g0 x1", Kind::other, 1},
        {"f1 g81 x1 r1", Kind::syntax, 0},
        {"f1 g81 x1 z1", Kind::syntax, 0},
        {"f1 g81 x1 z1 r0.5", Kind::syntax, 14},
        {"f1 g82 x1 z-1 r0.5", Kind::syntax, 0},
        {"f1 g83 x1 z-1 r0.5", Kind::syntax, 0},
        {"f1 g83 x1 z-1 r0.5 q0", Kind::syntax, 20},
        {"f1 g81 x1 z-1 r0.5 l0", Kind::syntax, 20},
        {"f1 g81 x1 z-1 r0.5 l1.5", Kind::syntax, 20},
        {"f1 g81", Kind::syntax, 0},
        {"f1 g38.2 x0.1", Kind::other, 0},
        {"f1 g38.2", Kind::syntax, 0},
        {"u1", Kind::syntax, 1},
        {"g0 x1 @", Kind::syntax, 7},
        {"g0 x99999", Kind::other, 0},
    };
    for (const auto& [text, kind, column] : lines) {
        const Fault fault = the_fault(text);
        EXPECT_EQ(static_cast<int>(fault.kind), static_cast<int>(kind)) << text << ": " << fault.text;
        EXPECT_EQ(fault.column, column) << text << ": " << fault.text;
        EXPECT_EQ(fault.line, 1);
    }
    EXPECT_EQ(the_fault("(" + std::string(300, 'x') + ")").kind, Kind::syntax);
}

TEST(Ngc, NeverHangsOrGrowsWithoutBound) {
    ReadOptions options;
    std::string deep = "g0 x";
    for (int i = 0; i < 5000; ++i)
        deep += "[";
    EXPECT_FALSE(read_program(deep, options).faults.empty());
    std::string hashes = "g0 x" + std::string(5000, '#') + "1";
    EXPECT_FALSE(read_program(hashes, options).faults.empty());
    options.most_moves = 1000;
    const Reading many = read_program("g91 f1 g81 x0 z-1 r0 l999999\nm2", options);
    EXPECT_EQ(many.moves.size(), 1000u);
    const Reading pecks = read_program("f1 g83 x0 z-1000 r0 q0.0001\nm2", options);
    EXPECT_EQ(pecks.moves.size(), 1000u);
    EXPECT_FALSE(pecks.faults.empty());
    EXPECT_FALSE(read_program("f1 g83 x0 z-1000 r10000 q0.0000000000000000000001\nm2", options).faults.empty());
    std::string noise;
    for (int i = 0; i < 200'000; ++i)
        noise += static_cast<char>((i * 7919 + i / 13) & 0xff);
    EXPECT_LE(read_program(noise, options).faults.size(), options.most_faults);
}

TEST(Ngc, MovesAreChained) {
    const Reading reading =
        read_good("f100 g1 x1\ng2 x2 y1 i0 j1\ng81 x5 y5 z-3 r2\nx7\ng80\ng0 x0 y0\ng4 p1\nm0\ng1 x4");
    for (std::size_t i = 1; i < reading.moves.size(); ++i)
        EXPECT_EQ(reading.moves[i].from, reading.moves[i - 1].to);
}

TEST(Ngc, ReadsALongProgram) {
    std::string text = "g21 g90 f1000\ng1 x0\n";
    constexpr int kLines = 200'000;
    for (int i = 0; i < kLines; ++i)
        text += "G1 X" + std::to_string(i % 997) + "." + std::to_string(100 + i % 900) + " Y" +
                std::to_string(i % 613) + "." + std::to_string(100 + i % 877) + "\n";
    text += "m2\n";
    const Reading reading = read_program(text, {});
    EXPECT_EQ(reading.moves.size(), kLines + 1u);
    EXPECT_TRUE(reading.faults.empty());
}

} // namespace
} // namespace kerfwright::program
