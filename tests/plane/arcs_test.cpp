#include "base/random.hpp"
#include "plane/arcs.hpp"
#include "plane/nearest.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::plane {
namespace {

constexpr double kPi = std::numbers::pi;

Ring ellipse(double a, double b, int n, double noise = 0, std::uint64_t seed = 1) {
    Random random(seed);
    Ring ring;
    for (int i = 0; i < n; ++i) {
        const double t = 2 * kPi * i / n;
        ring.push_back(to_grid(
            {a * std::cos(t) + noise * random.uniform(-1, 1), b * std::sin(t) + noise * random.uniform(-1, 1)}));
    }
    return ring;
}

/// Rectangle with its lower left corner at the origin and rounded corners, flattened within `tolerance`.
Ring rounded(double w, double h, double r, double tolerance) {
    const double quarter = std::tan(kPi / 8);
    const Path path{{{{r, 0}, 0},
                     {{w - r, 0}, quarter},
                     {{w, r}, 0},
                     {{w, h - r}, quarter},
                     {{w - r, h}, 0},
                     {{r, h}, quarter},
                     {{0, h - r}, 0},
                     {{0, r}, quarter}},
                    true};
    return to_ring(path, tolerance);
}

double distance_to_edge(Vec p, Vec a, Vec b, double bulge) {
    if (bulge == 0) return distance_to_segment(p, a, b);
    const Arc arc = arc_between(a, b, bulge);
    const double sign = bulge > 0 ? 1 : -1;
    double along = std::fmod(sign * (std::atan2(p.y - arc.centre.y, p.x - arc.centre.x) -
                                     std::atan2(a.y - arc.centre.y, a.x - arc.centre.x)),
                             2 * kPi);
    if (along < 0) along += 2 * kPi;
    if (along <= std::abs(arc.sweep)) return std::abs(distance(p, arc.centre) - arc.radius);
    return std::min(distance(p, a), distance(p, b));
}

/// Largest distance of the ring's vertices and edge middles from the path, by brute force over its edges.
double worst(const Ring& ring, const Path& path) {
    double most = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec a = to_mm(ring[i]);
        const Vec b = to_mm(ring[(i + 1) % ring.size()]);
        for (const Vec p : {a, (a + b) * 0.5}) {
            double least = 1e300;
            for (std::size_t k = 0; k < path.vertices.size(); ++k)
                least = std::min(least, distance_to_edge(p, path.vertices[k].at,
                                                         path.vertices[(k + 1) % path.vertices.size()].at,
                                                         path.vertices[k].bulge));
            most = std::max(most, least);
        }
    }
    return most;
}

/// What the header promises of every fit.
void check_promises(const Ring& ring, const Path& path, double tolerance) {
    ASSERT_TRUE(path.closed);
    EXPECT_LE(worst(ring, path), tolerance * 1.0001 + 1e-9);
    for (std::size_t k = 0; k < path.vertices.size(); ++k) {
        const auto& [a, bulge] = path.vertices[k];
        EXPECT_NE(std::find(ring.begin(), ring.end(), to_grid(a)), ring.end());
        if (bulge == 0) continue;
        const Arc arc = arc_between(a, path.vertices[(k + 1) % path.vertices.size()].at, bulge);
        EXPECT_LE(std::abs(arc.sweep), 170.0001 * kPi / 180);
        EXPECT_GE(arc.radius, 0.05 * 0.9999);
        EXPECT_LE(arc.radius, 2000 * 1.0001);
    }
}

TEST(Arcs, ArcBetween) {
    const Arc half = arc_between({0, 0}, {2, 0}, 1);
    EXPECT_NEAR(half.centre.x, 1, 1e-12);
    EXPECT_NEAR(half.centre.y, 0, 1e-12);
    EXPECT_NEAR(half.radius, 1, 1e-12);
    EXPECT_NEAR(half.sweep, kPi, 1e-12);
    const Arc quarter = arc_between({1, 0}, {0, 1}, std::tan(kPi / 8)); // left turn about the origin
    EXPECT_NEAR(quarter.centre.x, 0, 1e-12);
    EXPECT_NEAR(quarter.centre.y, 0, 1e-12);
    const Arc right = arc_between({0, 1}, {1, 0}, -std::tan(kPi / 8));
    EXPECT_NEAR(right.centre.x, 0, 1e-12);
    EXPECT_NEAR(right.sweep, -kPi / 2, 1e-12);
    const Arc most = arc_between({1, 0}, {0, 1}, -std::tan(kPi * 3 / 8)); // three quarters, the other way around (1, 1)
    EXPECT_NEAR(most.centre.x, 0, 1e-12);
    EXPECT_NEAR(most.sweep, -kPi * 3 / 2, 1e-12);
}

TEST(Arcs, LengthAndChordsOfACircle) {
    const Path circle{{{{10, 0}, 1}, {{-10, 0}, 1}}, true};
    EXPECT_NEAR(length(circle), 20 * kPi, 1e-12);
    const auto points = flattened(circle, 0.01);
    // Chords of a circle of 10 mm within 0.01 mm: ceil(pi / acos(1 - e/r)) = 71 (whole circle); here by halves.
    EXPECT_EQ(points.size(), 72u);
    for (const Vec p : points)
        EXPECT_NEAR(length(p), 10, 1e-12);
    const Path open{{{{0, 0}, 0}, {{3, 4}, 0}, {{3, 5}, 0.5}}, false};
    EXPECT_NEAR(length(open), 6, 1e-12);
    EXPECT_EQ(flattened(open, 0.01).size(), 3u);
}

TEST(Arcs, NearlyStraightArcsStayExact) {
    const Path path{{{{0, 0}, 1e-9}, {{100, 0}, 0}}, false};
    EXPECT_NEAR(length(path), 100, 1e-9);
    for (const Vec p : flattened(path, 1e-12))
        EXPECT_NEAR(p.y, 0, 1e-7);
}

TEST(FitArcs, ACircleIsThreeArcs) {
    for (const int n : {24, 63, 64, 1000}) {
        const double sagitta = 10 * (1 - std::cos(kPi / n));
        const Ring ring = ellipse(10, 10, n);
        const Path path = fit_arcs(ring, std::max(0.002, sagitta * 1.01));
        EXPECT_EQ(path.vertices.size(), 3u) << n;
        check_promises(ring, path, std::max(0.002, sagitta * 1.01));
        if (n == 1000) {
            EXPECT_NEAR(length(path), 20 * kPi, 1e-4);
        }
        const Path clockwise = fit_arcs(reversed(ring), std::max(0.002, sagitta * 1.01));
        EXPECT_EQ(clockwise.vertices.size(), 3u);
        for (const auto& v : clockwise.vertices)
            EXPECT_LT(v.bulge, 0);
    }
}

// Arcs through points need about the integral of (|kappa'| / (124.7 eps))^(1/3): for an ellipse of half axes 50 and 30
// 10.9, 18.6 and 31.8 arcs (derived; Meek and Walton 1992 give the order h^3 of the error).
TEST(FitArcs, NumberOfArcsOfAnEllipse) {
    const Ring ring = ellipse(50, 30, 4000);
    const struct { double tolerance, arcs; } table[] = {{0.05, 10.9}, {0.01, 18.6}, {0.002, 31.8}};
    for (const auto& [tolerance, arcs] : table) {
        const Path path = fit_arcs(ring, tolerance);
        EXPECT_LE(path.vertices.size(), arcs * 1.25) << tolerance;
        EXPECT_GE(path.vertices.size(), arcs * 0.6) << tolerance;
        check_promises(ring, path, tolerance);
        EXPECT_NEAR(length(path), 255.269989, 0.01 + tolerance); // perimeter
    }
}

TEST(FitArcs, LinesEndWhereTheirFilletsBegin) {
    const Ring ring = rounded(80, 50, 6, 0.001);
    const Path path = fit_arcs(ring, 0.002);
    ASSERT_EQ(path.vertices.size(), 8u);
    int arcs = 0;
    for (std::size_t k = 0; k < 8; ++k) {
        if (path.vertices[k].bulge == 0) continue;
        ++arcs;
        const Arc arc = arc_between(path.vertices[k].at, path.vertices[(k + 1) % 8].at, path.vertices[k].bulge);
        EXPECT_NEAR(arc.radius, 6, 0.001);
        EXPECT_NEAR(arc.sweep, kPi / 2, 1e-4);
    }
    EXPECT_EQ(arcs, 4);
    check_promises(ring, path, 0.002);
}

TEST(FitArcs, CornersStayAndCollinearRunsBecomeLines) {
    Ring ring;
    for (int i = 0; i < 40; ++i)
        ring.push_back(to_grid({i * 0.25, 0}));
    for (int i = 0; i < 7; ++i)
        ring.push_back(to_grid({10, i * 1.3}));
    ring.push_back(to_grid({10, 10}));
    ring.push_back(to_grid({0, 10}));
    ring.push_back(to_grid({0, 5}));
    for (std::size_t turn = 0; turn < ring.size(); ++turn) {
        std::rotate(ring.begin(), ring.begin() + 1, ring.end());
        const Path path = fit_arcs(ring, 0.01);
        ASSERT_EQ(path.vertices.size(), 4u);
        for (const auto& v : path.vertices)
            EXPECT_EQ(v.bulge, 0);
    }
    // A five-pointed star keeps its ten corners at any tolerance that is smaller than it.
    Ring star;
    for (int i = 0; i < 10; ++i) {
        const double r = i % 2 == 0 ? 10 : 4;
        star.push_back(to_grid({r * std::cos(i * kPi / 5), r * std::sin(i * kPi / 5)}));
    }
    EXPECT_EQ(fit_arcs(star, 0.05).vertices.size(), 10u);
}

TEST(FitArcs, DegenerateInput) {
    EXPECT_TRUE(fit_arcs({}, 0.01).vertices.empty());
    EXPECT_TRUE(fit_arcs({{1, 1}}, 0.01).vertices.empty());
    EXPECT_TRUE(fit_arcs({{1, 1}, {1, 1}, {1, 1}}, 0.01).vertices.empty());
    EXPECT_EQ(fit_arcs({{0, 0}, {100, 0}}, 0.01).vertices.size(), 2u);
    EXPECT_GE(fit_arcs({{0, 0}, {100, 0}, {200, 0}, {100, 0}}, 0.01).vertices.size(), 2u); // there and back
    EXPECT_GE(fit_arcs({{0, 0}, {1, 0}, {1, 1}}, 0.01).vertices.size(), 2u);               // far below the tolerance
    const Ring needle{{0, 0}, {10'000'000, 1}, {20'000'000, 0}, {10'000'000, -1}};
    const Path path = fit_arcs(needle, 0.002);
    EXPECT_EQ(path.vertices.size(), 2u);
    check_promises(needle, path, 0.002);
    for (const double tolerance : {0.0, -1.0})
        check_promises(needle, fit_arcs(needle, tolerance), 1e-5);
}

TEST(FitArcs, LargeRingsKeepTheTolerance) {
    for (const double noise : {0.0, 0.004}) {
        const Ring ring = ellipse(500, 300, 100'000, noise);
        check_promises(ring, fit_arcs(ring, 0.05), 0.05);
    }
}

RC_GTEST_PROP(FitArcs, KeepsTheTolerance, (std::uint64_t seed)) {
    Random random(seed);
    // A wavy ring, noisy or not, coarse or fine.
    const int n = 20 + static_cast<int>(random.below(400));
    const double noise = random.below(2) == 0 ? 0 : random.uniform(0, 0.02);
    const double waves = static_cast<double>(random.below(9));
    const double depth = random.uniform(0, 0.4);
    const double size = std::exp(random.uniform(std::log(0.1), std::log(500)));
    Ring ring;
    for (int i = 0; i < n; ++i) {
        const double t = 2 * kPi * i / n;
        const double r = size * (1 + depth * std::cos(waves * t)) + noise * random.uniform(-1, 1);
        ring.push_back(to_grid({r * std::cos(t), r * std::sin(t)}));
    }
    if (random.below(2) == 0) ring = reversed(ring);
    const double tolerance = std::exp(random.uniform(std::log(0.0005), std::log(0.1)));
    const Path path = fit_arcs(ring, tolerance);
    RC_ASSERT(worst(ring, path) <= tolerance * 1.0001 + 1e-9);
    RC_ASSERT(path.vertices.size() <= ring.size());
    // And the path stays near the ring: its own chords are no further than tolerance plus the bulge of an edge.
    const EdgeIndex edges(std::vector<Ring>{ring});
    for (const Vec p : flattened(path, tolerance / 10))
        RC_ASSERT(edges.nearest(p)->distance <= 2.2 * tolerance + 1e-6);
}

TEST(Simplified, KeepsTheToleranceAndTheFarthestPair) {
    const Ring ring = ellipse(50, 30, 1000);
    const Ring few = simplified(ring, 0.05);
    EXPECT_LT(few.size(), 100u);
    EXPECT_GT(few.size(), 30u); // best inscribed chords: 61
    const EdgeIndex edges(std::vector<Ring>{few});
    for (const Point p : ring)
        EXPECT_LE(edges.nearest(to_mm(p))->distance, 0.05);
    EXPECT_NE(std::find(few.begin(), few.end(), to_grid({50, 0})), few.end());
    EXPECT_NE(std::find(few.begin(), few.end(), to_grid({-50, 0})), few.end());
    EXPECT_EQ(simplified({{0, 0}, {5, 0}, {10, 0}, {10, 10}, {0, 10}}, 0).size(), 4u);
    EXPECT_EQ(simplified({{0, 0}, {5, 0}, {10, 0}, {20, 0}}, 1).size(), 2u);
    // At the ends of the range products pass 64 bits.
    const Ring wide{{-kRange, -kRange}, {0, -kRange}, {kRange, -kRange}, {kRange, kRange}, {-kRange, kRange}};
    EXPECT_EQ(simplified(wide, 0.1).size(), 4u);
    EXPECT_EQ(simplified({{3, 3}, {3, 3}, {3, 3}, {3, 3}, {3, 3}}, 1).size(), 2u);
}

} // namespace
} // namespace kerfwright::plane
