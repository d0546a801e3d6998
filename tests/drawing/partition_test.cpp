// make_partition: names, islands, overlaps, gaps, faults.

#include "partition_support.hpp"

#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

namespace kerfwright::drawing {
namespace {

using namespace testing;
using plane::Vec;

ReadOptions with_snap(double snap) {
    ReadOptions options;
    options.snap = snap;
    return options;
}

Drawing clean(std::vector<Outline> outlines, const ReadOptions& options = {}) {
    auto result = make_partition(sketch(std::move(outlines)), "set.svg", options);
    if (!result) {
        ADD_FAILURE() << to_string(result.problem());
        return {};
    }
    expect_clean(result.value());
    return std::move(result).value();
}

std::string refused(std::vector<Outline> outlines, const ReadOptions& options = {}) {
    const auto result = make_partition(sketch(std::move(outlines)), "set.svg", options);
    return result ? "accepted" : to_string(result.problem());
}

// ---- clean input

TEST(Partition, KeepsACleanDrawingAsItIs) {
    const Drawing drawing = clean({outline("b", {box(10, 5, 20, 15)}), outline("a", {box(0, 5, 10, 15)})});
    ASSERT_EQ(drawing.regions.size(), 2U);
    EXPECT_EQ(drawing.regions[0].name, "a");
    EXPECT_EQ(drawing.regions[0].shape, (plane::Shape{{plane::rectangle({0, 0}, {10, 10}), {}}}));
    EXPECT_EQ(drawing.regions[1].shape, (plane::Shape{{plane::rectangle({10, 0}, {20, 10}), {}}}));
    EXPECT_TRUE(drawing.notes.empty());
    EXPECT_DOUBLE_EQ(drawing.width, 20);
    EXPECT_DOUBLE_EQ(drawing.height, 10);
    EXPECT_DOUBLE_EQ(seam_length(drawing, "a", "b"), 10);
    EXPECT_DOUBLE_EQ(seam_length(drawing, "a", "outside"), 30);
}

TEST(Partition, TurnsClockwiseOutlines) {
    auto points = box(-5, -5, 5, 5);
    std::reverse(points.begin(), points.end());
    const Drawing drawing = clean({outline("a", {points})});
    EXPECT_DOUBLE_EQ(plane::area(drawing.regions[0].shape), 100);
}

TEST(Partition, NodesWhereANeighbourEndsOnAnEdge) {
    const Drawing drawing = clean({outline("wide", {box(0, 0, 20, 10)}), outline("left", {box(0, 10, 8, 20)}),
                                   outline("right", {box(8, 10, 20, 20)})});
    EXPECT_EQ(region(drawing, "wide").shape[0].outer.size(), 5U);
    EXPECT_EQ(neighbours(drawing),
              (std::set<std::pair<std::string, std::string>>{{"left", "right"}, {"left", "wide"}, {"right", "wide"}}));
    EXPECT_TRUE(drawing.notes.empty());
}

TEST(Partition, TakesCoordinatesFarFromTheOrigin) {
    const Drawing drawing = clean({outline("a", {box(-20000, 20000, -19990, 20010)})});
    EXPECT_DOUBLE_EQ(drawing.width, 10);
}

// ---- names

TEST(Partition, JoinsOutlinesOfOneNameIntoOneRegion) {
    auto outlines = std::vector<Outline>{outline("", {box(0, 0, 10, 10)}), outline("", {box(20, 0, 30, 10)}),
                                         outline("", {box(10, 0, 20, 10)})};
    outlines[0].layer = outlines[1].layer = "tuff";
    outlines[2].layer = "basalt";
    ReadOptions options;
    options.region = "layer";
    const Drawing drawing = clean(outlines, options);
    ASSERT_EQ(drawing.regions.size(), 2U);
    EXPECT_EQ(region(drawing, "tuff").shape.size(), 2U);
    EXPECT_DOUBLE_EQ(seam_length(drawing, "basalt", "tuff"), 20);
    EXPECT_EQ(clean(outlines).regions.size(), 2U) << "without an id the group names the outline";
}

TEST(Partition, NamesByFillAndByProperty) {
    auto outlines = std::vector<Outline>{outline("p1", {box(0, 0, 10, 10)}), outline("p2", {box(10, 0, 20, 10)})};
    outlines[0].fill = "#ff0000";
    outlines[1].fill = "#00ff00";
    outlines[0].properties = {{"rock", "tuff"}};
    outlines[1].properties = {{"age", "3"}, {"rock", "basalt"}};
    ReadOptions options;
    options.region = "fill";
    EXPECT_EQ(clean(outlines, options).regions[0].name, "#00ff00");
    options.region = "property:rock";
    EXPECT_EQ(clean(outlines, options).regions[0].name, "basalt");
    options.region = "colour";
    EXPECT_EQ(refused(outlines, options),
              "set.svg: regions cannot be named by \"colour\"; use \"id\", \"layer\", \"fill\" or \"property:NAME\"");
}

TEST(Partition, NumbersOutlinesWithoutANameFromLeftToRight) {
    const Drawing drawing = clean({outline("", {box(20, 0, 30, 10)}, 7), outline("region-1", {box(10, 0, 20, 10)}),
                                   outline("", {box(0, 0, 10, 10)})});
    ASSERT_EQ(drawing.regions.size(), 3U);
    EXPECT_EQ(region(drawing, "region-2").shape[0].outer[0], (plane::Point{0, 0}));
    EXPECT_EQ(plane::bounds(region(drawing, "region-3").shape).low.x, 20);
    ASSERT_NE(note_of(drawing, Note::Kind::unnamed), nullptr);
    EXPECT_EQ(drawing.notes[1].text, "an outline without a name (line 7) is called \"region-3\"");
}

TEST(Partition, RefusesOneIdForTwoOutlines) {
    EXPECT_EQ(refused({outline("a", {box(0, 0, 10, 10)}, 3), outline("a", {box(10, 0, 20, 10)}, 9)}),
              "set.svg:9: the id \"a\" (line 9) is already taken (line 3); give every region an id of its own, or name "
              "regions by "
              "layer, fill or property");
}

// ---- regions in regions

TEST(Partition, CutsAnIslandOutOfTheRegionAroundIt) {
    const Drawing drawing = clean({outline("sea", {box(0, 0, 30, 30)}), outline("island", {box(10, 10, 20, 20)}),
                                   outline("lake", {box(12, 12, 15, 15)})});
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "sea").shape), 800);
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "island").shape), 91);
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "lake").shape), 9);
    EXPECT_DOUBLE_EQ(seam_length(drawing, "island", "sea"), 40);
    const auto& island =
        *std::find_if(drawing.seams.begin(), drawing.seams.end(), [](const Seam& s) { return s.a == 0 && s.b == 2; });
    ASSERT_EQ(island.chains.size(), 1U);
    EXPECT_EQ(island.chains[0].front(), island.chains[0].back()) << "all around: a closed chain";
}

TEST(Partition, TheOrderInTheFileDoesNotHideAnIsland) {
    const Drawing drawing = clean({outline("island", {box(10, 10, 20, 20)}), outline("sea", {box(0, 0, 30, 30)})});
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "island").shape), 100);
}

TEST(Partition, AnIslandFitsADrawnHole) {
    for (const double gap : {0.0, 0.02, -0.02}) {
        const Drawing drawing = clean({outline("sea", {box(0, 0, 30, 30), {{10, 10}, {10, 20}, {20, 20}, {20, 10}}}),
                                       outline("island", {box(10 + gap, 10 + gap, 20 - gap, 20 - gap)})});
        EXPECT_DOUBLE_EQ(plane::area(region(drawing, "sea").shape), 800);
        EXPECT_DOUBLE_EQ(plane::area(region(drawing, "island").shape), 100);
        EXPECT_DOUBLE_EQ(seam_length(drawing, "island", "outside"), 0);
    }
}

TEST(Partition, AnIslandMayReachTheCoast) {
    for (const double y : {-0.03, 0.0, 0.03}) {
        const Drawing drawing = clean({outline("sea", {box(0, 0, 30, 30)}), outline("port", {box(10, y, 20, 8)})});
        EXPECT_NEAR(plane::area(region(drawing, "sea").shape), 900 - 80, 0.4) << y;
        EXPECT_NEAR(seam_length(drawing, "port", "sea"), 26, 0.1) << y;
        EXPECT_NEAR(seam_length(drawing, "port", "outside"), 10, 0.1) << y;
    }
}

TEST(Partition, FollowsTheFillRule) {
    auto ring = outline("a", {box(0, 0, 30, 30), box(10, 10, 20, 20)});
    EXPECT_DOUBLE_EQ(plane::area(clean({ring}).regions[0].shape), 900);
    ring.even_odd = true;
    EXPECT_DOUBLE_EQ(plane::area(clean({ring}).regions[0].shape), 800);
}

TEST(Partition, RefusesTwoRegionsInOnePlace) {
    EXPECT_EQ(refused({outline("a", {box(0, 0, 10, 10)}, 1), outline("b", {box(0, 0, 10, 10)}, 2)}),
              "set.svg:2: regions \"a\" and \"b\" lie on top of each other near (5.00, 5.00) mm; delete one of them");
}

TEST(Partition, SaysWhenNothingIsLeftOfARegion) {
    const Drawing drawing = clean(
        {outline("all", {box(0, 0, 20, 10)}), outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10, 0, 20, 10)})});
    EXPECT_EQ(drawing.regions.size(), 2U);
    ASSERT_NE(note_of(drawing, Note::Kind::ignored), nullptr);
    EXPECT_EQ(note_of(drawing, Note::Kind::ignored)->text,
              "nothing is left of \"all\": it is smaller than snap or covered by others");
}

// ---- overlaps and gaps

TEST(Partition, ClosesAGapWithinSnap) {
    const Drawing drawing = clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10.03, 0, 20, 10)})});
    EXPECT_DOUBLE_EQ(seam_length(drawing, "a", "b"), 10);
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "a").shape), 100);
    const Note* note = note_of(drawing, Note::Kind::vertices_moved);
    ASSERT_NE(note, nullptr);
    EXPECT_EQ(note->text, "2 vertices of \"b\" moved onto neighbours, by up to 0.030 mm, there near (10.00, 0.00) mm");
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "b").shape), 100) << "its corners are those of its neighbour now";
}

TEST(Partition, ClosesAGapBetweenDifferentVertices) {
    const Drawing drawing = clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10.03, 2, 20, 8)})});
    EXPECT_DOUBLE_EQ(seam_length(drawing, "a", "b"), 6);
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "a").shape), 100);
    EXPECT_NEAR(plane::area(region(drawing, "b").shape), 60, 1e-3);
    const Note* note = note_of(drawing, Note::Kind::gap_closed);
    ASSERT_NE(note, nullptr);
    EXPECT_EQ(note->regions, (std::vector<std::string>{"a", "b"}));
    EXPECT_NEAR(note->size, 0.03, 0.001);
    EXPECT_EQ(region(drawing, "b").shape[0].outer.size(), 6U)
        << "its own two corners, and the two on its neighbour's edge";
}

TEST(Partition, LeavesAWiderGapOpenAndSaysSo) {
    const Drawing drawing = clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10.06, 0, 20, 10)})});
    EXPECT_TRUE(neighbours(drawing).empty());
    ASSERT_EQ(drawing.notes.size(), 1U);
    EXPECT_EQ(drawing.notes[0].text,
              "\"a\" and \"b\" come within 0.060 mm of each other near (10.06, 0.00) mm but share no border; "
              "raise snap if they should");
    EXPECT_TRUE(clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10.6, 0, 20, 10)})}).notes.empty());
    EXPECT_TRUE(clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(10, 10, 20, 20)})}).notes.empty());
}

TEST(Partition, RemovesAnOverlapWithinSnap) {
    const Drawing drawing = clean({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(9.97, 2, 20, 8)})});
    EXPECT_DOUBLE_EQ(seam_length(drawing, "a", "b"), 6);
    EXPECT_DOUBLE_EQ(plane::area(region(drawing, "a").shape), 100);
    EXPECT_NEAR(plane::area(region(drawing, "b").shape), 60, 1e-3);
    const Note* note = note_of(drawing, Note::Kind::overlap_removed);
    ASSERT_NE(note, nullptr);
    EXPECT_NEAR(note->size, 0.03, 0.0005);
    EXPECT_NEAR(note->at.x, 9.985, 0.02);
}

TEST(Partition, RefusesALargerOverlapWithItsSizeAndPlace) {
    EXPECT_EQ(refused({outline("granite", {box(0, 0, 10, 10)}, 4), outline("tuff", {box(9, 0, 20, 10)}, 5)}),
              "set.svg:5: regions \"granite\" and \"tuff\" overlap by 1 mm near (9.50, 5.00) mm, more than snap = "
              "0.05 mm; move their "
              "borders together, or raise snap if the overlap is not meant");
}

TEST(Partition, RefusesByThicknessNotByArea) {
    // 3 mm² of sliver are fine, 0.1 mm² in a lump are not.
    EXPECT_EQ(clean({outline("a", {box(0, 0, 100, 10)}), outline("b", {box(0, 9.97, 100, 20)})}).regions.size(), 2U);
    EXPECT_NE(refused({outline("a", {box(0, 0, 10, 10)}), outline("b", {box(9.7, 9.7, 20, 20)})}), "accepted");
}

TEST(Partition, ClosesABorderThatRunsToAndFro) {
    // Two drawings of one border, each off by less than snap: gaps and overlaps take turns.
    std::vector<Vec> left{{0, 0}};
    for (int i = 0; i <= 100; ++i)
        left.push_back({20 + 3 * std::sin(i * 0.1) + 0.02 * std::sin(i * 2.7), static_cast<double>(i)});
    left.push_back({0, 100});
    std::vector<Vec> right{{40, 0}, {40, 100}};
    for (int i = 100; i >= 0; --i)
        right.push_back({20 + 3 * std::sin(i * 0.1) - 0.02 * std::sin(i * 1.9), static_cast<double>(i)});
    const Drawing drawing = clean({outline("l", {left}), outline("r", {right})});
    const auto& seam =
        *std::find_if(drawing.seams.begin(), drawing.seams.end(), [](const Seam& s) { return s.b == 1; });
    EXPECT_EQ(seam.chains.size(), 1U);
    EXPECT_NEAR(plane::area(drawing.regions[0].shape) + plane::area(drawing.regions[1].shape), 4000, 0.1);
}

TEST(Partition, ASplinterOfARegionGoesToItsNeighbour) {
    // "b" has a whisker that only touches "a".
    const Drawing drawing = clean({outline("b", {box(0, 0, 10, 10)}), outline("a", {box(10, 0, 20, 10)}), [] {
                                       auto part = outline("", {box(20, 0, 20.02, 10)});
                                       part.layer = "b";
                                       return part;
                                   }()});
    EXPECT_EQ(region(drawing, "b").shape.size(), 1U);
    EXPECT_NE(note_of(drawing, Note::Kind::sliver_removed), nullptr);
}

// ---- faults

TEST(Partition, RefusesAnOutlineThatCrossesItself) {
    const std::string text = refused({outline("bow", {{{0, 0}, {10, 10}, {10, 0}, {0, 10}}}, 12)});
    EXPECT_EQ(
        text,
        "set.svg:12: the outline of \"bow\" crosses itself near (8.33, 5.00) mm, with a loop 4.14 mm wide; redraw the "
        "outline there so that it encloses one area");
}

TEST(Partition, TakesTinyLoopsOut) {
    const Drawing drawing = clean(
        {outline("a", {{{0, 0}, {10, 0}, {10, 10}, {5.01, 10}, {4.99, 10.02}, {5.01, 10.02}, {4.99, 10}, {0, 10}}})});
    EXPECT_NEAR(plane::area(drawing.regions[0].shape), 100, 1e-3);
    ASSERT_NE(note_of(drawing, Note::Kind::self_crossing), nullptr);
}

TEST(Partition, TakesSpikesAndKeyholesOut) {
    const Drawing spike = clean({outline("a", {{{0, 0}, {10, 0}, {10, 5}, {20, 5}, {10, 5}, {10, 10}, {0, 10}}})});
    EXPECT_DOUBLE_EQ(spike.width, 10);
    const Drawing keyhole = clean({outline("a", {{{0, 0},
                                                  {30, 0},
                                                  {30, 30},
                                                  {0, 30},
                                                  {0, 15},
                                                  {10, 15},
                                                  {10, 20},
                                                  {20, 20},
                                                  {20, 10},
                                                  {10, 10},
                                                  {10, 15},
                                                  {0, 15}}})});
    EXPECT_EQ(keyhole.regions[0].shape[0].holes.size(), 1U);
    EXPECT_DOUBLE_EQ(plane::area(keyhole.regions[0].shape), 800);
}

TEST(Partition, RefusesOpenOutlines) {
    Sketch open = sketch({outline("a", {box(0, 0, 10, 10)})});
    open.notes.push_back(
        {Note::Kind::open_outline, "the outline \"b\" is open by 2.5 mm at (3.00, 4.00)", {}, {3, 4}, 2.5});
    const auto result = make_partition(open, "set.dxf", {});
    ASSERT_FALSE(result);
    EXPECT_EQ(to_string(result.problem()), "set.dxf: the outline \"b\" is open by 2.5 mm at (3.00, 4.00); close the "
                                           "outline in the drawing, or take it out");
}

TEST(Partition, RefusesWhatHasNoRegions) {
    EXPECT_EQ(refused({}), "set.svg: there is no closed outline in the drawing; draw each region as a closed outline");
    EXPECT_NE(refused({outline("dot", {box(0, 0, 0.01, 0.01)})}), "accepted");
    EXPECT_NE(refused({outline("line", {{{0, 0}, {10, 0}, {20, 0}}})}), "accepted");
}

TEST(Partition, RefusesASetBeyondTheGrid) {
    EXPECT_EQ(refused({outline("a", {box(-15000, 0, 15000, 10)})}),
              "set.svg: the set would be 30000 × 10 mm large; give a width or a scale that keeps it below 21000 mm");
}

TEST(Partition, RefusesASnapThatMakesNoSense) {
    for (const double snap : {-0.1, 50.0, std::nan("")})
        EXPECT_NE(refused({outline("a", {box(0, 0, 10, 10)})}, with_snap(snap)), "accepted");
    EXPECT_EQ(clean({outline("a", {box(0, 0, 10, 10)})}, with_snap(0)).regions.size(), 1U);
}

TEST(Partition, RefusesATangle) {
    // 300 long thin triangles through one place
    std::vector<Outline> outlines;
    for (int i = 0; i < 300; ++i) {
        const double angle = i * std::numbers::pi / 300;
        const Vec d{100 * std::cos(angle), 100 * std::sin(angle)};
        outlines.push_back(outline("t" + std::to_string(i), {{d, d * -1, Vec{d.y, -d.x} * 0.1}}));
    }
    EXPECT_NE(refused(outlines), "accepted");
    std::vector<Outline> nested;
    for (int i = 0; i < 400; ++i)
        nested.push_back(outline("n" + std::to_string(i), {box(i * 0.2, i * 0.2, 200 - i * 0.2, 200 - i * 0.2)}));
    EXPECT_NE(refused(nested).find("more than 256 outlines lie on top of each other"), std::string::npos);
}

TEST(Partition, RefusesASetThatIsTooSmallForItsDetail) {
    Random random(3);
    std::vector<Outline> outlines;
    for (int i = 0; i < 40; ++i) {
        std::vector<Vec> ring; // stars of a hundredth of a millimetre, with a thousand points
        for (int k = 0; k < 1'000; ++k) {
            const double r = random.uniform(0.004, 0.01);
            ring.push_back(
                {i * 0.001 + r * std::cos(k * 0.002 * std::numbers::pi), r * std::sin(k * 0.002 * std::numbers::pi)});
        }
        outlines.push_back(outline("s" + std::to_string(i), {ring}));
    }
    EXPECT_EQ(refused(outlines),
              "set.svg: the vertices lie closer than snap = 0.05 mm nearly everywhere; give the set its finished "
              "width, or a smaller snap");
}

// ---- notes on what is hard to cut

TEST(Partition, NotesNarrowAndSmallParts) {
    const Drawing dumbbell = clean({outline("d", {{{0, 0},
                                                   {10, 0},
                                                   {10, 4.8},
                                                   {20, 4.8},
                                                   {20, 0},
                                                   {30, 0},
                                                   {30, 10},
                                                   {20, 10},
                                                   {20, 5.2},
                                                   {10, 5.2},
                                                   {10, 10},
                                                   {0, 10}}}),
                                    outline("e", {box(40, 0, 43, 4)})});
    const Note* narrow = note_of(dumbbell, Note::Kind::narrow);
    ASSERT_NE(narrow, nullptr);
    EXPECT_NEAR(narrow->size, 0.4, 1e-9);
    EXPECT_NEAR(narrow->at.y, 5, 1e-9);
    EXPECT_EQ(narrow->text.substr(0, 36), "region \"d\" is only 0.40 mm wide near");
    const Note* small = note_of(dumbbell, Note::Kind::small);
    ASSERT_NE(small, nullptr);
    EXPECT_EQ(small->text, "region \"e\" is small: 3 × 4 mm, 12 mm² near (41.50, 2.00) mm");
    EXPECT_EQ(note_of(clean({outline("wedge", {{{0, 0}, {30, 0}, {30, 30}}})}), Note::Kind::narrow), nullptr)
        << "a corner is no neck";
}

// ---- properties

/// A lattice of cells whose corners are moved at random: a partition by construction, three or four cells to a corner.
struct Lattice {
    int columns, rows;
    std::vector<Vec> corners;
    [[nodiscard]] Vec corner(int i, int j) const { return corners[static_cast<std::size_t>(j * (columns + 1) + i)]; }
};

Lattice random_lattice(Random& random, int columns, int rows, bool brick) {
    Lattice lattice{columns, rows, {}};
    for (int j = 0; j <= rows; ++j)
        for (int i = 0; i <= columns; ++i) {
            const double shift = brick && j % 2 == 1 ? 5 : 0;
            lattice.corners.push_back({i * 10 + shift + random.uniform(-3, 3), j * 10 + random.uniform(-3, 3)});
        }
    return lattice;
}

/// Each cell with its own points along each edge, each moved on its own by up to `jitter`.
std::vector<Outline> cells_of(const Lattice& lattice, Random& random, double jitter) {
    std::vector<Outline> outlines;
    for (int j = 0; j < lattice.rows; ++j)
        for (int i = 0; i < lattice.columns; ++i) {
            const Vec corners[] = {lattice.corner(i, j), lattice.corner(i + 1, j), lattice.corner(i + 1, j + 1),
                                   lattice.corner(i, j + 1)};
            std::vector<Vec> ring;
            for (int k = 0; k < 4; ++k) {
                const auto parts = 1 + random.below(4);
                for (std::uint64_t part = 0; part < parts; ++part) {
                    const double along = static_cast<double>(part) / static_cast<double>(parts);
                    const Vec moved{random.uniform(-jitter, jitter) * 0.7, random.uniform(-jitter, jitter) * 0.7};
                    ring.push_back(corners[k] + (corners[(k + 1) % 4] - corners[k]) * along + moved);
                }
            }
            outlines.push_back(outline("c" + std::to_string(1000 + j * lattice.columns + i), {ring}));
        }
    return outlines;
}

/// A jagged line between two points by midpoint displacement, without its last point. The same for both neighbours, as
/// it depends on the ends alone.
void add_jagged(std::vector<Vec>& out, Vec a, Vec b, int levels) {
    if (levels == 0) {
        out.push_back(a);
        return;
    }
    const bool forward = std::pair(a.x, a.y) < std::pair(b.x, b.y);
    const Vec low = forward ? a : b;
    const Vec high = forward ? b : a;
    const double wave = std::sin(low.x * 12.9898 + low.y * 78.233 + high.x * 37.719 + high.y * 4.581);
    const Vec middle = (low + high) * 0.5 + Vec{low.y - high.y, high.x - low.x} * (0.05 * wave);
    add_jagged(out, a, middle, levels - 1);
    add_jagged(out, middle, b, levels - 1);
}

/// Cells with jagged borders, each drawn on its own with every point moved by up to `jitter`.
std::vector<Outline> jagged_cells(const Lattice& lattice, Random& random, int levels, double jitter) {
    std::vector<Outline> outlines;
    for (int j = 0; j < lattice.rows; ++j)
        for (int i = 0; i < lattice.columns; ++i) {
            std::vector<Vec> ring;
            add_jagged(ring, lattice.corner(i, j), lattice.corner(i + 1, j), levels);
            add_jagged(ring, lattice.corner(i + 1, j), lattice.corner(i + 1, j + 1), levels);
            add_jagged(ring, lattice.corner(i + 1, j + 1), lattice.corner(i, j + 1), levels);
            add_jagged(ring, lattice.corner(i, j + 1), lattice.corner(i, j), levels);
            for (Vec& v : ring)
                v = v + Vec{random.uniform(-jitter, jitter), random.uniform(-jitter, jitter)};
            outlines.push_back(outline("c" + std::to_string(1000 + j * lattice.columns + i), {ring}));
        }
    return outlines;
}

double total_area(const Drawing& drawing) {
    double sum = 0;
    for (const Region& r : drawing.regions)
        sum += plane::area(r.shape);
    return sum;
}

RC_GTEST_PROP(PartitionProperty, JitterBelowHalfOfSnapDoesNotChangeWhoMeetsWhom, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    const Lattice lattice = random_lattice(random, 4, 3, random.below(2) == 1);
    const Drawing exact = clean(cells_of(lattice, random, 0), with_snap(0.05));
    const Drawing jittered = clean(cells_of(lattice, random, 0.024), with_snap(0.05));
    RC_ASSERT(jittered.regions.size() == exact.regions.size());
    RC_ASSERT(neighbours(jittered, 0.3) == neighbours(exact, 0.3));
    RC_ASSERT(std::abs(total_area(jittered) - total_area(exact)) < 0.05 * 160);
    // No gap is left between cells: the outer border is that of the whole lattice.
    double outside = 0;
    for (const Seam& seam : jittered.seams)
        if (seam.b == kOutside) outside += seam.length;
    double outside_exact = 0;
    for (const Seam& seam : exact.seams)
        if (seam.b == kOutside) outside_exact += seam.length;
    RC_ASSERT(std::abs(outside - outside_exact) < 2);
}

RC_GTEST_PROP(PartitionProperty, DenseBordersDrawnTwiceBecomeOne, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    const Lattice lattice = random_lattice(random, 3, 2, true);
    const int levels = 5 + static_cast<int>(random.below(3)); // points 0.3 to 0.08 mm apart
    const auto cells = jagged_cells(lattice, random, levels, 0);
    RC_PRE(make_partition(sketch(cells), "", with_snap(0.001)).ok()); // jags may cross at a sharp corner
    const Drawing exact = clean(cells);
    const Drawing jittered = clean(jagged_cells(lattice, random, levels, 0.012));
    RC_ASSERT(neighbours(jittered, 0.3) == neighbours(exact, 0.3));
    for (std::size_t i = 0; i < exact.regions.size(); ++i) {
        RC_ASSERT(jittered.regions[i].name == exact.regions[i].name);
        const double moved = std::abs(plane::area(jittered.regions[i].shape) - plane::area(exact.regions[i].shape));
        RC_ASSERT(moved < 0.05 * plane::perimeter(exact.regions[i].shape));
        RC_ASSERT(jittered.regions[i].shape.size() == 1U);
        RC_ASSERT(jittered.regions[i].shape[0].holes.empty()); // no pocket is left open in a border
    }
}

RC_GTEST_PROP(PartitionProperty, TheOrderOfOutlinesDoesNotChangeACleanDrawing, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    const Lattice lattice = random_lattice(random, 3, 3, true);
    auto outlines = cells_of(lattice, random, 0);
    const Drawing one = clean(outlines);
    std::reverse(outlines.begin(), outlines.end());
    const Drawing other = clean(outlines);
    RC_ASSERT(one.regions.size() == other.regions.size());
    RC_ASSERT(neighbours(one) == neighbours(other));
}

RC_GTEST_PROP(PartitionProperty, IslandsInIslandsFillTheWhole, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    std::vector<Outline> outlines;
    const int count = 2 + static_cast<int>(random.below(6));
    for (int i = 0; i < count; ++i) {
        std::vector<Vec> star;
        for (int k = 0; k < 24; ++k) {
            const double r = (60 - i * 8) + random.uniform(-1.5, 1.5);
            star.push_back({r * std::cos(k * std::numbers::pi / 12), r * std::sin(k * std::numbers::pi / 12)});
        }
        outlines.push_back(outline("s" + std::to_string(i), {star}));
    }
    const double whole = std::abs(plane::signed_area(outlines[0].rings[0]));
    std::swap(outlines.front(), outlines.back());
    const Drawing drawing = clean(outlines);
    RC_ASSERT(drawing.regions.size() == static_cast<std::size_t>(count));
    RC_ASSERT(std::abs(total_area(drawing) - whole) < 1e-6);
}

RC_GTEST_PROP(PartitionProperty, SameInputSameDrawing, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    const auto outlines = cells_of(random_lattice(random, 3, 2, false), random, 0.02);
    const Drawing one = clean(outlines);
    const Drawing two = clean(outlines);
    RC_ASSERT(one.regions.size() == two.regions.size());
    for (std::size_t i = 0; i < one.regions.size(); ++i)
        RC_ASSERT(one.regions[i].shape == two.regions[i].shape);
    for (std::size_t i = 0; i < one.seams.size(); ++i)
        RC_ASSERT(one.seams[i].chains == two.seams[i].chains);
}

} // namespace
} // namespace kerfwright::drawing
