// The proof's own geometry against dense sampling.

#include "base/random.hpp"
#include "proof/path.hpp"
#include "proof/sweep.hpp"

#include <gtest/gtest.h>

#include <map>

using namespace kerfwright;
using namespace kerfwright::proof;
using motion::Move;
using motion::MoveKind;

namespace {

Move random_move(Random& random, bool arc, bool level) {
    Move move;
    move.kind = arc ? MoveKind::arc : MoveKind::line;
    const auto coordinate = [&] { return random.uniform(-10, 10); };
    move.from = {coordinate(), coordinate(), random.uniform(-4, 0)};
    if (arc) {
        move.centre = {coordinate(), coordinate(), 0};
        const double radius = std::hypot(move.from.x - move.centre.x, move.from.y - move.centre.y);
        const double angle = random.uniform(0, 2 * std::numbers::pi);
        move.to = {move.centre.x + radius * std::cos(angle), move.centre.y + radius * std::sin(angle), 0};
        move.clockwise = random.below(2) == 1;
        if (random.below(8) == 0) move.to = move.from;
    } else {
        move.to = {coordinate(), coordinate(), 0};
        if (random.below(8) == 0) move.to = move.from;
    }
    move.to.z = level ? move.from.z : random.uniform(-4, 0);
    return move;
}

shop::Cutter cutter_of(shop::CutterKind kind) {
    shop::Cutter cutter;
    cutter.kind = kind;
    cutter.DC = kind == shop::CutterKind::tapered ? 2 : 6;
    cutter.tip_angle = kind == shop::CutterKind::drill ? 118 : 180;
    cutter.taper = kind == shop::CutterKind::tapered ? 20 : 0;
    cutter.APMX = 5;
    return cutter;
}

/// The lowest bottom over a point, by asking the move itself at many places.
std::optional<double> sampled_height(const Move& move, const CutterBody& body, plane::Vec at, double radius) {
    std::optional<double> lowest;
    constexpr int steps = 4000;
    for (int i = 0; i <= steps; ++i) {
        const motion::Vec3 tip = motion::point_at(move, static_cast<double>(i) / steps);
        const double d = std::hypot(tip.x - at.x, tip.y - at.y);
        if (d > radius) continue;
        const double z = tip.z + body.height_at(std::min(d, body.radius()));
        lowest = lowest ? std::min(*lowest, z) : z;
    }
    return lowest;
}

} // namespace

TEST(Sweep, HeightsAreThoseOfDenseSampling) {
    Random random(1);
    for (const auto kind :
         {shop::CutterKind::flat, shop::CutterKind::ball, shop::CutterKind::drill, shop::CutterKind::tapered})
        for (int trial = 0; trial < 120; ++trial) {
            const CutterBody body(cutter_of(kind));
            const Move move = random_move(random, trial % 2 == 1, trial % 4 < 2);
            std::vector<Piece> pieces;
            append_pieces(move, 0, 0, !body.flat(), pieces);
            if (pieces.empty()) // stands still
                continue;
            // helices of pointed cutters are chords within a micrometre, and a cone turns that into up to 3 of height
            const double slack = pieces.size() > 1 ? 0.003 : 1e-6;
            for (int place = 0; place < 12; ++place) {
                const plane::Vec at{random.uniform(-12, 12), random.uniform(-12, 12)};
                std::optional<double> swept;
                for (const Piece& piece : pieces)
                    if (const auto z = swept_height(piece, body, at)) swept = swept ? std::min(*swept, *z) : z;
                // a slightly thinner and a slightly thicker cutter enclose the truth at the rim
                const auto inner = sampled_height(move, body, at, body.radius() - 0.02);
                const auto outer = sampled_height(move, body, at, body.radius() + 0.02);
                if (inner) {
                    ASSERT_TRUE(swept) << "kind " << int(kind) << " trial " << trial;
                    EXPECT_LE(*swept, *inner + slack) << "kind " << int(kind) << " trial " << trial;
                }
                if (swept) {
                    ASSERT_TRUE(outer);
                    EXPECT_GE(*swept, *outer - 0.02) << "kind " << int(kind) << " trial " << trial;
                }
            }
        }
}

namespace {

struct Record {
    std::map<std::pair<int, int>, Height> cells;
    void run(int row, int first, int last, Height z) {
        for (int column = first; column < last; ++column)
            at(row, column, z);
    }
    void at(int row, int column, Height z) {
        const auto [place, fresh] = cells.try_emplace({row, column}, z);
        if (!fresh) place->second = std::min(place->second, z);
    }
};

} // namespace

TEST(Sweep, TileTouchesJustTheCellsTheCutterCovers) {
    Random random(2);
    for (int trial = 0; trial < 200; ++trial) {
        const CutterBody body(cutter_of(trial % 3 == 0 ? shop::CutterKind::ball : shop::CutterKind::flat));
        const Move move = random_move(random, trial % 2 == 1, trial % 4 < 2);
        std::vector<Piece> pieces;
        append_pieces(move, 0, 0, !body.flat(), pieces);
        const TileFrame tile{{random.uniform(-14, 2), random.uniform(-14, 2)}, 0.21, 60, 50};
        for (const Piece& piece : pieces) {
            Record record;
            sweep(piece, body, tile, record);
            for (int row = 0; row < tile.rows; ++row)
                for (int column = 0; column < tile.columns; ++column) {
                    const plane::Vec at = tile.centre(column, row);
                    const auto z = swept_height(piece, body, at);
                    const auto found = record.cells.find({row, column});
                    const double rim = std::abs(nearest(piece, at).distance - body.radius());
                    if (rim < 1e-9) continue;
                    ASSERT_EQ(z.has_value(), found != record.cells.end()) << "trial " << trial;
                    if (z) {
                        EXPECT_NEAR(*z, height_mm(found->second), 2e-5);
                    }
                }
        }
    }
}

TEST(Pieces, NearestIsThatOfDenseSampling) {
    Random random(3);
    for (int trial = 0; trial < 300; ++trial) {
        const Move move = random_move(random, trial % 2 == 1, false);
        std::vector<Piece> pieces;
        append_pieces(move, 0, 0, false, pieces);
        if (pieces.empty()) continue;
        ASSERT_EQ(pieces.size(), 1u);
        const plane::Vec at{random.uniform(-15, 15), random.uniform(-15, 15)};
        double least = 1e300;
        for (int i = 0; i <= 5000; ++i) {
            const motion::Vec3 p = motion::point_at(move, i / 5000.0);
            least = std::min(least, std::hypot(p.x - at.x, p.y - at.y));
        }
        const NearestOnPiece near = nearest(pieces[0], at);
        EXPECT_NEAR(near.distance, least, 0.02);
        EXPECT_LE(near.distance, least + 1e-9);
        const motion::Vec3 on = point_on(pieces[0], near.share);
        EXPECT_NEAR(std::hypot(on.x - at.x, on.y - at.y), near.distance, 1e-9);
        const plane::Box box = plane::grown(box_of(pieces[0]), 1e-9);
        EXPECT_TRUE(on.x >= box.low.x && on.x <= box.high.x && on.y >= box.low.y && on.y <= box.high.y);
    }
}

TEST(Pieces, BelowKeepsWhatLiesBelow) {
    Random random(4);
    for (int trial = 0; trial < 200; ++trial) {
        const Move move = random_move(random, trial % 2 == 1, false);
        std::vector<Piece> pieces;
        append_pieces(move, 0, 0, false, pieces);
        const auto part = below(pieces[0], -2);
        if (!part) {
            EXPECT_GT(pieces[0].lowest(), -2);
            continue;
        }
        EXPECT_LE(part->highest(), -2 + 1e-9);
        EXPECT_NEAR(part->lowest(), pieces[0].lowest(), 1e-9);
        const motion::Vec3 middle = point_on(*part, 0.5);
        EXPECT_NEAR(nearest(pieces[0], {middle.x, middle.y}).distance, 0, 1e-9);
    }
}

TEST(PathTree, FindsWhatASearchThroughAllFinds) {
    Random random(5);
    std::vector<Piece> pieces;
    std::vector<double> radii;
    for (int i = 0; i < 700; ++i) {
        append_pieces(random_move(random, i % 3 == 0, true), static_cast<std::uint32_t>(i), 0, false, pieces);
        radii.resize(pieces.size(), random.uniform(0.5, 3));
    }
    const PathTree tree(pieces, radii);
    for (int trial = 0; trial < 300; ++trial) {
        const plane::Vec at{random.uniform(-30, 30), random.uniform(-30, 30)};
        double least = 1e300;
        std::optional<std::size_t> first;
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            const double gap = nearest(pieces[i], at).distance - radii[i];
            least = std::min(least, gap);
            if (!first && gap <= -1.5) first = i;
        }
        ASSERT_TRUE(tree.closest(at));
        EXPECT_DOUBLE_EQ(tree.closest(at)->gap, least);
        EXPECT_EQ(tree.first_over(at, -1.5), first);
        EXPECT_FALSE(tree.closest(at, least - 1e-9));
    }
}
