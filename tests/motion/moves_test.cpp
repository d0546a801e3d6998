#include "base/random.hpp"
#include "motion/moves.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

namespace kerfwright::motion {
namespace {

constexpr double kPi = std::numbers::pi;

Move arc(Vec3 from, Vec3 to, Vec3 centre, bool clockwise, Normal normal = Normal::z) {
    Move move;
    move.kind = MoveKind::arc;
    move.from = from;
    move.to = to;
    move.centre = centre;
    move.clockwise = clockwise;
    move.normal = normal;
    return move;
}

void expect_near(Vec3 a, Vec3 b, double tolerance = 1e-12) {
    EXPECT_NEAR(a.x, b.x, tolerance);
    EXPECT_NEAR(a.y, b.y, tolerance);
    EXPECT_NEAR(a.z, b.z, tolerance);
}

TEST(Moves, LinesAndDwells) {
    Move move;
    move.kind = MoveKind::line;
    move.to = {2, 3, 6};
    EXPECT_DOUBLE_EQ(length(move), 7);
    expect_near(point_at(move, 0.5), {1, 1.5, 3});
    expect_near(direction_at(move, 0.2), {2 / 7.0, 3 / 7.0, 6 / 7.0});
    move.kind = MoveKind::dwell;
    EXPECT_EQ(length(move), 0);
}

// NISTIR 6556 (Kramer, Proctor, Messina 2000), 3.5.3.2: at (7, 7), G17 G2 x10 y16 i3 j4 z9. Sweep and length computed.
TEST(Moves, ArcOfTheLanguageDefinition) {
    const Move move = arc({7, 7, 0}, {10, 16, 9}, {10, 11, 0}, true);
    EXPECT_DOUBLE_EQ(radius_of(move), 5);
    EXPECT_NEAR(sweep_of(move) * 180 / kPi, 143.1301, 1e-4);
    EXPECT_NEAR(std::sqrt(std::pow(length(move), 2) - 81), 12.49046, 1e-5);
}

// Computed: helix r = 10, one turn, rise 5: 63.030483 mm.
TEST(Moves, HelixAndFullCircle) {
    EXPECT_NEAR(length(arc({10, 0, 0}, {10, 0, 5}, {}, false)), 63.03048, 1e-5);
    EXPECT_NEAR(sweep_of(arc({10, 0, 0}, {10, 0, 0}, {}, true)), 2 * kPi, 1e-12);
    expect_near(point_at(arc({10, 0, 0}, {10, 0, 4}, {}, true), 0.25), {0, -10, 1});
    expect_near(point_at(arc({10, 0, 0}, {10, 0, 4}, {}, false), 0.25), {0, 10, 1});
}

TEST(Moves, PlanesAreRightHandedAboutTheirNormal) {
    // Counter-clockwise quarters seen from the positive end of the normal: x to y, z to x (G18), y to z (G19).
    expect_near(point_at(arc({1, 0, 0}, {0, 1, 0}, {}, false, Normal::z), 0.5), {std::sqrt(0.5), std::sqrt(0.5), 0});
    expect_near(point_at(arc({0, 0, 1}, {1, 0, 0}, {}, false, Normal::y), 0.5), {std::sqrt(0.5), 0, std::sqrt(0.5)});
    expect_near(point_at(arc({0, 1, 0}, {0, 0, 1}, {}, false, Normal::x), 0.5), {0, std::sqrt(0.5), std::sqrt(0.5)});
    EXPECT_NEAR(sweep_of(arc({0, 0, 1}, {1, 0, 0}, {}, false, Normal::y)), kPi / 2, 1e-12);
    EXPECT_NEAR(sweep_of(arc({0, 0, 1}, {1, 0, 0}, {}, true, Normal::y)), kPi * 3 / 2, 1e-12);
    for (const Normal normal : {Normal::x, Normal::y, Normal::z}) {
        const Vec3 v{1, 2, 3};
        EXPECT_EQ(from_plane(in_plane(v, normal), normal), v);
    }
}

RC_GTEST_PROP(Moves, ArcsWalkFromEndToEndAndStayInTheirBox, (std::uint64_t seed)) {
    Random random(seed);
    const auto normal = static_cast<Normal>(random.below(3));
    const double r = random.uniform(0.01, 500);
    const double a = random.uniform(-kPi, kPi);
    const double b = random.uniform(-kPi, kPi);
    const PlaneVec c{random.uniform(-500, 500), random.uniform(-500, 500), 0};
    const Move move = arc(from_plane({c.u + r * std::cos(a), c.v + r * std::sin(a), random.uniform(-9, 9)}, normal),
                          from_plane({c.u + r * std::cos(b), c.v + r * std::sin(b), random.uniform(-9, 9)}, normal),
                          from_plane(c, normal), random.below(2) == 0, normal);
    RC_ASSERT(length(point_at(move, 1 - 1e-12) - move.to) < 1e-8);
    const Box3 box = box_of(move);
    double walked = 0;
    Vec3 last = move.from;
    constexpr int kSteps = 400;
    for (int i = 1; i <= kSteps; ++i) {
        const Vec3 p = point_at(move, static_cast<double>(i) / kSteps);
        walked += length(p - last);
        const Vec3 direction = direction_at(move, (i - 0.5) / kSteps);
        RC_ASSERT(std::abs(length(direction) - 1) < 1e-9);
        RC_ASSERT(dot(direction, p - last) >= length(p - last) * 0.999 - 1e-9);
        last = p;
        RC_ASSERT(p.x >= box.low.x - 1e-9 && p.y >= box.low.y - 1e-9 && p.z >= box.low.z - 1e-9);
        RC_ASSERT(p.x <= box.high.x + 1e-9 && p.y <= box.high.y + 1e-9 && p.z <= box.high.z + 1e-9);
    }
    RC_ASSERT(std::abs(walked - length(move)) <= 1e-4 * length(move) + 1e-9);
}

} // namespace
} // namespace kerfwright::motion
