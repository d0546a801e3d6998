#include "plane/arcs.hpp"
#include "toolpath/height_field.hpp"
#include "toolpath/path_check.hpp"
#include "toolpath/shapes.hpp"
#include "toolpath/toolpath.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cstdlib>
#include <map>

namespace kerfwright::toolpath {
namespace {

using pathcheck::moves_of;
using plane::Polygon;
using plane::Shape;
using plane::Vec;

constexpr double kEdge = 0.005; // mm, how true finished walls are
constexpr double kStep = 0.025; // mm, how true steps between floors are: thin ends of floors are thinned away
constexpr double kThickness = 12;

const shop::Machine kMachine;

PocketFeature pocket(std::vector<PocketFloor> floors) {
    std::vector<Shape> areas;
    for (const auto& floor : floors)
        areas.push_back(floor.area);
    return {"tray", std::move(floors), plane::unite(areas)};
}

Shape room(const plane::Ring& ring, double radius, const std::vector<plane::Ring>& islands = {}) {
    Shape shape = plane::normal({ring});
    for (const auto& island : islands)
        shape = plane::subtract(shape, {{island, {}}});
    return plane::opening(shape, radius);
}

std::vector<CutterRun> cut(const std::vector<PocketFeature>& features, const std::vector<Technology>& technologies) {
    auto runs = pocket_runs(features, technologies, samples::on_top(kThickness), kMachine);
    EXPECT_TRUE(runs.ok()) << (runs.ok() ? "" : to_string(runs.problem()));
    return runs.ok() ? std::move(runs).value() : std::vector<CutterRun>{};
}

/// The area at least as deep as -z.
Shape area_below(const PocketFeature& feature, double z) {
    std::vector<Shape> areas;
    for (const auto& floor : feature.floors)
        if (floor.depth >= -z - 1e-6) areas.push_back(floor.area);
    return plane::closing(plane::unite(areas), 0.001);
}

/// Every move stays inside the area of its depth.
void expect_no_gouge(const PocketFeature& feature, const CutterRun& run, double radius) {
    std::map<double, std::pair<Shape, plane::EdgeIndex>> areas;
    double worst = 1e300;
    motion::Vec3 at;
    for (const auto& move : moves_of(run)) {
        if (move.to.z >= 0 && move.from.z >= 0) continue;
        bool first = true;
        for (const auto p : pathcheck::points_of(move, 0.1)) {
            if (p.z >= 0) continue;
            double depth = 1e300; // of the shallowest floor at or below p
            for (const auto& floor : feature.floors)
                if (floor.depth >= -p.z - 1e-6) depth = std::min(depth, floor.depth);
            ASSERT_LT(depth, 1e300) << "below every floor at " << p.x << " " << p.y << " " << p.z;
            auto found = areas.find(depth);
            if (found == areas.end()) {
                Shape shape = area_below(feature, -depth);
                found = areas.emplace(depth, std::pair{shape, plane::EdgeIndex(shape)}).first;
            }
            const auto& [shape, edges] = found->second;
            // Which side: once for each move, since none gets to the other side without meeting the edge.
            const bool outside = first && !contains(shape, plane::to_grid({p.x, p.y}));
            first = false;
            const double distance = edges.nearest({p.x, p.y})->distance;
            if (const double room = (outside ? -distance : distance) - radius; room < worst) worst = room, at = p;
        }
    }
    const double tolerance = feature.floors.size() > 1 ? kStep : kEdge;
    EXPECT_GT(worst, -tolerance) << "at " << at.x << " " << at.y << " " << at.z;
}

/// Fewer vertices, within 2 µm.
Shape sparse(const Shape& shape) {
    std::vector<plane::Ring> rings;
    for (const auto& ring : plane::rings_of(shape))
        rings.push_back(plane::simplified(ring, 0.002));
    return plane::normal(rings);
}

/// What the last cutter can reach of every floor is cleared down to it.
void expect_cleared(const PocketFeature& feature, const std::vector<CutterRun>& runs,
                    const std::vector<Technology>& technologies) {
    const double least = technologies.back().cutter.radius();
    for (const auto& floor : feature.floors) {
        Shape reach = plane::intersect(
            sparse(plane::offset(plane::opening(area_below(feature, -floor.depth), least), -0.05)), floor.area);
        // A shallower floor thinner than the allowance along the wall keeps the last cutter up.
        if (const Shape up = plane::subtract(feature.wall, area_below(feature, -floor.depth)); !up.empty())
            reach = plane::subtract(reach, plane::subtract(plane::offset(up, 0.3), plane::offset(feature.wall, -0.3)));
        std::vector<std::pair<plane::EdgeIndex, double>> ways;
        for (const auto& run : runs)
            for (const auto& technology : technologies)
                if (technology.cutter.name == run.cutter)
                    ways.emplace_back(pathcheck::way_at(moves_of(run), -floor.depth, 0.2), technology.cutter.radius());
        const plane::Box box = plane::bounds(floor.area);
        int left = 0;
        Vec at;
        for (double x = box.low.x; x < box.high.x; x += 0.43)
            for (double y = box.low.y; y < box.high.y; y += 0.43) {
                const auto p = plane::to_grid({x, y});
                if (!contains(reach, p)) continue;
                const bool cleared = std::any_of(ways.begin(), ways.end(), [&](const auto& way) {
                    return way.first.nearest({x, y}, way.second + 0.003).has_value();
                });
                if (!cleared) ++left, at = {x, y};
            }
        EXPECT_EQ(left, 0) << "left standing near " << at.x << " " << at.y << " at depth " << floor.depth;
    }
}

void expect_sound(const CutterRun& run, const Technology& technology) {
    const auto moves = moves_of(run);
    ASSERT_FALSE(moves.empty());
    EXPECT_TRUE(pathcheck::chained(moves, {0, 0, 5}));
    EXPECT_EQ(run.n, technology.rough.setting.n);
    for (const Workingstep& step : run.steps) {
        EXPECT_EQ(step.moves.front().from.z, 5);
        EXPECT_EQ(step.moves.back().to.z, 5);
    }
    for (const auto& move : moves) {
        EXPECT_EQ(move.spindle, run.n);
        if (move.kind == motion::MoveKind::rapid) {
            const bool across = move.from.x != move.to.x || move.from.y != move.to.y;
            EXPECT_TRUE(!across || (move.from.z == move.to.z && (move.to.z == 5 || move.to.z == 1)));
            EXPECT_GE(move.to.z, 1);
        } else {
            EXPECT_GT(move.feed, 0);
            EXPECT_TRUE(move.to.z >= move.from.z - 1e-6 || move.feed <= technology.rough.setting.plunge_feed);
        }
    }
    EXPECT_LE(pathcheck::descent_of(moves, 0).steepest, technology.rough.setting.ramp_angle + 0.02);
}

void expect_safe_removal(const PocketFeature& feature, const std::vector<CutterRun>& runs,
                         const std::vector<Technology>& technologies) {
    constexpr double kCell = 0.2;
    pathcheck::HeightField field(plane::grown(plane::bounds(feature.wall), 5), 0, kCell);
    for (const auto& run : runs)
        for (const auto& technology : technologies) {
            if (technology.cutter.name != run.cutter) continue;
            for (const auto& step : run.steps) {
                pathcheck::Met met;
                const auto& setting = technology.rough.setting;
                field.run(step.moves, technology.cutter.radius(), setting.ae, met);
                EXPECT_EQ(met.rapid, 0) << step.name << " " << met.rapid_at.x << " " << met.rapid_at.y << " "
                                        << met.rapid_at.z;
                // Between steps there are spots with room for the last cutter and no more: it bores them.
                const bool bores = feature.floors.size() > 1 && run.cutter == technologies.back().cutter.name;
                EXPECT_TRUE(bores || met.plunge < 1e-6)
                    << step.name << " " << met.plunge_at.x << " " << met.plunge_at.y << " " << met.plunge_at.z;
                EXPECT_TRUE(step.step == cutting::Step::finish || met.depth < setting.ap + 1e-3)
                    << step.name << " cuts " << met.depth << " deep at " << met.depth_at.x << " " << met.depth_at.y
                    << " " << met.depth_at.z;
                ::testing::Test::RecordProperty(run.cutter + " wide share",
                                                std::to_string(met.wide_way / std::max(1.0, met.level_way)));
                if (std::getenv("TELL") != nullptr)
                    std::printf("  %s: %s level %.0f wide %.0f\n", run.cutter.c_str(), step.name.c_str(), met.level_way,
                                met.wide_way);
            }
        }
}

Technology named(Technology technology, const std::string& name) {
    technology.cutter.name = name;
    return technology;
}

std::vector<CutterRun> expect_good(const PocketFeature& feature, const std::vector<Technology>& technologies) {
    const auto runs = cut({feature}, technologies);
    EXPECT_FALSE(runs.empty());
    if (runs.empty()) return runs;
    for (const auto& run : runs)
        for (const auto& technology : technologies)
            if (technology.cutter.name == run.cutter) {
                expect_sound(run, technology);
                expect_no_gouge(feature, run, technology.cutter.radius());
            }
    expect_cleared(feature, runs, technologies);
    expect_safe_removal(feature, runs, technologies);
    // The wall comes out true at the shallowest floor.
    double depth = 1e300;
    for (const auto& floor : feature.floors)
        depth = std::min(depth, floor.depth);
    std::vector<motion::Move> moves;
    for (const auto& run : runs)
        if (run.cutter == technologies.back().cutter.name) moves = moves_of(run);
    const auto wall =
        pathcheck::edge_deviation(moves, plane::rings_of(feature.wall), technologies.back().cutter.radius(), -depth);
    EXPECT_LT(wall.high, 0.012);
    EXPECT_GT(wall.low, -kEdge);
    return runs;
}

TEST(Pocket, rectangle_with_one_cutter) {
    expect_good(pocket({{5, room(plane::rectangle({20, 20}, {90, 70}), 3)}}), {samples::technology(6)});
}

TEST(Pocket, islands_stand) {
    expect_good(pocket({{4, room(plane::rectangle({20, 20}, {100, 80}), 3,
                                 {samples::circle({50, 50}, 8), samples::circle({80, 45}, 5)})}}),
                {samples::technology(6)});
}

TEST(Pocket, a_small_cutter_takes_what_a_large_one_left) {
    const auto feature = pocket({{4, room(samples::blob(5, {70, 70}, 45), 1.5)}});
    expect_good(feature, {named(samples::technology(12), "large"), named(samples::technology(3), "small")});
    // The small one does not do the large one's work again.
    const auto runs = cut({feature}, {named(samples::technology(12), "large"), named(samples::technology(3), "small")});
    ASSERT_EQ(runs.size(), 2u);
    double small = 0;
    for (const auto& step : runs[1].steps)
        if (step.step == cutting::Step::rest)
            for (const auto& move : step.moves)
                if (move.kind != motion::MoveKind::rapid) small += length(move);
    const double alone =
        plane::area(feature.wall) / 1.35 * 2; // its way if it cleared all: area over stepover, two passes
    EXPECT_LT(small, 0.35 * alone);
}

TEST(Pocket, floors_at_several_depths) {
    const Shape whole = room(samples::blob(11, {70, 70}, 45), 1.5);
    const Shape left = plane::intersect(whole, {{plane::rectangle({0, 0}, {60, 200}), {}}});
    const Shape right = plane::subtract(whole, {{plane::rectangle({0, 0}, {85, 200}), {}}});
    const Shape middle = plane::subtract(plane::subtract(whole, left), right);
    expect_good(pocket({{5.8, left}, {6.1, middle}, {3.2, right}}),
                {named(samples::technology(12), "large"), named(samples::technology(3), "small")});
}

TEST(Pocket, a_cutter_that_does_not_cut_at_its_centre_ramps_or_stays_out) {
    Technology large = named(samples::technology(25, 2), "clearing");
    large.cutter.centre_cutting = false;
    large.cutter.max_ramp = 2;
    large.rough.setting.ramp_angle = 2;
    // A dumbbell: two rooms and a neck. The rooms take the large cutter, the neck does not.
    Shape shape =
        plane::unite({plane::normal({samples::circle({40, 60}, 35)}), plane::normal({samples::circle({140, 60}, 30)}),
                      plane::normal({plane::rectangle({40, 52}, {140, 68})})});
    shape = plane::opening(shape, 3);
    expect_good(pocket({{5, shape}}), {large, named(samples::technology(6), "small")});
    // A pocket hardly larger than the cutter: no room to go down.
    const auto tight = pocket_runs({pocket({{5, room(samples::circle({50, 50}, 13), 1)}})}, {large},
                                   samples::on_top(kThickness), kMachine);
    ASSERT_FALSE(tight.ok());
    EXPECT_NE(tight.problem().what.find("tray"), std::string::npos);
}

TEST(Pocket, no_allowance_means_no_finishing) {
    const auto runs =
        cut({pocket({{5, room(plane::rectangle({20, 20}, {60, 60}), 3)}})}, {samples::technology(6, 2, 0)});
    for (const auto& step : runs.front().steps)
        EXPECT_NE(step.step, cutting::Step::finish);
    expect_good(pocket({{5, room(plane::rectangle({20, 20}, {60, 60}), 3)}}), {samples::technology(6, 2, 0)});
}

TEST(Pocket, says_where_the_wall_is_out_of_reach) {
    const auto runs = pocket_runs({pocket({{5, {{plane::rectangle({20, 20}, {60, 60}), {}}}}})},
                                  {samples::technology(6)}, samples::on_top(12), kMachine);
    EXPECT_FALSE(runs.ok());
    EXPECT_FALSE(pocket_runs({}, {}, samples::on_top(12), kMachine).ok());
    EXPECT_TRUE(pocket_runs({}, {samples::technology(6)}, samples::on_top(12), kMachine).ok());
}

TEST(Pocket, the_same_input_gives_the_same_moves) {
    const auto feature = pocket({{4, room(samples::blob(3, {70, 70}, 40), 1.5)}});
    const std::vector<Technology> technologies{named(samples::technology(12), "large"),
                                               named(samples::technology(3), "small")};
    const auto first = cut({feature}, technologies);
    const auto second = cut({feature}, technologies);
    ASSERT_EQ(first.size(), second.size());
    for (std::size_t r = 0; r < first.size(); ++r) {
        const auto a = moves_of(first[r]);
        const auto b = moves_of(second[r]);
        ASSERT_EQ(a.size(), b.size());
        for (std::size_t i = 0; i < a.size(); ++i)
            EXPECT_TRUE(a[i].to == b[i].to && a[i].centre == b[i].centre);
    }
}

void expect_blob_good(std::uint64_t seed, int size, double small, int island_count, bool two, double allowance,
                      double depth) {
    SCOPED_TRACE(fmt::format("seed {} size {} cutter {} islands {} two {} allowance {} depth {}", seed, size, small,
                             island_count, two, allowance, depth));
    std::vector<plane::Ring> islands;
    if (island_count > 0) islands.push_back(samples::blob(seed + 1, {50, 55}, 9));
    const Shape wall = room(samples::blob(seed, {60, 60}, size), small / 2, islands);
    std::vector<Technology> technologies;
    if (two) technologies.push_back(named(samples::technology(12, 2, 0.2), "large"));
    technologies.push_back(named(samples::technology(small, 2, allowance), "small"));
    expect_good(pocket({{depth, wall}}), technologies);
}

/// A spot hardly wider than the large cutter, which the small one clears.
TEST(Pocket, blob_5286) {
    expect_blob_good(5286, 17, 3, 1, true, 0.2, 1.5);
}

/// A ramp that ends a hair before the end of a span.
TEST(Pocket, blob_163295) {
    expect_blob_good(163295, 16, 6, 0, false, 0.2, 1.5);
}

RC_GTEST_PROP(Pocket, blobs_with_islands_are_cleared_and_not_gouged, ()) {
    const auto seed = *rc::gen::inRange<std::uint64_t>(0, 1'000'000);
    const double small = *rc::gen::element(3.0, 6.0);
    const bool two = *rc::gen::arbitrary<bool>();
    const double allowance = *rc::gen::element(0.0, 0.2);
    const int islands = *rc::gen::arbitrary<bool>() ? 1 : 0;
    const int size = *rc::gen::inRange(15, 40);
    expect_blob_good(seed, size, small, islands, two, allowance, *rc::gen::element(1.5, 4.0));
}

/// After all runs: no cell of a floor lower than it, by cells that lie in the cutter as a whole; none higher where the
/// last cutter reaches, by cells that the cutter may have touched at all.
void expect_level_floors(const PocketFeature& feature, const std::vector<CutterRun>& runs,
                         const std::vector<Technology>& technologies) {
    constexpr double kCell = 0.2;
    const plane::Box box = plane::grown(plane::bounds(feature.wall), 2);
    pathcheck::HeightField least(box, 0, kCell), most(box, 0, kCell);
    pathcheck::Met met;
    for (const auto& run : runs)
        for (const auto& technology : technologies) {
            if (technology.cutter.name != run.cutter) continue;
            least.run(moves_of(run), technology.cutter.radius(), 1, met);
            most.run(moves_of(run), technology.cutter.radius() + 2 * kCell, 1, met);
        }
    const double reach = technologies.back().cutter.radius();
    for (const auto& floor : feature.floors) {
        const Shape inside = sparse(plane::offset(floor.area, -0.05));
        const Shape reached =
            sparse(plane::intersect(plane::opening(area_below(feature, -floor.depth), reach), inside));
        int deep = 0, high = 0;
        Vec deep_at, high_at;
        const plane::Box bounds = plane::bounds(floor.area);
        for (double x = std::floor(bounds.low.x / kCell) * kCell; x < bounds.high.x; x += kCell)
            for (double y = std::floor(bounds.low.y / kCell) * kCell; y < bounds.high.y; y += kCell) {
                const Vec p = least.centre_near({x, y});
                if (least.at(p) < -floor.depth - 1e-6 && contains(inside, plane::to_grid(p))) ++deep, deep_at = p;
                if (most.at(p) > -floor.depth + 1e-6 && contains(reached, plane::to_grid(p))) ++high, high_at = p;
            }
        EXPECT_EQ(deep, 0) << "too deep at " << deep_at.x << " " << deep_at.y << " in the floor " << floor.depth;
        EXPECT_EQ(high, 0) << "stands at " << high_at.x << " " << high_at.y << " on the floor " << floor.depth;
    }
}

/// A pocket cut into floors by straight and round borders, as many depths as asked.
PocketFeature stepped_blob(std::uint64_t seed, int size, double radius, int depths, bool island) {
    std::vector<plane::Ring> islands;
    if (island) islands.push_back(samples::blob(seed + 1, {55, 57}, 0.3 * size));
    const Shape wall{plane::largest(room(samples::blob(seed, {60, 60}, size), radius, islands))};
    Shape rest = wall;
    Random random(seed + 2);
    std::vector<PocketFloor> floors;
    for (int k = 1; k < depths; ++k) {
        const Vec at{60 + random.uniform(-0.7, 0.7) * size, 60 + random.uniform(-0.7, 0.7) * size};
        const plane::Ring border = k % 2 == 0 ? samples::circle(at, random.uniform(0.4, 0.8) * size)
                                              : plane::rectangle(at, at + Vec{2.0 * size, 2.0 * size});
        floors.push_back({random.uniform(1.5, 6.5), plane::intersect(rest, {{border, {}}})});
        rest = plane::subtract(rest, {{border, {}}});
    }
    floors.push_back({random.uniform(1.5, 6.5), rest});
    std::erase_if(floors, [](const PocketFloor& floor) { return floor.area.empty(); });
    return {"tray", std::move(floors), wall};
}

void expect_stepped_good(std::uint64_t seed, int size, int depths, bool island, double allowance,
                         bool thoroughly = true) {
    SCOPED_TRACE(
        fmt::format("seed {} size {} depths {} island {} allowance {}", seed, size, depths, island, allowance));
    const PocketFeature feature = stepped_blob(seed, size, 1.5, depths, island);
    const std::vector<Technology> technologies{named(samples::technology(12), "large"),
                                               named(samples::technology(3, 2, allowance), "small")};
    expect_level_floors(feature, thoroughly ? expect_good(feature, technologies) : cut({feature}, technologies),
                        technologies);
}

RC_GTEST_PROP(Pocket, floors_at_random_depths_are_cut_to_their_depth, ()) {
    constexpr int kEnough = 6; // for one run: each is a whole toolpath and two dense height fields
    static int cases = 0;
    if (++cases > kEnough) return;
    const auto seed = *rc::gen::inRange<std::uint64_t>(0, 1'000'000);
    const int depths = *rc::gen::inRange(2, 5);
    const bool island = *rc::gen::arbitrary<bool>();
    const double allowance = *rc::gen::element(0.0, 0.2);
    expect_stepped_good(seed, *rc::gen::inRange(12, 18), depths, island, allowance, false);
}

/// Spots between a step and the wall with room for the finishing pass but not for its allowance.
TEST(Pocket, steps_12) {
    expect_stepped_good(12, 16, 2, true, 0.2);
}

/// A crescent along the wall, too narrow for its depth, is cut as deep as the floor beside it.
TEST(Pocket, steps_10) {
    expect_stepped_good(10, 25, 3, true, 0);
}

/// Three floors within a tenth of a millimetre of the wall.
TEST(Pocket, steps_92) {
    expect_stepped_good(92, 19, 4, true, 0.2);
}

} // namespace
} // namespace kerfwright::toolpath
