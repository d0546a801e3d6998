// Cutter radius compensation by the rules of Kramer, Proctor, Messina: The NIST RS274NGC Interpreter - Version 3,
// NISTIR 6556 (2000), appendix B. Lengths are computed; the text prints none.

#include "base/random.hpp"
#include "program/read.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::program {
namespace {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;

constexpr double kPi = std::numbers::pi;

ReadOptions with_diameter(double diameter, Vec3 start = {}) {
    ReadOptions options;
    options.start = start;
    options.past_end = true;
    options.tools[1] = {0, diameter};
    return options;
}

std::vector<Fault> faults_of(const Reading& reading) {
    std::vector<Fault> faults = reading.faults;
    std::erase_if(faults, [](const Fault& f) { return f.text.find("the program has no end") != std::string::npos; });
    return faults;
}

Reading read_good(const std::string& text, const ReadOptions& options) {
    Reading reading = read_program(text, options);
    for (const Fault& fault : faults_of(reading))
        ADD_FAILURE() << fault.line << ":" << fault.column << ": " << fault.text << "\n" << text;
    return reading;
}

/// The one fault of a text; the tool has a diameter of 6 mm.
Fault the_fault(const std::string& text) {
    const auto faults = faults_of(read_program(text, with_diameter(6)));
    EXPECT_EQ(faults.size(), 1u) << text << (faults.size() > 1 ? "\n" + faults[1].text : "");
    return faults.empty() ? Fault{} : faults.front();
}

double length_of_lines(const Reading& reading, int first, int last) {
    double sum = 0;
    for (const Move& move : reading.moves)
        if (move.line >= first && move.line <= last) sum += length(move);
    return sum;
}

void expect_at(const Vec3& a, double x, double y, double tolerance = 1e-9) {
    EXPECT_NEAR(a.x, x, tolerance);
    EXPECT_NEAR(a.y, y, tolerance);
}

// Table 12: two moves before, an arc as entry, then the material's edge, clockwise, the cutter left of it.
const char* const kTable12 = "n0010 g1 x1 y5 f20\n"
                             "n0020 g41 g1 y4 d1\n"
                             "n0030 g3 x2 y3 i1\n"
                             "n0040 g2 x3 y2 j-1\n"
                             "n0050 g1 y-1\n"
                             "n0060 g2 x2 y-2 i-1\n"
                             "n0070 g1 x-2\n"
                             "n0080 g2 x-2.6 y-0.2 j1\n"
                             "n0090 g1 x1.4 y2.8\n"
                             "n0100 g2 x2 y3 i0.6 j-0.8\n"
                             "n0110 g40\n"
                             "n0120 g1 x9\n";

TEST(Compensation, N16_MaterialEdgeOfTable12) {
    EXPECT_NEAR(length_of_lines(read_good(kTable12, with_diameter(0)), 4, 10), 18.283185, 1e-6);
    const Reading reading = read_good(kTable12, with_diameter(1));
    EXPECT_NEAR(length_of_lines(reading, 4, 10), 21.424778, 1e-6); // + 2 pi 0.5
    // Line 2 enters by a right-angled triangle: hypotenuse 1, one leg the radius; so 60 degrees at (1, 4).
    expect_at(reading.moves[1].to, 1 + 0.5 * std::cos(kPi / 6), 4 + 0.5 * std::sin(kPi / 6));
    // Line 3: round the corner at (1, 4) to the side of the entry arc, then inside it.
    EXPECT_EQ(static_cast<int>(reading.moves[2].kind), static_cast<int>(MoveKind::arc));
    expect_at(reading.moves[2].to, 1.5, 4);
    expect_at(reading.moves[3].to, 2, 3.5);
    EXPECT_NEAR(radius_of(reading.moves[3]), 0.5, 1e-12);
    expect_at(reading.moves[reading.moves.size() - 2].to, 2, 3.5);
    // No move of its own after G40: the next one goes on from where the tip is.
    expect_at(reading.moves.back().from, 2, 3.5);
    expect_at(reading.moves.back().to, 9, 3.5);
}

// Table 13: the path of a cutter of radius 0.5, told to be 0.03 smaller than that by the tool table.
TEST(Compensation, N17_NominalPathOfTable13) {
    const std::string text = "g1 x1 y5 f20\n"
                             "g41 g1 y4.5 d1\n"
                             "g3 x2 y3.5 i1\n"
                             "g2 x3.5 y2 j-1.5\n"
                             "g1 y-1\n"
                             "g2 x2 y-2.5 i-1.5\n"
                             "g1 x-2\n"
                             "g2 x-2.9 y0.2 j1.5\n"
                             "g1 x1.1 y3.2\n"
                             "g2 x2 y3.5 i0.9 j-1.2\n"
                             "g40\n";
    EXPECT_NEAR(length_of_lines(read_good(text, with_diameter(0)), 4, 10), 21.424778, 1e-6); // N16 with its offset
    EXPECT_NEAR(length_of_lines(read_good(text, with_diameter(-0.03)), 4, 10), 21.330530, 1e-6);
    EXPECT_NEAR(length_of_lines(read_good(text, with_diameter(0.03)), 4, 10), 21.424778 + 2 * kPi * 0.015, 1e-6);
}

TEST(Compensation, FirstMoveByAnArcBesideAnAuxiliaryArc) {
    // The cutter (radius 1) stands left of, and touches, the circle of radius 4 about (0, 0) at (4, 0).
    const Reading inside = read_good("f9 g41 d1 g3 x0 y4 i-3\ng40\n", with_diameter(2, {3, 0, 0}));
    ASSERT_EQ(inside.moves.size(), 1u);
    EXPECT_NEAR(radius_of(inside.moves[0]), 3, 1e-12);
    expect_at(inside.moves[0].to, 0, 3);
    const Reading outside = read_good("f9 g42 d1 g3 x0 y4 i-5\n", with_diameter(2, {5, 0, 0}));
    expect_at(outside.moves[0].to, 0, 5);
    const Reading by_radius = read_good("f9 g42 d1 g3 x0 y4 r4\n", with_diameter(2, {5, 0, 0}));
    expect_at(by_radius.moves[0].centre, 0, 0);
    expect_at(by_radius.moves[0].to, 0, 5);
    EXPECT_EQ(
        static_cast<int>(faults_of(read_program("f9 g41 d1 g3 x0 y4 i-3.5", with_diameter(2, {3.5, 0, 0})))[0].kind),
        static_cast<int>(Fault::Kind::arc));
}

TEST(Compensation, RightLeftAndNegativeRadius) {
    const std::string square = " d1 x10 y0 f9\nx20\n";
    expect_at(read_good("g41 g1" + square, with_diameter(4)).moves.back().to, 20, 2);
    expect_at(read_good("g42 g1" + square, with_diameter(4)).moves.back().to, 20, -2);
    expect_at(read_good("g41 g1" + square, with_diameter(-4)).moves.back().to, 20, -2);
    expect_at(read_good("g41 g1 d0 x10 y0 f9\nx20\n", with_diameter(4)).moves.back().to, 20, 0);
    expect_at(read_good("t1 m6\ng41 g1 x10 y0 f9\nx20\n", with_diameter(4)).moves.back().to, 20, 2);
    ReadOptions in_spindle = with_diameter(0);
    in_spindle.tools.clear();
    in_spindle.cutter_diameter = 4;
    expect_at(read_good("g41 g1 d7 x10 y0 f9\nx20\n", in_spindle).moves.back().to, 20, 2);
}

TEST(Compensation, HeightsHelicesAndIncrements) {
    const Reading reading = read_good("f9 g91 g41 d1 g1 x10 z-1\nz-2\nx10\nz1\ng2 y-8 x0 j-4 z-1\n", with_diameter(4));
    ASSERT_EQ(reading.moves.size(), 6u); // the entry's way is not quite along X: a short arc before line 3
    expect_at(reading.moves[1].to, reading.moves[0].to.x, reading.moves[0].to.y);
    EXPECT_NEAR(reading.moves[1].to.z, -3, 1e-12);
    expect_at(reading.moves[3].to, 20, 2);
    EXPECT_NEAR(reading.moves[4].to.z, -2, 1e-12);
    expect_at(reading.moves[5].to, 20, -10);
    EXPECT_NEAR(reading.moves[5].to.z, -3, 1e-12);
    EXPECT_NEAR(radius_of(reading.moves[5]), 6, 1e-12);
}

TEST(Compensation, FullCirclesStayFull) {
    for (const char* way : {"g2", "g3"})
        for (const char* side : {"g41", "g42"}) {
            const Reading reading = read_good(fmt::format("f9 {0} d1 g1 x10\n{1} i0 j{2} x10 z-1\n{1} i0 j{2} x10\n",
                                                          side, way, way[1] == '3' ? 9 : -9),
                                              with_diameter(4));
            EXPECT_NEAR(sweep_of(reading.moves.back()), 2 * kPi, 1e-9) << way << side;
        }
}

// 3.5.20 and B: inverse time is the time of the programmed line, its corner included.
TEST(Compensation, InverseTimeIsSharedWithTheCorner) {
    const Reading reading = read_good("g93 g41 d1 g1 x10 f2\ny-10 f2\n", with_diameter(4));
    ASSERT_EQ(reading.moves.size(), 3u);
    EXPECT_NEAR(reading.moves[1].seconds + reading.moves[2].seconds, 30, 1e-9);
    EXPECT_NEAR(reading.moves[1].feed, reading.moves[2].feed, 1e-9);
    EXPECT_NEAR(length(reading.moves[2]) / reading.moves[2].feed * 60, reading.moves[2].seconds, 1e-9);
}

struct Refused {
    const char* text;
    const char* says;
    int line, column;
};

// The list of errors at the end of appendix B, and what 3.5 refuses.
TEST(Compensation, WhatIsRefused) {
    const std::string on = "f9 g41 d1 g1 x10\n";
    const Refused cases[] = {
        {"g92 x1", "axis offsets", 2, 0},
        {"g92.1", "axis offsets", 2, 0},
        {"g20", "other units", 2, 0},
        {"g38.2 x20", "a probe", 2, 0},
        {"g41 d1", "G41", 2, 0},
        {"g42 d1", "G42", 2, 0},
        {"g28", "G28", 2, 0},
        {"g30 x1", "G30", 2, 0},
        {"g53 g0 x1", "G53", 2, 0},
        {"g18", "another plane", 2, 0},
        {"g19", "another plane", 2, 0},
        {"g55", "coordinate system", 2, 0},
        {"g10 l2 p1 x3", "origin", 2, 0},
        {"g81 x20 z-1 r1", "canned cycle", 2, 0},
        {"y10", "concave corner", 2, 0},
        {"g3 x10.5 y0.5 j0.5", "not larger than the cutter's", 2, 0},
        {"d1 x20", "the D word", 2, 1},
        {"g40 d1", "the D word", 2, 5},
        {"g40 g41", "of one group", 2, 5},
    };
    for (const auto& [text, says, line, column] : cases) {
        const Fault fault = the_fault(on + text);
        EXPECT_NE(fault.text.find(says), std::string::npos) << text << ": " << fault.text;
        EXPECT_EQ(fault.line, line) << text;
        EXPECT_EQ(fault.column, column) << text;
    }
    const Refused first[] = {
        {"g18 g41 d1", "XY plane", 1, 0},       {"g41 d-1", "whole number", 1, 5}, {"g41 d1.5", "whole number", 1, 5},
        {"g41 d2", "no radius is known", 1, 5}, {"g41 d1 d1", "two D", 1, 8},      {"g41", "in the spindle", 1, 0},
        {"f9 g41 d1 g1 x2", "gouges", 1, 0},
    };
    for (const auto& [text, says, line, column] : first) {
        const Fault fault = the_fault(text);
        EXPECT_NE(fault.text.find(says), std::string::npos) << text << ": " << fault.text;
        EXPECT_EQ(fault.line, line) << text;
        EXPECT_EQ(fault.column, column) << text;
    }
    // Turned off on the line itself, and by the end.
    EXPECT_TRUE(faults_of(read_program(on + "g40 g92 x1", with_diameter(6))).empty());
    EXPECT_TRUE(faults_of(read_program(on + "m2\ng92 x1", with_diameter(6))).empty());
}

TEST(Compensation, JointsThatRoundingMadeConcaveAreTakenAsSmooth) {
    // 0.5 degrees at a radius of 3 is 0.0001 mm too far; 5 degrees are 0.011 mm.
    EXPECT_TRUE(faults_of(read_program("f9 g41 d1 g1 x20\nx40\nx60 y0.1745", with_diameter(6))).empty());
    EXPECT_FALSE(faults_of(read_program("f9 g41 d1 g1 x20\nx40\nx60 y1.75", with_diameter(6))).empty());
    // Many small ones make an arc that is tighter than the cutter.
    std::string spiral = "f9 g41 d1 g1 x20\nx40\n";
    double x = 40, y = 0;
    for (int i = 1; i < 180; ++i) {
        x += 0.02 * std::cos(i * kPi / 180);
        y += 0.02 * std::sin(i * kPi / 180);
        spiral += fmt::format("x{:.6f} y{:.6f}\n", x, y);
    }
    EXPECT_FALSE(faults_of(read_program(spiral, with_diameter(6))).empty());
}

/// A line or an arc of the programmed contour, by itself: not by the reader's geometry.
struct Element {
    double x0, y0, x1, y1;
    double cx = 0, cy = 0, radius = 0, from = 0, sweep = 0; // arcs

    [[nodiscard]] double distance(double x, double y) const {
        if (radius > 0) {
            double turned = std::remainder(std::atan2(y - cy, x - cx) - (from + sweep / 2), 2 * kPi);
            if (std::abs(turned) <= std::abs(sweep) / 2) return std::abs(std::hypot(x - cx, y - cy) - radius);
            return std::min(std::hypot(x - x0, y - y0), std::hypot(x - x1, y - y1));
        }
        const double dx = x1 - x0, dy = y1 - y0;
        const double t = std::clamp(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        return std::hypot(x - x0 - t * dx, y - y0 - t * dy);
    }
};

struct Contour {
    std::string text;
    std::vector<Element> elements; ///< the first is on line 2
};

/// A contour whose corners all turn away from the cutter (radius r, on `side`: 1 left, -1 right).
Contour random_contour(Random& random, double r, int side) {
    Contour contour;
    double x = 3 * r, y = 0, heading = 0;
    contour.text = fmt::format("f100 g{} d1 g1 x{:.9f}\n", side > 0 ? 41 : 42, x);
    for (int i = 0; i < 12; ++i) {
        if (random.below(2) == 0) heading -= side * random.uniform(0, 2.7);
        const double size = r * random.uniform(0.1, 5);
        Element element{x, y, 0, 0};
        if (random.below(2) == 0) {
            element.x1 = x + size * std::cos(heading);
            element.y1 = y + size * std::sin(heading);
            contour.text += fmt::format("g1 x{:.9f} y{:.9f}\n", element.x1, element.y1);
        } else {
            const int turn = random.below(2) == 0 ? 1 : -1;
            element.radius = turn == side ? r * random.uniform(1.05, 5) : size;
            element.cx = x - turn * element.radius * std::sin(heading);
            element.cy = y + turn * element.radius * std::cos(heading);
            element.from = std::atan2(y - element.cy, x - element.cx);
            element.sweep = turn * random.uniform(0.05, 6);
            heading += element.sweep;
            element.x1 = element.cx + element.radius * std::cos(element.from + element.sweep);
            element.y1 = element.cy + element.radius * std::sin(element.from + element.sweep);
            contour.text += fmt::format("g{} x{:.9f} y{:.9f} i{:.9f} j{:.9f}\n", turn > 0 ? 3 : 2, element.x1,
                                        element.y1, element.cx - x, element.cy - y);
        }
        x = element.x1;
        y = element.y1;
        contour.elements.push_back(element);
    }
    return contour;
}

RC_GTEST_PROP(Compensation, TheTipKeepsItsRadiusBesideEveryElement, (std::uint64_t seed)) {
    Random random(seed);
    const double r = std::exp(random.uniform(std::log(0.1), std::log(20)));
    const int side = random.below(2) == 0 ? 1 : -1;
    const Contour contour = random_contour(random, r, side);
    const Reading reading = read_program(contour.text, with_diameter(2 * r));
    for (const Fault& fault : faults_of(reading))
        RC_FAIL(fmt::format("{}: {}\n{}", fault.line, fault.text, contour.text));
    std::vector<double> nearest(contour.elements.size(), 1e300);
    for (std::size_t i = 1; i < reading.moves.size(); ++i) {
        const Move& move = reading.moves[i];
        RC_ASSERT(move.from == reading.moves[i - 1].to);
        const auto which = static_cast<std::size_t>(move.line - 2);
        const Element& element = contour.elements[which];
        const bool corner = i + 1 < reading.moves.size() && reading.moves[i + 1].line == move.line;
        for (int k = 0; k <= 20; ++k) {
            const Vec3 p = point_at(move, k / 20.0);
            const double gap = corner ? std::hypot(p.x - element.x0, p.y - element.y0) : element.distance(p.x, p.y);
            RC_ASSERT(std::abs(gap - r) < 1e-6);
        }
        nearest[which] =
            std::min(nearest[which], std::abs(std::hypot(move.to.x - element.x1, move.to.y - element.y1) - r));
    }
    for (const double gap : nearest) // every element was followed to its end
        RC_ASSERT(gap < 1e-6);
}

// Around a convex polygon the way grows by 2 pi r (Steiner 1840); inside-out it would need concave corners.
RC_GTEST_PROP(Compensation, AroundAConvexPolygonTheWayGrowsByACircle, (std::uint64_t seed)) {
    Random random(seed);
    const double r = random.uniform(0.1, 10);
    const int count = 3 + static_cast<int>(random.below(9));
    std::vector<double> angles;
    for (int i = 0; i < count; ++i)
        angles.push_back(-2 * kPi * (i + random.uniform(0.0, 0.8)) / count); // clockwise
    std::vector<Vec3> points;
    for (const double angle : angles)
        points.push_back({50 * std::cos(angle), 50 * std::sin(angle), 0});
    std::string text = "f100\n";
    const auto word = [&](const Vec3& p) { return fmt::format("g1 x{:.9f} y{:.9f}\n", p.x, p.y); };
    const Vec3 start = (points[0] + points[1]) * 0.5;
    const Vec3 before = start + (start - points[1]) * (1 + 2 * r / length(start - points[1]));
    ReadOptions options = with_diameter(2 * r, before);
    text += "g41 d1 " + word(start);
    double around = length(points[1] - start);
    for (std::size_t i = 1; i <= points.size(); ++i) {
        text += word(points[i % points.size()]);
        if (i > 1) around += length(points[i % points.size()] - points[i - 1]);
    }
    text += word(start);
    around += length(start - points[0]);
    const Reading reading = read_program(text, options);
    RC_ASSERT(faults_of(reading).empty());
    // The way in is not along the first side: it ends short of it by an arc that is left out here.
    double way = 0;
    bool first_arc = true;
    for (std::size_t i = 1; i < reading.moves.size(); ++i) {
        if (first_arc && reading.moves[i].line == 3 && reading.moves[i].kind == MoveKind::arc) {
            first_arc = false;
            continue;
        }
        way += length(reading.moves[i]);
    }
    RC_ASSERT(std::abs(way - around - 2 * kPi * r) < 1e-6);
}

} // namespace
} // namespace kerfwright::program
