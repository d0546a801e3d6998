#include "toolpath/height_field.hpp"
#include "toolpath/path_check.hpp"
#include "toolpath/shapes.hpp"
#include "toolpath/toolpath.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <map>
#include <string>

namespace kerfwright::toolpath {
namespace {

using pathcheck::moves_of;
using plane::Polygon;
using plane::Shape;
using plane::Vec;

constexpr double kEdge = 0.005; // mm, how true finished edges are
constexpr double kThickness = 6;
constexpr double kThrough = -0.2; // program Z of a cut through

const shop::Machine kMachine;

Polygon square(Vec low, double side) {
    return {plane::rectangle(low, low + Vec{side, side}), {}};
}

CutterRun cut(const std::vector<ProfileFeature>& features, const Technology& technology,
              double thickness = kThickness) {
    auto run = profile_run(features, technology, samples::on_bed(thickness), kMachine);
    EXPECT_TRUE(run.ok()) << (run.ok() ? "" : to_string(run.problem()));
    return run.ok() ? std::move(run).value() : CutterRun{};
}

/// What must hold of every run, whatever is cut.
void expect_sound(const CutterRun& run, const Technology& technology, double thickness = kThickness) {
    const auto frame = samples::on_bed(thickness);
    const auto moves = moves_of(run);
    ASSERT_FALSE(moves.empty());
    EXPECT_TRUE(pathcheck::chained(moves, {0, 0, frame.clearance}));
    for (const Workingstep& step : run.steps) {
        EXPECT_EQ(step.moves.front().from.z, frame.clearance);
        EXPECT_EQ(step.moves.back().to.z, frame.clearance);
    }
    for (const motion::Move& move : moves) {
        EXPECT_EQ(move.spindle, run.n);
        if (move.kind == motion::MoveKind::rapid) {
            const bool across = move.from.x != move.to.x || move.from.y != move.to.y;
            EXPECT_TRUE(!across || std::min(move.from.z, move.to.z) == frame.clearance);
            EXPECT_TRUE(move.to.z >= std::min(move.from.z, frame.near_top));
        } else {
            EXPECT_GT(move.feed, 0);
            EXPECT_LE(move.feed, technology.rough.setting.vf);
            EXPECT_TRUE(move.to.z >= move.from.z - 1e-6 || move.feed <= technology.rough.setting.plunge_feed);
        }
    }
}

/// No rapid and no straight plunge meets material, and no roughing move cuts deeper than its pass.
void expect_safe_removal(const CutterRun& run, const Technology& technology, const Polygon& part) {
    const double radius = technology.cutter.radius();
    pathcheck::HeightField field(plane::grown(plane::bounds(part), 4 * radius), kThickness, 0.2);
    for (const Workingstep& step : run.steps) {
        pathcheck::Met met;
        field.run(step.moves, radius, 2 * radius, met);
        EXPECT_EQ(met.rapid, 0) << step.name;
        EXPECT_LT(met.plunge, 1e-6) << step.name << " at " << met.plunge_at.x << " " << met.plunge_at.y;
        EXPECT_TRUE(step.step == cutting::Step::finish || met.depth < technology.rough.setting.ap + 1e-3)
            << step.name << " cuts " << met.depth << " deep at " << met.depth_at.x << " " << met.depth_at.y;
    }
}

TEST(Profile, edge_of_a_square_comes_out_true_and_untouched) {
    const Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 50);
    const CutterRun run = cut({{"profile a", part, kThrough, {}}}, technology);
    expect_sound(run, technology);
    const auto moves = moves_of(run);
    const auto edge = pathcheck::edge_deviation(moves, {part.outer}, 3, kThrough);
    EXPECT_LT(edge.high, kEdge);
    EXPECT_GT(edge.low, -kEdge);
    EXPECT_GT(pathcheck::least_clearance(moves, {part}, 3, kThickness), -kEdge);
    double lowest = 1e9;
    for (const auto& move : moves)
        lowest = std::min(lowest, move.to.z);
    EXPECT_DOUBLE_EQ(lowest, kThrough);
    EXPECT_LE(pathcheck::descent_of(moves, kThickness).steepest, 3.02);
    ASSERT_EQ(run.steps.size(), 2u);
    EXPECT_EQ(run.steps[0].step, cutting::Step::profile);
    EXPECT_EQ(run.steps[1].step, cutting::Step::finish);
}

TEST(Profile, roughing_leaves_the_allowance_and_a_layer_that_holds) {
    const Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 50);
    const CutterRun run = cut({{"a", part, kThrough, {}}}, technology);
    const auto& rough = run.steps[0].moves;
    EXPECT_NEAR(pathcheck::least_clearance(rough, {part}, 3, kThickness), 0.2, kEdge + 0.005);
    double lowest = 1e9;
    for (const auto& move : rough)
        lowest = std::min(lowest, move.to.z);
    EXPECT_NEAR(lowest, 0.4, 1e-9); // the last layer goes with the finishing pass
}

TEST(Profile, the_layer_in_a_pass_of_its_own_leaves_the_same_part) {
    Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 50);
    for (const bool apart : {false, true}) {
        technology.layer_apart = apart;
        const CutterRun run = cut({{"a", part, kThrough, {}}}, technology);
        expect_sound(run, technology);
        const auto edge = pathcheck::edge_deviation(moves_of(run), {part.outer}, 3, kThrough);
        EXPECT_LT(edge.high, kEdge);
        EXPECT_GT(edge.low, -kEdge);
        const auto way_at = [&](double z) { // finishing only
            double way = 0;
            for (const auto& move : run.steps[1].moves)
                if (move.kind != motion::MoveKind::rapid && std::abs(move.to.z - z) < 1e-6) way += length(move);
            return way;
        };
        EXPECT_GT(way_at(kThrough), 190) << "once around at the bottom";
        EXPECT_EQ(way_at(0.4) > 190, apart) << "once around above the layer";
    }
}

TEST(Profile, climb_is_clockwise_around_a_part_and_counter_clockwise_in_a_hole) {
    for (const bool climb : {true, false}) {
        Technology technology = samples::technology(6, 2, 0);
        technology.climb = climb;
        Polygon part = square({20, 20}, 80);
        part.holes.push_back(plane::reversed(samples::circle({60, 60}, 15)));
        const CutterRun run = cut({{"a", part, 0, {}}}, technology);
        ASSERT_EQ(run.steps.size(), 2u);
        const auto turning = [](const Workingstep& step, Vec about) {
            double area = 0;
            for (const auto& move : step.moves)
                if (move.kind != motion::MoveKind::rapid)
                    area += cross(Vec{move.from.x, move.from.y} - about, Vec{move.to.x, move.to.y} - about);
            return area;
        };
        EXPECT_EQ(run.steps[0].name, "a, hole 1");
        EXPECT_EQ(turning(run.steps[0], {60, 60}) > 0, climb);
        EXPECT_EQ(turning(run.steps[1], {60, 60}) < 0, climb);
    }
}

TEST(Profile, depth_passes_are_equal_and_none_is_deeper_than_asked) {
    const Technology technology = samples::technology(6, 2.5, 0);
    const CutterRun run = cut({{"a", square({20, 20}, 50), 0, {}}}, technology);
    std::vector<double> heights; // where a whole way around runs level
    std::map<double, double> level;
    for (const auto& move : moves_of(run))
        if (move.kind != motion::MoveKind::rapid && move.from.z == move.to.z) level[move.to.z] += length(move);
    for (const auto& [z, way] : level)
        if (way > 200) heights.push_back(z);
    EXPECT_EQ(heights, (std::vector<double>{0, 2, 4}));
}

TEST(Profile, finishing_comes_onto_the_edge_and_leaves_it_along_tangents) {
    const Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 50);
    const CutterRun run = cut({{"a", part, kThrough, {}}}, technology);
    const auto& moves = run.steps[1].moves;
    const auto on =
        std::find_if(moves.begin(), moves.end(), [](const auto& m) { return m.kind == motion::MoveKind::arc; });
    ASSERT_NE(on, moves.end());
    const auto heading = [](const motion::Move& move, double share) {
        const auto a = point_at(move, share - 1e-4);
        const auto b = point_at(move, share + 1e-4);
        const Vec way{b.x - a.x, b.y - a.y};
        return way * (1 / plane::length(way));
    };
    EXPECT_GT(dot(heading(*on, 0.9999), heading(*(on + 1), 1e-4)), 0.999);
    // It starts in the middle of the slot that roughing left, an allowance away from the edge.
    EXPECT_NEAR(plane::EdgeIndex(Shape{part}).nearest({on->from.x, on->from.y})->distance, 3.2, 0.01);
    const auto off =
        std::find_if(moves.rbegin(), moves.rend(), [](const auto& m) { return m.kind == motion::MoveKind::arc; });
    EXPECT_GT(dot(heading(*(off + 1), 0.9999), heading(*off, 1e-4)), 0.999);
    EXPECT_NEAR(plane::EdgeIndex(Shape{part}).nearest({off->to.x, off->to.y})->distance, 3.2, 0.01);
}

TEST(Profile, feed_is_lower_along_a_hollow_wall) {
    Polygon part = square({20, 20}, 80);
    part.holes.push_back(plane::reversed(samples::circle({60, 60}, 10)));
    const Technology technology = samples::technology(6);
    const CutterRun run = cut({{"a", part, 0.3, {}}}, technology);
    const auto finish = std::find_if(run.steps.begin(), run.steps.end(),
                                     [](const auto& s) { return s.name == "a, hole 1, finishing"; });
    ASSERT_NE(finish, run.steps.end());
    double longest = 0;
    double feed = 0;
    for (const auto& move : finish->moves)
        if (move.kind == motion::MoveKind::arc && length(move) > longest) longest = length(move), feed = move.feed;
    // The edge of the cutter then goes at the planned feed: 1200 * 7 / 10.
    EXPECT_NEAR(feed, 1200 * 7 / 10.0, 1);
}

TEST(Profile, a_tab_stands_in_its_width_and_height) {
    const Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 60);
    const holding::Tab tab{{50, 20}, 6, 1.5};
    const CutterRun run = cut({{"a", part, 0, {tab}}}, technology);
    expect_sound(run, technology);
    const auto moves = moves_of(run);
    // The block of the tab: from the edge outwards across the slot, 6 mm wide, up to Z 1.5.
    const Shape block{{plane::rectangle({47, 10}, {53, 20}), {}}};
    EXPECT_GT(pathcheck::least_clearance(moves, block, 3, 1.5 - 1e-6), -0.01);
    // Everywhere else the edge is cut to the floor, the sides of the tab apart (20 degrees: 4.1 mm, and a radius).
    const auto edge =
        pathcheck::edge_deviation(moves, {part.outer}, 3, 0, [&](Vec p) { return distance(p, tab.at) > 3 + 3 + 4.3; });
    EXPECT_LT(edge.high, kEdge);
    // Above the tab the whole edge is cut.
    EXPECT_LT(pathcheck::edge_deviation(moves, {part.outer}, 3, 1.5).high, kEdge);
    EXPECT_LE(pathcheck::descent_of(moves, kThickness).steepest, 20.1);
    expect_safe_removal(run, technology, part);
}

TEST(Profile, skin_stays) {
    const Technology technology = samples::technology(6);
    const Polygon part = square({20, 20}, 50);
    const CutterRun run = cut({{"a", part, 0.3, {}}}, technology);
    for (const auto& move : moves_of(run))
        EXPECT_GE(move.to.z, 0.3);
    EXPECT_LT(pathcheck::edge_deviation(moves_of(run), {part.outer}, 3, 0.3).high, kEdge);
}

TEST(Profile, a_wider_slot_is_cut_in_two_lanes) {
    Technology technology = samples::technology(3, 1.5);
    technology.rough.setting.slot_width = 4;
    Polygon part = square({20, 20}, 50);
    part.holes.push_back(plane::reversed(samples::circle({45, 45}, 10)));
    const CutterRun run = cut({{"a", part, kThrough, {}}}, technology);
    expect_sound(run, technology);
    const auto moves = moves_of(run);
    EXPECT_LT(pathcheck::edge_deviation(moves, {part.outer, part.holes[0]}, 1.5, kThrough).high, kEdge);
    // At the depth of the last roughing pass the slot is as wide as asked, corners included.
    const auto way = pathcheck::way_at(moves, 0.4);
    for (const double out : {0.01, 0.5, 1.5, 2.5, 3.5, 4.19})
        for (const auto& polygon : plane::offset({{part.outer, {}}}, out))
            for (const Vec p : plane::sampled(polygon.outer, 0.2))
                EXPECT_TRUE(way.nearest(p, 1.5 + kEdge)) << p.x << " " << p.y << " at " << out;
    EXPECT_GT(pathcheck::least_clearance(moves, {part}, 1.5, kThickness), -kEdge);
    EXPECT_FALSE(way.nearest({20 - 4.2 - 0.05, 45}, 1.5)); // and not wider
    EXPECT_LE(pathcheck::descent_of(moves, kThickness).steepest, 3.02);
}

TEST(Profile, inner_parts_and_holes_come_first) {
    const Technology technology = samples::technology(3);
    Polygon frame = square({20, 20}, 100);
    frame.holes.push_back(plane::reversed(plane::rectangle({40, 40}, {100, 100})));
    frame.holes[0] =
        plane::reversed(plane::largest(plane::opening({{plane::reversed(frame.holes[0]), {}}}, 1.5)).outer);
    const CutterRun run =
        cut({{"frame", frame, kThrough, {}}, {"inside", square({55, 55}, 30), kThrough, {}}}, technology);
    std::vector<std::string> names;
    for (const auto& step : run.steps)
        names.push_back(step.name);
    EXPECT_EQ(names, (std::vector<std::string>{"inside", "frame, hole 1", "frame", "inside, finishing",
                                               "frame, hole 1, finishing", "frame, finishing"}));
}

TEST(Profile, a_hole_of_the_cutters_own_size_is_drilled) {
    const Technology technology = samples::technology(6);
    Polygon part = square({20, 20}, 60);
    part.holes.push_back(plane::reversed(samples::circle({50, 50}, 3)));
    const CutterRun run = cut({{"a", part, kThrough, {}}}, technology);
    EXPECT_GT(pathcheck::least_clearance(moves_of(run), {part}, 3, kThickness), -kEdge);
    // Straight down in the middle, to the floor.
    EXPECT_EQ(run.steps.front().name, "a, hole 1");
    double lowest = 1e9;
    for (const Workingstep& step : run.steps)
        for (const auto& move : step.moves)
            if (plane::distance({move.to.x, move.to.y}, {50, 50}) < 0.01) lowest = std::min(lowest, move.to.z);
    EXPECT_DOUBLE_EQ(lowest, kThrough);
}

TEST(Profile, says_where_a_cutter_cannot_get_along) {
    Polygon part = square({20, 20}, 60);
    part.holes.push_back(plane::reversed(samples::circle({50, 50}, 2)));
    const auto run = profile_run({{"profile lid", part, 0, {}}}, samples::technology(6), samples::on_bed(6), kMachine);
    ASSERT_FALSE(run.ok());
    EXPECT_NE(run.problem().what.find("profile lid, hole 1"), std::string::npos);
    // A sharp inner corner is not followed by a round cutter.
    const auto sharp = profile_run({{"star", {samples::star({50, 50}, 30, 15, 5), {}}, 0, {}}}, samples::technology(6),
                                   samples::on_bed(6), kMachine);
    EXPECT_FALSE(sharp.ok());
}

TEST(Profile, unusable_settings_are_problems) {
    const std::vector<ProfileFeature> features{{"a", square({20, 20}, 60), 0, {}}};
    Technology none = samples::technology(6);
    none.rough.setting.vf = 0;
    EXPECT_FALSE(profile_run(features, none, samples::on_bed(6), kMachine).ok());
    Technology nan = samples::technology(6);
    nan.rough.setting.ap = std::nan("");
    EXPECT_FALSE(profile_run(features, nan, samples::on_bed(6), kMachine).ok());
    EXPECT_FALSE(
        profile_run({{"a", square({20, 20}, 60), 7, {}}}, samples::technology(6), samples::on_bed(6), kMachine).ok());
    EXPECT_FALSE(profile_run({{"a", {}, 0, {}}}, samples::technology(6), samples::on_bed(6), kMachine).ok());
}

TEST(Profile, tabs_larger_than_the_part_leave_it_whole) {
    const Polygon part{samples::circle({50, 50}, 4), {}};
    const CutterRun run = cut({{"a", part, 0, {{{54, 50}, 200, 1.5}, {{46, 50}, 200, 1.5}}}}, samples::technology(6));
    for (const auto& move : moves_of(run))
        EXPECT_GE(move.to.z, 1.5 - 1e-9);
}

TEST(Profile, machines_without_arcs_get_lines_only) {
    shop::Machine plain;
    plain.abilities.arcs = false;
    const Polygon part{samples::circle({50, 50}, 20), {}};
    const auto run = profile_run({{"a", part, 0, {}}}, samples::technology(6), samples::on_bed(6), plain);
    ASSERT_TRUE(run.ok());
    for (const auto& move : moves_of(run.value()))
        EXPECT_NE(move.kind, motion::MoveKind::arc);
    const auto edge = pathcheck::edge_deviation(moves_of(run.value()), {part.outer}, 3, 0);
    EXPECT_LT(edge.high, kEdge);
    EXPECT_GT(edge.low, -kEdge);
    shop::Machine level;
    level.abilities.helical_arcs = false;
    const auto flat = profile_run({{"a", part, 0, {}}}, samples::technology(6), samples::on_bed(6), level);
    ASSERT_TRUE(flat.ok());
    for (const auto& move : moves_of(flat.value()))
        EXPECT_TRUE(move.kind != motion::MoveKind::arc || move.from.z == move.to.z);
}

TEST(Profile, the_same_input_gives_the_same_moves) {
    const std::vector<ProfileFeature> features{{"a", samples::followable(samples::blob(7, {60, 60}, 30), 1.5), 0, {}},
                                               {"b", samples::followable(samples::blob(8, {160, 60}, 30), 1.5), 0, {}}};
    const auto first = moves_of(cut(features, samples::technology(3)));
    const auto second = moves_of(cut(features, samples::technology(3)));
    ASSERT_EQ(first.size(), second.size());
    for (std::size_t i = 0; i < first.size(); ++i)
        EXPECT_TRUE(first[i].to == second[i].to && first[i].centre == second[i].centre);
}

/// Any outline that was closed under the cutter comes out true, and the part is never touched.
void expect_true_edge(const plane::Ring& ring, double diameter, double allowance, double slot = 0) {
    const double radius = diameter / 2;
    Technology technology = samples::technology(diameter, 2, allowance);
    technology.rough.setting.slot_width = slot;
    const Polygon part = samples::followable(ring, radius);
    const CutterRun run = cut({{"part", part, kThrough, {}}}, technology);
    expect_sound(run, technology);
    const auto moves = moves_of(run);
    const auto edge = pathcheck::edge_deviation(moves, {part.outer}, radius, kThrough);
    EXPECT_LT(edge.high, 0.012);
    expect_safe_removal(run, technology, part);
    const auto clearance = pathcheck::clearance_of(moves, {part}, radius, kThickness);
    EXPECT_GT(clearance.least, -kEdge) << clearance;
    EXPECT_LE(pathcheck::descent_of(moves, kThickness).steepest, 3.02);
}

RC_GTEST_PROP(Profile, blobs_come_out_true, ()) {
    const auto seed = *rc::gen::inRange<std::uint64_t>(0, 1'000'000);
    const double diameter = *rc::gen::element(3.0, 6.0);
    const double allowance = *rc::gen::element(0.0, 0.2);
    const double slot = *rc::gen::element(0.0, 1.4) * diameter;
    const int size = *rc::gen::inRange(10, 40);
    SCOPED_TRACE(
        fmt::format("seed {} diameter {} allowance {} slot {} size {}", seed, diameter, allowance, slot, size));
    expect_true_edge(samples::blob(seed, {60, 60}, size), diameter, allowance, slot);
}

RC_GTEST_PROP(Profile, stars_come_out_true, ()) {
    const int points = *rc::gen::inRange(3, 12);
    const double inner = *rc::gen::inRange(5, 28);
    expect_true_edge(samples::star({60, 60}, 30, inner, points), *rc::gen::element(3.0, 6.0),
                     *rc::gen::element(0.0, 0.2));
}

} // namespace
} // namespace kerfwright::toolpath
