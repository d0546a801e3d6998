// The tray's stepped floor: what it asks for is judged with GEOS, how high pieces end by their sheets' measurements.

#include "support/geos.hpp"

#include "job/floors.hpp"
#include "job/setups.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

using plane::Shape;
using plane::Vec;

constexpr double kClearance = 0.3;
constexpr double kRadius = 1.5;

plane::Polygon block(double x0, double y0, double x1, double y1) {
    return {plane::rectangle({x0, y0}, {x1, y1}), {}};
}

/// Around everything from (0, 0) to `corner`, with room, as a cutter leaves it.
Shape recess(Vec corner, double radius) {
    return plane::opening({block(-0.6, -0.6, corner.x + 0.6, corner.y + 0.6)}, radius);
}

/// An L, a block in its inner corner, and two blocks beside them, all `kClearance` apart.
std::vector<FloorWish> four_pieces(double ell, double inner, double right, double top) {
    const double c = kClearance;
    const plane::Polygon l = plane::largest(plane::subtract({block(0, 0, 60, 50)}, {block(20 - c, 20 - c, 61, 51)}));
    return {{"ell", l, ell, ell, 0},
            {"inner", block(20, 20, 60, 50), inner, inner, 0},
            {"right", block(60 + c, 0, 90, 50), right, right, 0},
            {"top", block(0, 50 + c, 90, 80), top, top, 0}};
}

#ifdef KERFWRIGHT_HAS_GEOS

void expect_sound_floors(const Shape& wall, const std::vector<FloorWish>& wishes,
                         const std::vector<PlannedFloor>& floors) {
    const oracle::Geos geos;
    double sum = 0;
    for (std::size_t i = 0; i < floors.size(); ++i) {
        const auto floor = geos.shape(floors[i].area);
        EXPECT_TRUE(geos.valid(floor));
        sum += geos.area(floor);
        EXPECT_LT(geos.difference_area(floor, geos.shape(wall)), 1e-6);
        for (std::size_t j = 0; j < i; ++j) {
            EXPECT_LT(floors[j].depth, floors[i].depth) << "from the shallowest to the deepest";
            EXPECT_LT(geos.overlap_area(floor, geos.shape(floors[j].area)), 1e-6);
        }
        for (const Support& one : floors[i].support) {
            const FloorWish& wish =
                *std::find_if(wishes.begin(), wishes.end(), [&](const auto& w) { return w.piece == one.piece; });
            EXPECT_DOUBLE_EQ(wish.depth, floors[i].depth);
            const auto piece = geos.polygon(wish.outline);
            EXPECT_NEAR(one.share, geos.overlap_area(piece, floor) / geos.area(piece), 1e-9) << one.piece;
            EXPECT_GE(one.share, 0.9) << one.piece;
            // Nothing shallower under it, and the cutter clears all of it.
            std::vector<Shape> down;
            for (std::size_t j = 0; j < floors.size(); ++j) {
                if (j < i)
                    EXPECT_LT(geos.overlap_area(piece, geos.shape(floors[j].area)), 1e-6) << one.piece;
                else
                    down.push_back(floors[j].area);
            }
            const auto cleared =
                geos.buffer(geos.buffer(geos.shape(plane::closing(plane::unite(down), 0.02)), -kRadius), kRadius);
            EXPECT_LT(geos.difference_area(piece, cleared), 1e-3) << one.piece;
        }
    }
    EXPECT_NEAR(sum, plane::area(wall), 0.01) << "together they are the recess";
}

TEST(SteppedFloors, EveryPieceRestsOnItsOwnAndNothingIsInItsWay) {
    const Shape wall = recess({90, 80}, kRadius);
    // The block in the corner of the L the deepest, the L the deepest, and some alike.
    for (const auto& wishes : {four_pieces(3, 5, 4, 6), four_pieces(6, 3, 4, 5), four_pieces(4, 6, 4, 6),
                               four_pieces(5, 5, 5, 5), four_pieces(4.00, 4.01, 4.02, 4.03)}) {
        const auto floors = stepped_floors(wall, wishes, {kRadius}, kClearance);
        expect_sound_floors(wall, wishes, floors);
        const auto by_larger = stepped_floors(wall, wishes, {3, kRadius}, kClearance);
        expect_sound_floors(wall, wishes, by_larger);
    }
    EXPECT_EQ(stepped_floors(wall, four_pieces(5, 5, 5, 5), {kRadius}, kClearance).size(), 1u);
    EXPECT_EQ(stepped_floors(wall, four_pieces(4, 6, 4, 6), {kRadius}, kClearance).size(), 2u);
}

TEST(SteppedFloors, StepsLieInTheGaps) {
    const oracle::Geos geos;
    const Shape wall = recess({90, 80}, kRadius);
    const auto wishes = four_pieces(6, 3, 6, 6);
    const auto floors = stepped_floors(wall, wishes, {kRadius}, kClearance);
    // Deeper pieces all around have no corner at the block, so all of it is on its floor.
    EXPECT_EQ(floors.front().piece, "inner");
    EXPECT_DOUBLE_EQ(floors.front().support.front().share, 1);
    // The L may move by most of its clearance before it meets a step.
    const auto shallower = geos.shape(floors.front().area);
    EXPECT_GT(geos.distance(geos.polygon(wishes.front().outline), shallower), 0.7 * kClearance);
}

#endif

/// A job with measured sheets, and pieces that lie on them.
struct Laid {
    Job job;
    std::vector<PlannedPiece> pieces;
    Shape wall;
};

Laid laid_out() {
    Laid laid;
    Job& job = laid.job;
    job.file = "job.toml";
    job.clearance = kClearance;
    job.machine.z_step = 0.01;
    job.tray = TrayWish{"base", 10, std::nullopt, 7, 1};
    shop::Sheet base;
    base.name = "base";
    base.outline = block(0, 0, 140, 120);
    base.thickness = 12;
    base.measured = {{{0, 0}, 12.00}, {{140, 0}, 12.10}, {{0, 120}, 11.90}, {{140, 120}, 12.05}};
    shop::Sheet thin = base, thick = base;
    thin.name = "thin";
    thin.thickness = 4;
    thin.measured = {{{0, 0}, 3.95}, {{140, 0}, 4.08}, {{70, 120}, 4.02}};
    thick.name = "thick";
    thick.thickness = 6;
    thick.measured.clear();
    job.sheets = {base, thin, thick};
    for (const FloorWish& wish : four_pieces(0, 0, 0, 0)) {
        PlannedPiece piece;
        piece.id = wish.piece;
        piece.outline = piece.as_cut = wish.outline;
        piece.sheet = wish.piece == "inner" ? "thick" : "thin";
        piece.thickness = wish.piece == "inner" ? 6 : 4;
        piece.placement = {wish.piece == "top" ? 20.0 : 5.0, 10, 0};
        laid.pieces.push_back(std::move(piece));
    }
    laid.wall = recess({90, 80}, kRadius);
    return laid;
}

shop::Cutter flat(double DC) {
    shop::Cutter cutter;
    cutter.name = "flat";
    cutter.DC = DC;
    return cutter;
}

Result<PlannedTray> planned(const Laid& laid, const std::vector<shop::Cutter>& cutters = {flat(3)}) {
    return plan_tray(laid.job, laid.job.sheets.front(), laid.wall, laid.wall, laid.pieces, cutters);
}

/// How far a piece's top ends above the rim beside it: from the floor's depth and the sheets' measurements alone, on a
/// fine grid.
double top_of(const Laid& laid, const PlannedTray& tray, const PlannedFloor& floor, const PlannedPiece& piece) {
    const shop::Sheet& sheet = *std::find_if(laid.job.sheets.begin(), laid.job.sheets.end(),
                                             [&](const auto& s) { return s.name == piece.sheet; });
    double sum = 0;
    int count = 0;
    const plane::Box box = plane::bounds(piece.outline);
    for (double x = box.low.x + 0.25; x < box.high.x; x += 0.5)
        for (double y = box.low.y + 0.25; y < box.high.y; y += 0.5) {
            if (plane::side_of(piece.outline, plane::to_grid({x, y})) != plane::Side::inside) continue;
            sum += sheet.measured.empty() ? sheet.thickness
                                          : shop::thickness_at(sheet, plane::placed(Vec{x, y}, piece.placement));
            ++count;
        }
    const shop::Sheet& base = laid.job.sheets.front();
    const Vec middle = plane::centroid(plane::placed(piece.as_cut, tray.placement));
    const double rim = shop::thickness_at(base, middle) - shop::thickness_at(base, {0, 0}); // above the Z zero
    return sum / count - floor.depth - rim;
}

TEST(FlushTops, AreLevelWithinTheMachinesStepOnMeasuredSheets) {
    Laid laid = laid_out();
    for (const std::optional<double> proud : {std::optional<double>{}, std::optional<double>{0.5}}) {
        laid.job.tray->proud = proud;
        const auto tray = planned(laid);
        ASSERT_TRUE(tray) << to_string(tray.problem());
        std::size_t seen = 0;
        double least = 1e9, most = -1e9;
        for (const PlannedFloor& floor : tray.value().floors)
            for (const Support& one : floor.support) {
                const PlannedPiece& piece = *std::find_if(laid.pieces.begin(), laid.pieces.end(),
                                                          [&](const auto& p) { return p.id == one.piece; });
                const double top = top_of(laid, tray.value(), floor, piece);
                EXPECT_NEAR(top, one.top, 0.002) << one.piece << ": as the plan says";
                EXPECT_NEAR(top, proud.value_or(0), laid.job.machine.z_step) << one.piece;
                least = std::min(least, one.top), most = std::max(most, one.top);
                ++seen;
            }
        EXPECT_EQ(seen, 4u);
        EXPECT_LE(most - least, laid.job.machine.z_step);
    }
}

TEST(FlushTops, FollowTheTraysOwnSurfacePieceByPiece) {
    Laid laid = laid_out();
    for (PlannedPiece& piece : laid.pieces) // all alike, so that the tray alone makes the difference
        piece.sheet = "thick", piece.thickness = 6;
    const auto measured = planned(laid);
    ASSERT_TRUE(measured);
    EXPECT_GT(measured.value().floors.size(), 1u);
    for (const PlannedFloor& floor : measured.value().floors)
        for (const Support& one : floor.support)
            EXPECT_NEAR(one.top, 0, 0.0051) << one.piece;
    laid.job.sheets.front().measured.clear();
    const auto flat_tray = planned(laid);
    ASSERT_TRUE(flat_tray);
    ASSERT_EQ(flat_tray.value().floors.size(), 1u);
    EXPECT_DOUBLE_EQ(flat_tray.value().floors.front().depth, 6);
}

TEST(FlushTops, SaysWhichPieceTheTrayIsTooThinForAndWhatWouldDo) {
    Laid laid = laid_out();
    laid.job.sheets.front().thickness = 7;
    laid.job.sheets.front().measured.clear();
    const auto tray = planned(laid);
    ASSERT_FALSE(tray);
    EXPECT_EQ(tray.problem().line, 7);
    EXPECT_NE(tray.problem().what.find("6.00 mm deep for inner"), std::string::npos) << tray.problem().what;
    EXPECT_NE(tray.problem().remedy.find("at least 8.00 mm"), std::string::npos) << tray.problem().remedy;
    EXPECT_NE(tray.problem().remedy.find("at most 5.00 mm for inner"), std::string::npos) << tray.problem().remedy;
    EXPECT_NE(tray.problem().remedy.find("top = 1.00"), std::string::npos) << tray.problem().remedy;
    laid.job.tray->proud = 1.0;
    EXPECT_TRUE(planned(laid)) << "what it says does";
}

TEST(FlushTops, SaysWhichPieceWouldStandProudByMoreThanItsThickness) {
    Laid laid = laid_out();
    laid.job.tray->proud = 5.0;
    const auto tray = planned(laid);
    ASSERT_FALSE(tray);
    EXPECT_NE(tray.problem().what.find("ell would stand proud by 5.00 mm"), std::string::npos) << tray.problem().what;
}

TEST(FlushTops, SaysWhichPieceRestsOnTooLittleAndTheCutterThatWouldDo) {
    // A thin L around a deeper block: a wide cutter that clears the block's corner takes the L's floor away.
    Laid laid = laid_out();
    const double c = kClearance;
    laid.pieces.resize(2);
    laid.pieces[0].outline = laid.pieces[0].as_cut =
        plane::largest(plane::subtract({block(0, 0, 60, 60)}, {block(3 - c, 3 - c, 61, 61)}));
    laid.pieces[1].outline = laid.pieces[1].as_cut = block(3, 3, 60, 60);
    laid.wall = recess({60, 60}, kRadius);
    const auto tray = planned(laid, {flat(20)});
    ASSERT_FALSE(tray);
    EXPECT_NE(tray.problem().what.find("ell would rest on"), std::string::npos) << tray.problem().what;
    const auto at = tray.problem().remedy.find("at most ");
    ASSERT_NE(at, std::string::npos) << tray.problem().remedy;
    EXPECT_TRUE(planned(laid, {flat(std::stod(tray.problem().remedy.substr(at + 8)))})) << "what it says does";
}

/// The clearing cutter's finishing feed would be beyond the machine at the speed of its clearing.
TEST(FlushTops, ACutterThatFinishesNothingNeedsNoFinishingFeed) {
    auto job = load_job(std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/small/job.toml");
    ASSERT_TRUE(job);
    Laid laid = laid_out();
    laid.job = std::move(job).value();
    for (PlannedPiece& piece : laid.pieces)
        piece.sheet = "nowhere", piece.thickness = piece.id == "inner" ? 7.06 : 3.24;
    const std::vector<shop::Cutter> cutters{laid.job.cutters[2], laid.job.cutters[1], laid.job.cutters[0]};
    ASSERT_EQ(cutters.front().name, "clearing-25");
    const auto tray = planned(laid, cutters);
    ASSERT_TRUE(tray) << to_string(tray.problem());
    const auto built = build_tray_setup(laid.job, laid.job.sheets.front(), tray.value(), cutters);
    ASSERT_TRUE(built) << to_string(built.problem());
    const auto notes = built.value().setup.notes;
    ASSERT_FALSE(notes.empty());
    EXPECT_NE(
        notes.front().find("2 floors, 3.24 to 7.06 mm deep; all tops end level with the rim; every piece rests on"),
        std::string::npos)
        << notes.front();
}

} // namespace
} // namespace kerfwright::job
