#include "layout/parts.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cstdio>
#include <set>

namespace kerfwright::layout {
namespace {

using plane::Vec;

bool same(const Layout& a, const Layout& b) {
    return std::equal(
        a.placed.begin(), a.placed.end(), b.placed.begin(), b.placed.end(), [](const Placed& x, const Placed& y) {
            return x.id == y.id && x.sheet == y.sheet && x.placement == y.placement && x.locked == y.locked;
        });
}

std::set<std::string> sheets_used(const Layout& layout) {
    std::set<std::string> names;
    for (const Placed& p : layout.placed)
        names.insert(p.sheet);
    return names;
}

TEST(PlaceParts, OneRectangleGoesToTheCorner) {
    const auto result = place_parts({box_part("a", "oak", {40, 20})}, {sheet("s", "oak", {200, 100})}, {}, {});
    ASSERT_TRUE(result.ok());
    ASSERT_EQ(result.value().placed.size(), 1U);
    const plane::Box box =
        plane::bounds(plane::placed(box_part("a", "oak", {40, 20}).outline, result.value().placed[0].placement));
    EXPECT_NEAR(box.low.x, 8, 0.05);
    EXPECT_NEAR(box.low.y, 8, 0.05);
    EXPECT_NEAR(box.width(), 20, 1e-9); // across: the sheet's length is worth keeping
}

TEST(PlaceParts, RectanglesThatFillTheSheetExactlyFit) {
    // Edge and kerf 8 at each end, four parts and three kerfs: 16 + 4 * 40 + 3 * 3 = 185, and 0.3 mm to spare.
    std::vector<Part> parts;
    for (const char* id : {"a", "b", "c", "d"}) {
        parts.push_back(box_part(id, "oak", {40, 60}));
        parts.back().keep_grain = true;
    }
    const std::vector<shop::Sheet> enough{sheet("s", "oak", {185.3, 76.1})};
    const auto result = place_parts(parts, enough, {}, {});
    ASSERT_TRUE(result.ok()) << to_string(result.problem());
    EXPECT_TRUE(clashes(parts, enough, result.value().placed, {}).empty());
    EXPECT_FALSE(place_parts(parts, {sheet("s", "oak", {184.9, 76.1})}, {}, {}).ok());
    // Cells alone do not see a place with a tenth to spare: moving parts apart does.
    EXPECT_FALSE(place_parts(parts, enough, {}, {.effort = 0}).ok());
}

TEST(PlaceParts, EffortShortensWhatIsUsed) {
    Random random(5);
    std::vector<Part> parts;
    for (int i = 0; i < 6; ++i)
        parts.push_back(part("p" + std::to_string(i), "oak", blob(random, random.uniform(25, 50), 300)));
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {600, 200})};
    const auto length = [&](double effort) {
        const auto result = place_parts(parts, sheets, {}, {.effort = effort});
        double end = 0;
        for (const Placed& one : result.value().placed)
            for (const Part& p : parts)
                if (p.id == one.id) end = std::max(end, plane::bounds(plane::placed(p.outline, one.placement)).high.x);
        return end;
    };
    EXPECT_LT(length(1), 0.97 * length(0));
}

TEST(PlaceParts, GrainOfPartAndSheetAgree) {
    std::vector<Part> parts{box_part("a", "walnut", {80, 20}), box_part("b", "walnut", {50, 30})};
    for (Part& p : parts)
        p.keep_grain = true;
    parts[1].grain_deg = 45;
    std::vector<shop::Sheet> sheets{sheet("s", "walnut", {300, 300})};
    sheets[0].grain_deg = 30;
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_TRUE(result.ok());
    EXPECT_EQ(std::fmod(find(result.value().placed, "a")->placement.angle_deg, 180), 30);
    EXPECT_EQ(std::fmod(find(result.value().placed, "b")->placement.angle_deg, 180), 165);
    EXPECT_TRUE(clashes(parts, sheets, result.value().placed, {}).empty());
}

TEST(PlaceParts, OffcutsAndSmallSheetsComeFirst) {
    const std::vector<Part> parts{box_part("a", "oak", {60, 60}), box_part("b", "oak", {60, 60}),
                                  box_part("c", "oak", {150, 60})};
    std::vector<shop::Sheet> sheets{sheet("large", "oak", {600, 300}), sheet("small", "oak", {250, 100}),
                                    sheet("offcut", "oak", {160, 90})};
    sheets[2].offcut = true;
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_TRUE(result.ok());
    EXPECT_EQ(sheets_used(result.value()), (std::set<std::string>{"offcut", "small"}));
}

TEST(PlaceParts, ALargeSheetServesWhereManySmallOnesWouldBeOpened) {
    std::vector<Part> parts;
    for (int i = 0; i < 6; ++i)
        parts.push_back(box_part("p" + std::to_string(i), "oak", {60, 60}));
    std::vector<shop::Sheet> sheets{sheet("large", "oak", {300, 200})};
    for (int i = 0; i < 6; ++i)
        sheets.push_back(sheet("small" + std::to_string(i), "oak", {100, 100}));
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_TRUE(result.ok());
    EXPECT_EQ(sheets_used(result.value()), (std::set<std::string>{"large"}));
}

TEST(PlaceParts, OffcutOfAnyOutlineIsUsedToItsCorners) {
    // An L whose legs are 80 wide; both parts need a leg of their own.
    const std::vector<Part> parts{box_part("a", "oak", {150, 50}), box_part("b", "oak", {150, 50})};
    shop::Sheet offcut = sheet("l", "oak", {0, 0});
    offcut.outline = {{plane::to_grid({0, 0}), plane::to_grid({250, 0}), plane::to_grid({250, 80}),
                       plane::to_grid({80, 80}), plane::to_grid({80, 250}), plane::to_grid({0, 250})},
                      {}};
    offcut.offcut = true;
    const auto result = place_parts(parts, {offcut}, {}, {});
    ASSERT_TRUE(result.ok()) << to_string(result.problem());
    EXPECT_TRUE(clashes(parts, {offcut}, result.value().placed, {}).empty());
}

TEST(PlaceParts, LockedPartsStayAndAreRespected) {
    std::vector<Part> parts;
    for (int i = 0; i < 5; ++i)
        parts.push_back(box_part("p" + std::to_string(i), "oak", {60, 40}));
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {240, 160}), sheet("t", "oak", {240, 160})};
    const Placed locked{"p3", "s", {97.123456, 50.5, 17.3}, true};
    const auto result = place_parts(parts, sheets, {locked}, {});
    ASSERT_TRUE(result.ok()) << to_string(result.problem());
    const Placed* at = find(result.value().placed, "p3");
    EXPECT_TRUE(at->locked);
    EXPECT_EQ(at->placement, locked.placement);
    EXPECT_EQ(at->sheet, "s");
    EXPECT_TRUE(clashes(parts, sheets, result.value().placed, {}).empty());
}

TEST(PlaceParts, LockedPartsThatLieWronglyAreRefusedByName) {
    const std::vector<Part> parts{box_part("a", "oak", {60, 40}), box_part("b", "oak", {60, 40})};
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {240, 160})};
    const auto what = [&](const std::vector<Placed>& fixed) {
        const auto result = place_parts(parts, sheets, fixed, {});
        return result.ok() ? std::string() : result.problem().what;
    };
    EXPECT_EQ(what({{"a", "s", {6, 20, 0}}}), "the locked part \"a\" is 2.00 mm too near to edge");
    EXPECT_EQ(what({{"a", "s", {20, 20, 0}}, {"b", "s", {82, 20, 0}}}),
              "the locked part \"a\" is 1.00 mm too near to b");
    EXPECT_NE(what({{"c", "s", {20, 20, 0}}}).find("\"c\" is not in the job"), std::string::npos);
    EXPECT_NE(what({{"a", "u", {20, 20, 0}}}).find("not on the shelf"), std::string::npos);
    EXPECT_NE(what({{"a", "s", {NAN, 20, 0}}}), "");
}

TEST(PlaceParts, ThicknessIsMatched) {
    std::vector<Part> parts{box_part("a", "oak", {60, 40}), box_part("b", "oak", {60, 40})};
    parts[0].thickness = 6.2;
    parts[1].thickness = 9;
    const std::vector<shop::Sheet> sheets{sheet("thick", "oak", {240, 160}, 9.005),
                                          sheet("thin", "oak", {240, 160}, 6.2)};
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_TRUE(result.ok());
    EXPECT_EQ(find(result.value().placed, "a")->sheet, "thin");
    EXPECT_EQ(find(result.value().placed, "b")->sheet, "thick");
    parts[1].thickness = 12;
    const auto refused = place_parts(parts, sheets, {}, {});
    ASSERT_FALSE(refused.ok());
    EXPECT_NE(refused.problem().what.find("no sheet of oak 12.00 mm thick: no place for b"), std::string::npos)
        << refused.problem().what;
}

TEST(PlaceParts, TooLittleMaterialNamesThePartsAndASheetThatWouldDo) {
    std::vector<Part> parts{box_part("big", "oak", {300, 200}), box_part("fits", "oak", {60, 40}),
                            box_part("pin", "maple", {20, 20})};
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {240, 160})};
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_FALSE(result.ok());
    const Problem& problem = result.problem();
    EXPECT_NE(problem.what.find("not enough oak: no place for big ("), std::string::npos) << problem.what;
    EXPECT_NE(problem.what.find("no sheet of maple: no place for pin ("), std::string::npos) << problem.what;
    EXPECT_EQ(problem.what.find("fits"), std::string::npos) << problem.what;
    // 300 x 200 with half a kerf around: 303 x 203 less the rounded corners.
    const double room = 303 * 203 - (4 - std::numbers::pi) * 1.5 * 1.5;
    double missing = 0;
    ASSERT_EQ(std::sscanf(problem.what.c_str() + problem.what.find("big ("), "big (%lf", &missing), 1);
    EXPECT_NEAR(missing, room, 2);
    // The sheets asked for are enough.
    std::vector<shop::Sheet> more = sheets;
    for (const std::string material : {"oak", "maple"}) {
        const std::string start = "a sheet of " + material + " of at least ";
        const std::size_t at = problem.remedy.find(start);
        ASSERT_NE(at, std::string::npos) << problem.remedy;
        Vec size;
        ASSERT_EQ(std::sscanf(problem.remedy.c_str() + at + start.size(), "%lf x %lf mm", &size.x, &size.y), 2);
        more.push_back(sheet("new-" + material, material, size));
    }
    EXPECT_TRUE(place_parts(parts, more, {}, {}).ok());
}

TEST(PlaceParts, BadInputIsAProblem) {
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {240, 160})};
    const auto refused = [&](Part p, LayoutOptions options = {}) {
        return !place_parts({std::move(p)}, sheets, {}, options).ok();
    };
    Part p = box_part("a", "oak", {20, 20});
    EXPECT_FALSE(refused(p));
    EXPECT_TRUE(refused(p, {.edge = NAN}));
    EXPECT_TRUE(refused(p, {.clamp_room = -1}));
    EXPECT_TRUE(refused(p, {.edge = 1000}));
    p.kerf = -1;
    EXPECT_TRUE(refused(p));
    p.kerf = 1e9;
    EXPECT_TRUE(refused(p));
    p = box_part("a", "oak", {0, 20});
    EXPECT_TRUE(refused(p));
    p.outline = {};
    EXPECT_TRUE(refused(p));
    p = box_part("a", "oak", {20, 20});
    EXPECT_FALSE(place_parts({p, p}, sheets, {}, {}).ok());
    EXPECT_FALSE(place_parts({p}, {sheets[0], sheets[0]}, {}, {}).ok());
    EXPECT_FALSE(place_parts({p}, {}, {}, {}).ok());
    EXPECT_TRUE(place_parts({}, {}, {}, {}).ok());
}

#ifdef KERFWRIGHT_HAS_GEOS

struct Case {
    std::vector<Part> parts;
    std::vector<shop::Sheet> sheets;
};

shop::Sheet random_sheet(Random& random, const std::string& name, const std::string& material) {
    shop::Sheet s = sheet(name, material, {random.uniform(250, 500), random.uniform(200, 400)});
    s.thickness = random.below(2) == 0 ? 6 : 9;
    if (random.below(3) == 0) { // a corner cut off and a bite out of one side
        const plane::Box b = plane::bounds(s.outline);
        s.offcut = true;
        s.outline.outer = {plane::to_grid({0, 0}),
                           plane::to_grid({b.high.x, 0}),
                           plane::to_grid({b.high.x, b.high.y / 2}),
                           plane::to_grid({b.high.x * 0.7, b.high.y}),
                           plane::to_grid({b.high.x / 2, b.high.y}),
                           plane::to_grid({b.high.x * 0.4, b.high.y * 0.8}),
                           plane::to_grid({0, b.high.y})};
    }
    if (random.below(2) == 0) s.grain_deg = random.below(2) == 0 ? 30 : 90;
    for (std::uint64_t k = random.below(4); k > 0; --k) {
        const plane::Box b = plane::bounds(s.outline);
        s.clamps.push_back(
            {{random.uniform(0, b.high.x - 40), random.below(2) == 0 ? 0 : b.high.y - 30}, {40, 30}, 25});
    }
    return s;
}

Case random_case(std::uint64_t seed) {
    Random random(seed);
    Case c;
    const std::string materials[] = {"oak", "maple"};
    for (int i = 0; i < 4; ++i)
        c.sheets.push_back(random_sheet(random, "s" + std::to_string(i), materials[i % 2]));
    const std::uint64_t count = 3 + random.below(8);
    for (std::uint64_t i = 0; i < count; ++i) {
        Part p = part("p" + std::to_string(i), materials[random.below(2)], blob(random, random.uniform(8, 45), 200));
        p.kerf = random.below(2) == 0 ? 3 : 6.5;
        p.keep_grain = random.below(2) == 0;
        p.grain_deg = random.uniform(-200, 200);
        if (random.below(5) == 0) p.thickness = 6;
        c.parts.push_back(p);
    }
    return c;
}

TEST(PlaceParts, OddOutlinesOnALargeSheet) {
    // A sliver, a C that could hold others in its mouth, an arrow, a ring, and a speck.
    const auto ring = [](std::initializer_list<Vec> points) {
        plane::Ring out;
        for (const Vec v : points)
            out.push_back(plane::to_grid(v));
        return out;
    };
    std::vector<Part> parts{
        part("sliver", "oak", ring({{0, 0}, {400, 250}, {400.5, 250.2}, {399, 251}})),
        part("c", "oak", ring({{0, 0}, {200, 0}, {200, 30}, {30, 30}, {30, 170}, {200, 170}, {200, 200}, {0, 200}})),
        part("arrow", "oak", ring({{0, 0}, {80, 100}, {40, 90}, {0, 300}, {-40, 90}, {-80, 100}})),
        box_part("ring", "oak", {120, 120}, 12),
        box_part("speck", "oak", {1, 1}),
    };
    parts[3].outline.holes.push_back(plane::reversed(plane::rectangle({10, 10}, {110, 110})));
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {2440, 1220})};
    const auto result = place_parts(parts, sheets, {}, {});
    ASSERT_TRUE(result.ok()) << to_string(result.problem());
    EXPECT_EQ(broken_rule(parts, sheets, result.value().placed, {}), "");
}

RC_GTEST_PROP(PlaceParts, ResultsKeepEveryRuleByGeos, (std::uint64_t seed)) {
    const Case c = random_case(seed);
    const LayoutOptions options{.edge = 4, .clamp_room = 5, .restarts = 2, .effort = 0.02, .threads = 2};
    const auto result = place_parts(c.parts, c.sheets, {}, options);
    RC_CLASSIFY(!result.ok(), "refused");
    if (!result.ok()) return;
    const std::string broken = broken_rule(c.parts, c.sheets, result.value().placed, options);
    RC_LOG() << broken;
    RC_ASSERT(broken.empty());
    RC_ASSERT(clashes(c.parts, c.sheets, result.value().placed, options).empty());
}

RC_GTEST_PROP(PlaceParts, ClashesAndGeosAgreeOnScatteredParts, (std::uint64_t seed)) {
    Case c = random_case(seed);
    Random random(seed ^ 99);
    std::vector<Placed> placed;
    for (Part& p : c.parts) {
        p.keep_grain = false;
        p.thickness = 0;
        const std::size_t k = p.material == "oak" ? 0 : 1;
        const Vec to{random.uniform(20, 300), random.uniform(20, 250)};
        const plane::Box b = plane::bounds(p.outline);
        placed.push_back({p.id, c.sheets[k].name, {to.x - b.low.x, to.y - b.low.y, 0}});
    }
    const bool fine = broken_rule(c.parts, c.sheets, placed, {}).empty();
    RC_CLASSIFY(fine, "fine");
    RC_ASSERT(clashes(c.parts, c.sheets, placed, {}).empty() == fine);
}

#endif

TEST(PlaceParts, ThreadsDoNotChangeTheResultButTheSeedMay) {
    Random random(11);
    std::vector<Part> parts;
    for (int i = 0; i < 10; ++i)
        parts.push_back(
            part("p" + std::to_string(i), i % 3 == 0 ? "oak" : "maple", blob(random, random.uniform(15, 40), 400)));
    const std::vector<shop::Sheet> sheets{sheet("s", "oak", {400, 300}), sheet("t", "maple", {400, 300})};
    const auto one = place_parts(parts, sheets, {}, {.effort = 0.5, .threads = 1});
    ASSERT_TRUE(one.ok()) << to_string(one.problem());
    for (const int threads : {2, 4})
        EXPECT_TRUE(same(one.value(), place_parts(parts, sheets, {}, {.effort = 0.5, .threads = threads}).value()));
    // The order in which parts and sheets are given does not matter either.
    std::reverse(parts.begin(), parts.end());
    EXPECT_TRUE(same(one.value(), place_parts(parts, {sheets[1], sheets[0]}, {}, {.effort = 0.5}).value()));
}

} // namespace
} // namespace kerfwright::layout
