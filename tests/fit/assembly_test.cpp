#include "partitions.hpp"
#include "support/geos.hpp"

#include "fit/assembly.hpp"
#include "fit/fit.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace kerfwright::fit {
namespace {

plane::Polygon block(double x0, double y0, double x1, double y1) {
    return {plane::rectangle({x0, y0}, {x1, y1}), {}};
}

/// Pieces and wall of a small set with interlocking coasts.
struct Set {
    std::vector<AssemblyPiece> pieces;
    AssemblyWall wall;
};
Set set_of(const std::vector<RegionToFit>& regions, double grown) {
    FitRules rules;
    rules.detail = 10;
    rules.tray_clearance = rules.clearance; // or the pieces could spread into the tray's room
    const auto fit = fit_regions(regions, rules);
    Set set;
    if (!fit.ok()) return set;
    for (const Piece& piece : fit.value().pieces) {
        plane::Polygon as_cut = piece.as_cut;
        if (grown != 0) as_cut = plane::largest(plane::offset({as_cut}, grown, {0.0005}));
        set.pieces.push_back({piece.id, as_cut, {}});
    }
    set.wall.as_cut = plane::offset(fit.value().wall_as_cut, -grown, {0.0005});
    return set;
}

Set interlocked(double grown) {
    return set_of(test::voronoi(8, 120, test::coast(2, 0.15), 1.5, 4), grown);
}

/// Sets of other kinds, each with a seed of its own.
std::vector<std::vector<RegionToFit>> kinds_of_sets() {
    return {test::voronoi(5, 70, test::straight, 1.5, 31), test::voronoi(5, 70, test::coast(1, 0.15), 1.5, 32),
            test::voronoi(4, 90, test::zigzag(8, 4), 1.5, 33), test::halves(60, test::comb(12, 6), 1.5),
            test::nested(80, 3, test::coast(2, 0.1), 1.5)};
}

/// Turned over in its place, left for right about the centre of its area.
void mirror(plane::Polygon& piece) {
    const plane::Point centre = plane::to_grid(plane::centroid(piece));
    const auto turned_over = [&](plane::Ring ring) {
        for (plane::Point& p : ring)
            p.x = 2 * centre.x - p.x;
        return plane::reversed(ring);
    };
    piece.outer = turned_over(piece.outer);
    for (plane::Ring& hole : piece.holes)
        hole = turned_over(hole);
}

TEST(Assembly, ABlockInItsTrayCentresItself) {
    // 0.1 to the left and 0.5 to the right: in the middle it has 0.3 on either side.
    const AssemblyWall wall{{block(0, 0, 10.6, 10.6)}, {}};
    const auto a = assemble({{"block", block(0.1, 0.3, 10.1, 10.3), {}}}, wall);
    ASSERT_TRUE(a.ok());
    EXPECT_NEAR(a.value().slack, 0.3, 1e-3);
    EXPECT_TRUE(a.value().goes_together);
    EXPECT_NEAR(a.value().poses[0].x, 0.2, 2e-3);
    EXPECT_NEAR(a.value().linear_slack, a.value().slack, 1e-3);
}

TEST(Assembly, ForcesAreInEquilibrium) {
    const AssemblyWall wall{{block(0, 0, 20.9, 30)}, {}};
    const auto a = assemble({{"left", block(0.3, 10, 10.3, 20), {}}, {"right", block(10.6, 10, 20.6, 20), {}}}, wall);
    ASSERT_TRUE(a.ok());
    EXPECT_NEAR(a.value().slack, 0.3, 1e-3);
    // wall | left | right | wall: three equal forces in a row.
    ASSERT_EQ(a.value().tight.size(), 3u);
    for (const TightSeam& seam : a.value().tight)
        EXPECT_NEAR(seam.share, 1.0 / 3, 0.02) << seam.a << " " << seam.b;
}

TEST(Assembly, TooLargeABlockDoesNotGoIn) {
    const AssemblyWall wall{{block(0, 0, 10, 10)}, {}};
    const auto a = assemble({{"block", block(-0.02, 0.3, 10.02, 9.7), {}}}, wall);
    ASSERT_TRUE(a.ok());
    EXPECT_FALSE(a.value().goes_together);
    EXPECT_NEAR(a.value().slack, -0.02, 2e-3);
}

TEST(Assembly, GrownByHalfTheClearanceTheSlackIsNought) {
    const Set set = interlocked(0.15);
    ASSERT_FALSE(set.pieces.empty());
    const auto a = assemble(set.pieces, set.wall);
    ASSERT_TRUE(a.ok());
    EXPECT_NEAR(a.value().slack, 0, 0.02);
}

TEST(Assembly, TrueGapAgreesWithTheLinearProgram) {
    const Set set = interlocked(0);
    ASSERT_FALSE(set.pieces.empty());
    const auto a = assemble(set.pieces, set.wall);
    ASSERT_TRUE(a.ok());
    EXPECT_GE(a.value().slack, 0.297);
    EXPECT_NEAR(a.value().slack, a.value().linear_slack, 0.005);
}

#ifdef KERFWRIGHT_HAS_GEOS
TEST(Assembly, MovedAsItSaysTheSmallestGapIsTheSlack) {
    const Set set = interlocked(0);
    ASSERT_FALSE(set.pieces.empty());
    const auto a = assemble(set.pieces, set.wall);
    ASSERT_TRUE(a.ok());
    const oracle::Geos geos;
    std::vector<oracle::Geos::Geometry> moved;
    for (std::size_t i = 0; i < set.pieces.size(); ++i) {
        const Pose& pose = a.value().poses[i];
        const plane::Vec c = plane::centroid(set.pieces[i].as_cut);
        const plane::Vec turned = plane::placed(c, {0, 0, pose.turn_deg});
        moved.push_back(geos.polygon(
            plane::placed(set.pieces[i].as_cut, {c.x - turned.x + pose.x, c.y - turned.y + pose.y, pose.turn_deg})));
    }
    const plane::Box box = plane::grown(plane::bounds(set.wall.as_cut), 5);
    const auto solid = geos.shape(plane::subtract({{plane::rectangle(box.low, box.high), {}}}, set.wall.as_cut));
    double least = 1e300;
    for (std::size_t i = 0; i < moved.size(); ++i) {
        least = std::min(least, geos.distance(moved[i], solid));
        for (std::size_t j = i + 1; j < moved.size(); ++j)
            least = std::min(least, geos.distance(moved[i], moved[j]));
    }
    EXPECT_NEAR(least, a.value().slack, 0.005);
}
#endif

TEST(Assembly, AMirroredPieceDoesNotGoTogether) {
    Set set = interlocked(0);
    ASSERT_FALSE(set.pieces.empty());
    mirror(set.pieces[2].as_cut);
    const auto a = assemble(set.pieces, set.wall);
    ASSERT_TRUE(a.ok());
    EXPECT_FALSE(a.value().goes_together);
    EXPECT_LT(a.value().slack, -0.1);
}

TEST(Assembly, AnyPieceMirroredIsFoundOut) {
    const Set set = set_of(test::voronoi(5, 70, test::coast(1, 0.15), 1.5, 32), 0);
    ASSERT_FALSE(set.pieces.empty());
    for (std::size_t i = 0; i < set.pieces.size(); ++i) {
        Set wrong = set;
        mirror(wrong.pieces[i].as_cut);
        const auto a = assemble(wrong.pieces, wrong.wall);
        ASSERT_TRUE(a.ok());
        EXPECT_FALSE(a.value().goes_together) << set.pieces[i].id << " slack " << a.value().slack;
    }
}

TEST(Assembly, SetsOfAllKindsHaveTheirClearanceAndLoseItWhenGrown) {
    const auto kinds = kinds_of_sets();
    for (std::size_t k = 0; k < kinds.size(); ++k) {
        const Set asked = set_of(kinds[k], 0);
        const Set grown = set_of(kinds[k], 0.15);
        ASSERT_FALSE(asked.pieces.empty() || grown.pieces.empty()) << "set " << k;
        const auto a = assemble(asked.pieces, asked.wall);
        const auto g = assemble(grown.pieces, grown.wall);
        ASSERT_TRUE(a.ok() && g.ok());
        EXPECT_NEAR(a.value().slack, 0.3, 0.01) << "set " << k;
        EXPECT_NEAR(g.value().slack, 0, 0.02) << "set " << k;
        EXPECT_NEAR(a.value().slack, a.value().linear_slack, 0.005) << "set " << k;
        EXPECT_NEAR(g.value().slack, g.value().linear_slack, 0.005) << "set " << k;
    }
}

TEST(Assembly, ChanceFollowsTheNormalLaw) {
    // One block, one direction that binds: slack = 0.05 - error of the cutter, half of it on either side of zero
    // needed.
    const AssemblyWall wall{{block(0, 0, 10.1, 14)}, {"small", 0, 0, "", 0, {}, {}}};
    AssemblyPiece piece{"block", block(0.05, 2, 10.05, 12), {"large", 0.03, 0, "", 0, {}, {}}};
    AssemblyOptions options;
    options.samples = 2000;
    options.needed = 0.02;
    const auto a = assemble({piece}, wall, options);
    ASSERT_TRUE(a.ok());
    // P(0.05 + e >= 0.02), e of deviation 0.03: P(z >= -1) = 0.8413.
    EXPECT_NEAR(a.value().chance, 0.8413, 0.025);
    EXPECT_LE(a.value().chance_low, a.value().chance);
    EXPECT_GE(a.value().chance_high, a.value().chance);
    EXPECT_NEAR(a.value().slack_p50, 0.05, 0.003);
    EXPECT_LT(a.value().accuracy, 0.005);
}

TEST(Assembly, SharedCutterErrorsAreShared) {
    // Cutter error e takes e from the block and gives e to the recess: slack 0.05 + 2 e when one cutter cuts both.
    const AssemblyWall wall{{block(0, 0, 10.1, 14)}, {"one", 0.03, 0, "", 0, {}, {}}};
    const AssemblyPiece piece{"block", block(0.05, 2, 10.05, 12), {"one", 0.03, 0, "", 0, {}, {}}};
    AssemblyOptions options;
    options.samples = 2000;
    const auto together = assemble({piece}, wall, options);
    AssemblyPiece other = piece;
    other.errors.cutter = "another";
    const auto apart = assemble({other}, wall, options);
    ASSERT_TRUE(together.ok() && apart.ok());
    const auto spread = [](const Assembly& a) { return (a.slack_p95 - a.slack_p5) / (2 * 1.6449); };
    EXPECT_NEAR(spread(together.value()), 0.06, 0.004);
    EXPECT_NEAR(spread(apart.value()), 0.03 * std::sqrt(2.0), 0.003);
}

TEST(Assembly, GrowthAcrossTheGrainTakesTheSlack) {
    // 100 mm across, 0.2 % growth: 0.2 mm of the 0.3 + 0.3 are gone, half on each side.
    const AssemblyWall wall{{block(0, 0, 100.6, 100.6)}, {}};
    AssemblyPiece piece{"board", block(0.3, 0.3, 100.3, 100.3), {}};
    piece.errors.growth = growth_of_grain(0, 0.002, 90); // grain along Y, growth along X
    AssemblyOptions options;
    options.samples = 4;
    const auto a = assemble({piece}, wall, options);
    ASSERT_TRUE(a.ok());
    EXPECT_NEAR(a.value().slack_p50, 0.2, 1e-3);
    EXPECT_NEAR(piece.errors.growth.xx, 0.002, 1e-12);
    EXPECT_NEAR(piece.errors.growth.yy, 0, 1e-12);
}

/// Eight pieces of 49.95 mm in a tray of 400 mm: published in no source, worked out by hand (root of the sum of
/// squares) and by an independent Monte Carlo run of 600,000 draws. A gap of 0.4 mm over all, nine gaps of 0.4 / 9.
struct Row {
    std::vector<AssemblyPiece> pieces;
    AssemblyWall wall{{block(0, 0, 400, 14)}, {"tray's", 0.2 / 3 / 2, 0, "", 0, {}, {}}};
};
Row row_of_eight(const Errors& errors) {
    Row row;
    const double gap = 0.4 / 9;
    for (int i = 0; i < 8; ++i) {
        const double x = gap + i * (49.95 + gap);
        row.pieces.push_back({"p" + std::to_string(i), block(x, 2, x + 49.95, 12), errors});
    }
    return row;
}

// Tolerances are three deviations. An edge error of e makes a piece 2 e longer.
TEST(Assembly, ToleranceChainWithErrorsOfEachPiece) {
    AssemblyOptions options;
    options.samples = 10000;
    const Row row = row_of_eight({"", 0, 0.1 / 3 / 2, "", 0, {}, {}});
    const auto a = assemble(row.pieces, row.wall, options);
    ASSERT_TRUE(a.ok());
    // Sigma of the sum 0.11547 mm, so P(gap < 0) = 2.66e-4; nine gaps share it.
    EXPECT_NEAR((a.value().slack_p95 - a.value().slack_p5) / (2 * 1.6449) * 9, 0.11547, 0.003);
    EXPECT_NEAR(a.value().slack_p50 * 9, 0.4, 0.005);
    const double deviation = std::sqrt(2.66e-4 / options.samples);
    EXPECT_NEAR(1 - a.value().chance, 2.66e-4, 3 * deviation);
}

// The same with one cutter for all pieces: its error counts eight times.
TEST(Assembly, ToleranceChainWithOneSharedError) {
    AssemblyOptions options;
    options.samples = 10000;
    const Row row = row_of_eight({"one", 0.1 / 3 / 2, 0, "", 0, {}, {}});
    const auto a = assemble(row.pieces, row.wall, options);
    ASSERT_TRUE(a.ok());
    EXPECT_NEAR((a.value().slack_p95 - a.value().slack_p5) / (2 * 1.6449) * 9, 0.2749, 0.006);
    const double deviation = std::sqrt(0.0728 * (1 - 0.0728) / options.samples);
    EXPECT_NEAR(1 - a.value().chance, 0.0728, 3 * deviation);
    EXPECT_LE(a.value().chance_low, 1 - 0.0728 + deviation);
    EXPECT_GE(a.value().chance_high, 1 - 0.0728 - deviation);
}

TEST(Assembly, WhatIsInOneRoomSwingsTogether) {
    // A board in a frame of the same wood: with one humidity for both there is no change; with two there is.
    const auto errors = [](const char* cause) {
        return Errors{"", 0, 0, "", 0, {}, {{cause, growth_of_grain(0, 0.002, 90)}}};
    };
    AssemblyOptions options;
    options.samples = 1000;
    const AssemblyPiece board{"board", block(0.3, 2, 100.3, 12), errors("room")};
    const auto together = assemble({board}, {{block(0, 0, 100.6, 14)}, errors("room")}, options);
    const auto apart = assemble({board}, {{block(0, 0, 100.6, 14)}, errors("another")}, options);
    ASSERT_TRUE(together.ok() && apart.ok());
    const auto spread = [](const Assembly& a) { return (a.slack_p95 - a.slack_p5) / (2 * 1.6449); };
    EXPECT_LT(spread(together.value()), 0.001);
    EXPECT_NEAR(spread(apart.value()), 0.1 * std::sqrt(2.0), 0.01);
}

TEST(Assembly, SameDrawsOnAnyNumberOfThreads) {
    Set set = interlocked(0);
    ASSERT_FALSE(set.pieces.empty());
    for (AssemblyPiece& piece : set.pieces)
        piece.errors = {"c", 0.02, 0.01, "s", 2e-4, {}, {{"damp", {0, 0, 0.001}}}};
    AssemblyOptions options;
    options.samples = 100;
    options.threads = 1;
    const auto one = assemble(set.pieces, set.wall, options);
    options.threads = 3;
    const auto three = assemble(set.pieces, set.wall, options);
    ASSERT_TRUE(one.ok() && three.ok());
    EXPECT_EQ(one.value().slack, three.value().slack);
    EXPECT_EQ(one.value().slack_p5, three.value().slack_p5);
    EXPECT_EQ(one.value().slack_p95, three.value().slack_p95);
    EXPECT_LT(one.value().accuracy, 0.005);
}

} // namespace
} // namespace kerfwright::fit
