#include "holding/flex.hpp"
#include "holding/holding.hpp"
#include "holding/margin.hpp"
#include "holding/skin.hpp"
#include "holding/tabs.hpp"
#include "plane/nearest.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numbers>

namespace kerfwright::holding {
namespace {

using plane::Vec;
using shop::Hold;

const shop::Material& material(const char* name) {
    return *find_material(shop::shipped(), name);
}
const shop::Machine& machine() {
    return *find_machine(shop::shipped(), "gantry-600");
}

plane::Ring disc(Vec centre, double radius, int sides = 90) {
    plane::Ring ring;
    for (int i = 0; i < sides; ++i) {
        const double angle = 2 * std::numbers::pi * i / sides;
        ring.push_back(plane::to_grid({centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)}));
    }
    return ring;
}

PartToHold rectangle_part(double width, double height, double thickness = 6, double slot = 3, Vec at = {50, 50}) {
    return {"part", {plane::rectangle(at, {at.x + width, at.y + height}), {}}, thickness, slot, {}};
}

shop::Sheet sheet_of(const char* name, std::set<Hold> hold, double thickness = 6) {
    shop::Sheet sheet;
    sheet.name = name;
    sheet.material = name;
    sheet.outline = {plane::rectangle({0, 0}, {600, 600}), {}};
    sheet.thickness = thickness;
    sheet.hold = std::move(hold);
    return sheet;
}

cutting::FeedPlan feeds(const char* m, const char* c, double depth, cutting::Step step = cutting::Step::profile) {
    cutting::Task task;
    task.step = step;
    task.depth = depth;
    auto plan = plan_feeds(material(m), *find_cutter(shop::shipped(), c), machine(), task);
    EXPECT_TRUE(plan.ok());
    return std::move(plan).value();
}

SetupHold held(const std::vector<PartToHold>& parts, const shop::Sheet& sheet, const cutting::FeedPlan& rough,
               const cutting::FeedPlan* finish = nullptr, HoldOptions options = {}) {
    auto result = hold_parts(parts, sheet, material(sheet.material.c_str()), machine(), rough, finish, options);
    EXPECT_TRUE(result.ok()) << (result.ok() ? "" : to_string(result.problem()));
    return result.ok() ? std::move(result).value() : SetupHold{};
}

bool mentions(const std::vector<std::string>& texts, const std::string& word) {
    return std::any_of(texts.begin(), texts.end(),
                       [&](const std::string& t) { return t.find(word) != std::string::npos; });
}

TEST(Shape, MeasuresOfARectangle) {
    const PartShape shape = shape_of(rectangle_part(100, 40).outline);
    EXPECT_NEAR(shape.area, 4000, 1e-6);
    EXPECT_NEAR(shape.gyration, std::sqrt((100.0 * 100 + 40 * 40) / 12), 1e-6);
    EXPECT_NEAR(shape.lever, std::hypot(50, 20), 1e-6);
    EXPECT_NEAR(shape.tips[0].width, 100, 1e-6);
    EXPECT_NEAR(shape.tips[PartShape::kDirections / 4].arm, 20, 1e-6);
    // A rectangle about its edge: ∫ x² dA = A w²/3; ∮ x² ds = far side w² h + two sides w³/3 each.
    EXPECT_NEAR(shape.tips[0].area_arm, 4000 * 100 / 3.0, 1e-3);
    EXPECT_NEAR(shape.tips[0].edge_arm, 100 * 40 + 2 * 100 * 100 / 3.0, 1e-3);
}

// Hankinson: along, across, and the mean over all directions, √(σ0 σ90).
TEST(Shape, ASkinOfWoodIsStrongWhereItSpansAlongTheGrain) {
    const SpanStrength wood{5, {1, 0}};
    EXPECT_NEAR(wood({1, 0}), 5, 1e-12);
    EXPECT_NEAR(wood({0, -1}), 1, 1e-12);
    EXPECT_NEAR(wood({std::sqrt(0.5), std::sqrt(0.5)}), 2 * 5 / 6.0, 1e-12);
    const PartShape round = shape_of({disc({0, 0}, 20), {}}, wood);
    EXPECT_NEAR(round.edge / round.perimeter, std::sqrt(5), 0.02);
    const PartShape tall = shape_of(rectangle_part(10, 90).outline, wood); // its long edges' slots span along the grain
    EXPECT_NEAR(tall.edge, 2 * 90 * 5 + 2 * 10, 1e-6);
    EXPECT_NEAR(shape_of(rectangle_part(10, 90).outline).edge, 200, 1e-6);
}

// A part 100 × 100 mm on tape: shear 0.6 · area · τ over the peak force, with twist on top. Computed by hand.
TEST(Margin, TapeByHand) {
    shop::Material acrylic = material("acrylic");
    const PartShape shape = shape_of(rectangle_part(100, 100).outline);
    MarginInput input{&shape, &acrylic, &machine(), 6, 3, safety_factors(acrylic.kind, 3), {{"test", 20, 0, 0}}};
    Holds holds;
    holds.tape_share = 0.6;
    const double slide = 0.030 * 0.6 * 1e4; // 180 N, tape factor 1, stresses allowable already
    const double twist = slide * 0.85 * std::sqrt(2e4 / 12);
    const double use = 20 / slide + 20 * std::hypot(50, 50) / twist;
    const Verdict verdict = margin_of(input, holds);
    EXPECT_NEAR(verdict.margin, 1 / use, 1e-9);
    EXPECT_STREQ(verdict.weakest, "twist");
}

TEST(Holding, ClampsAloneLoseTheParts) {
    shop::Sheet sheet = sheet_of("mdf", {Hold::clamps});
    sheet.clamps = {{{0, 250}, {40, 40}, 25}, {{560, 250}, {40, 40}, 25}};
    const SetupHold result = held({rectangle_part(100, 80)}, sheet, feeds("mdf", "flat-3", 6));
    EXPECT_EQ(result.parts[0].margin, 0);
    EXPECT_EQ(result.margin_min, 0);
    EXPECT_TRUE(result.parts[0].tabs.empty()) << "nothing is chosen that was not asked for";
    EXPECT_TRUE(mentions(result.parts[0].proposals, "skin"));
    EXPECT_TRUE(mentions(result.parts[0].proposals, "tabs"));
    EXPECT_TRUE(mentions(result.notes, "come loose"));
}

// A 24 × 24 in plastic sheet on tape with four hold-downs loses its small parts (common practice of one shop).
TEST(Holding, SmallPartsOnTapeAreFlaggedLargeOnesAreNot) {
    shop::Sheet sheet = sheet_of("acrylic", {Hold::tape, Hold::clamps}, 6.35);
    for (const double x : {0.0, 570.0})
        for (const double y : {0.0, 570.0})
            sheet.clamps.push_back({{x, y}, {30, 30}, 20});
    const cutting::FeedPlan rough = feeds("acrylic", "single-flute-3", 6.35);
    const SetupHold result = held({rectangle_part(25, 25, 6.35), rectangle_part(200, 200, 6.35)}, sheet, rough);
    EXPECT_LT(result.parts[0].margin, 1);
    EXPECT_FALSE(result.parts[0].proposals.empty());
    EXPECT_GT(result.parts[1].margin, 1.5);
    EXPECT_TRUE(result.parts[1].proposals.empty());
    EXPECT_EQ(result.margin_min, result.parts[0].margin);
}

TEST(Holding, TapeHardlyHoldsHdpe) {
    const SetupHold hdpe =
        held({rectangle_part(120, 120)}, sheet_of("hdpe", {Hold::tape}), feeds("acrylic", "single-flute-3", 6));
    const SetupHold acrylic =
        held({rectangle_part(120, 120)}, sheet_of("acrylic", {Hold::tape}), feeds("acrylic", "single-flute-3", 6));
    EXPECT_LT(hdpe.margin_min, 0.3 * acrylic.margin_min);
}

TEST(Holding, SkinHoldsASmallPartOfMdf) {
    const SetupHold result = held({rectangle_part(40, 30)}, sheet_of("mdf", {Hold::skin}), feeds("mdf", "flat-3", 6));
    EXPECT_GT(result.skin, 0.15);
    EXPECT_LE(result.skin, 1.0);
    EXPECT_LE(result.break_through, 0.01);
    EXPECT_GT(result.parts[0].margin, 1) << result.parts[0].weakest << " " << result.parts[0].moment;
    EXPECT_EQ(result.parts[0].skin, result.skin);
    EXPECT_TRUE(result.parts[0].tabs.empty());
}

// Roughing leaves a last layer that holds; the light finishing pass takes it.
TEST(Holding, ALastLayerHoldsUntilFinishing) {
    const cutting::FeedPlan rough = feeds("mdf", "flat-3", 6);
    const cutting::FeedPlan finish = feeds("mdf", "flat-3", 6, cutting::Step::finish);
    const SetupHold without = held({rectangle_part(40, 30)}, sheet_of("mdf", {Hold::skin}), rough);
    const SetupHold with = held({rectangle_part(40, 30)}, sheet_of("mdf", {Hold::skin}), rough, &finish);
    EXPECT_LT(with.skin, without.skin - 0.05);
    EXPECT_EQ(with.parts[0].moment, "finishing");
    // With tabs there is no layer: the margin is that of the worse of both moments.
    const SetupHold tabs = held({rectangle_part(40, 30)}, sheet_of("mdf", {Hold::tabs}), rough, &finish);
    EXPECT_EQ(tabs.parts[0].moment, "last roughing pass");
}

TEST(Holding, TabsKeepOffTightSpotsWhereTheyCan) {
    PartToHold part = rectangle_part(120, 80);
    const cutting::FeedPlan rough = feeds("mdf", "flat-3", 6);
    part.tight_spots = {{{110, 50}, 20}, {{50, 90}, 15}};
    const SetupHold kept_off = held({part}, sheet_of("mdf", {Hold::tabs}), rough);
    for (const Tab& tab : kept_off.parts[0].tabs)
        for (const auto& [at, radius] : part.tight_spots)
            EXPECT_GE(plane::distance(tab.at, at), radius);
    part.tight_spots = {{{110, 90}, 500}}; // nowhere is better: tabs come first
    EXPECT_GE(held({part}, sheet_of("mdf", {Hold::tabs}), rough).parts[0].tabs.size(), 3u);
}

TEST(Holding, UnevenHardboardGetsAThickerSkin) {
    shop::Sheet even = sheet_of("hardboard", {Hold::skin}, 6), planed = even;
    for (const double x : {20.0, 580.0})
        for (const double y : {20.0, 580.0}) {
            even.measured.push_back({{x, y}, 6.0 + (x > 300 ? 0.02 : 0)});
            planed.measured.push_back({{x, y}, 6.0 + (x > 300 ? 0.30 : 0) + (y > 300 ? 0.1 : 0)});
        }
    const std::vector<PartToHold> parts{rectangle_part(80, 60), rectangle_part(40, 40, 6, 3, {200, 200})};
    const cutting::FeedPlan rough = feeds("hardboard", "flat-3", 6);
    const SetupHold a = held(parts, even, rough), b = held(parts, planed, rough);
    EXPECT_GT(b.skin, a.skin + 0.09);
    EXPECT_LE(a.break_through, 0.01);
    EXPECT_LE(b.break_through, 0.01);
}

TEST(Holding, ATooUnevenSheetGetsTabs) {
    shop::Sheet wild = sheet_of("hardboard", {Hold::skin}, 3);
    wild.measured = {{{20, 20}, 2.2}, {{580, 20}, 3.6}, {{20, 580}, 3.8}, {{580, 580}, 2.4}};
    const SetupHold result = held({rectangle_part(80, 60, 3)}, wild, feeds("hardboard", "flat-3", 3));
    EXPECT_EQ(result.skin, 0);
    EXPECT_GE(result.parts[0].tabs.size(), 3u);
    EXPECT_TRUE(mentions(result.notes, "too uneven"));
}

TEST(Holding, MetalsAndLaminatesGetTabsInsteadOfASkin) {
    for (const char* m : {"aluminium-6061", "brass", "carbon-laminate", "glass-laminate"}) {
        const char* tool = material(m).cutters.front() == "laminate" ? "laminate-3" : "single-flute-3";
        const SetupHold result = held({rectangle_part(80, 60, 3)}, sheet_of(m, {Hold::skin}, 3), feeds(m, tool, 3));
        EXPECT_EQ(result.skin, 0) << m;
        EXPECT_GE(result.parts[0].tabs.size(), 3u) << m;
        EXPECT_GT(result.parts[0].margin, 1) << m;
        EXPECT_TRUE(mentions(result.notes, "no option")) << m;
    }
}

TEST(Holding, TabsHoldEveryMaterial) {
    for (const shop::Material& m : shop::shipped().materials) {
        const char* tool = m.cutters.front() == "laminate"       ? "laminate-3"
                           : m.kind == shop::MaterialKind::metal ? "single-flute-3"
                                                                 : "flat-3";
        const cutting::FeedPlan rough = feeds(m.name.c_str(), tool, 6);
        const SetupHold result = held({rectangle_part(120, 80)}, sheet_of(m.name.c_str(), {Hold::tabs}), rough);
        EXPECT_GE(result.parts[0].tabs.size(), 3u) << m.name;
        EXPECT_GT(result.parts[0].margin, 1) << m.name << " " << result.parts[0].weakest;
        for (const Tab& tab : result.parts[0].tabs)
            EXPECT_LE(tab.thickness, 3.0) << m.name;
    }
}

TEST(Tabs, SitOnStraightStretchesAwayFromTightSpots) {
    // A rectangle with a round end on the right.
    plane::Ring ring{plane::to_grid({0, 0}), plane::to_grid({100, 0})};
    for (int i = 1; i < 30; ++i) {
        const double a = -std::numbers::pi / 2 + std::numbers::pi * i / 30;
        ring.push_back(plane::to_grid({100 + 20 * std::cos(a), 20 + 20 * std::sin(a)}));
    }
    ring.push_back(plane::to_grid({100, 40}));
    ring.push_back(plane::to_grid({0, 40}));
    const std::vector<std::pair<Vec, double>> tight{{{50, 0}, 30}};
    const auto sites = tab_sites(ring, 6, tight);
    ASSERT_FALSE(sites.empty());
    const auto places = spread_tabs(sites, plane::perimeter(ring), 4, 6);
    EXPECT_EQ(places.size(), 4u);
    for (const Vec& at : places) {
        EXPECT_LE(at.x, 100 - 3) << "not on the round end";
        EXPECT_GE(plane::distance(at, {50, 0}), 33) << "not in the tight spot";
        for (const Vec& corner : {Vec{0, 0}, Vec{0, 40}})
            EXPECT_GE(plane::distance(at, corner), 3 + 1.5);
    }
    for (std::size_t i = 0; i < places.size(); ++i)
        for (std::size_t j = i + 1; j < places.size(); ++j)
            EXPECT_GT(plane::distance(places[i], places[j]), 11);
}

TEST(Tabs, SmallRoundPartsStillGetTabs) {
    PartToHold part{"disc", {disc({100, 100}, 12), {}}, 6, 3, {}};
    const SetupHold result = held({part}, sheet_of("mdf", {Hold::tabs}), feeds("mdf", "flat-3", 6));
    // A disc of 24 mm has no stretch of 6 mm that is straight within 0.15 mm (the arc's sagitta is 0.38 mm): the next
    // best serves.
    EXPECT_GE(result.parts[0].tabs.size(), 2u);
    EXPECT_GT(result.parts[0].margin, 1);
}

TEST(Tabs, CornersAreNotTakenForCurves) {
    // A star of 40 points with sides of 4 mm: no place for a tab of 6 mm but across a corner.
    plane::Ring star;
    for (int i = 0; i < 80; ++i) {
        const double angle = std::numbers::pi * i / 40, radius = i % 2 == 0 ? 30 : 26.7;
        star.push_back(plane::to_grid({100 + radius * std::cos(angle), 100 + radius * std::sin(angle)}));
    }
    EXPECT_TRUE(tab_sites(star, 6, {}).empty());
    const SetupHold result =
        held({{"star", {star, {}}, 6, 3, {}}}, sheet_of("mdf", {Hold::tabs}), feeds("mdf", "flat-3", 6));
    EXPECT_EQ(result.parts[0].margin, 0);
    EXPECT_TRUE(mentions(result.parts[0].proposals, "skin"));
}

TEST(Tabs, ScrapInHolesIsHeldToo) {
    PartToHold part = rectangle_part(120, 120);
    part.outline.holes.push_back(plane::reversed(plane::rectangle({80, 80}, {130, 130})));
    const SetupHold result = held({part}, sheet_of("mdf", {Hold::tabs}), feeds("mdf", "flat-3", 6));
    const plane::EdgeIndex hole({part.outline.holes[0]});
    const auto on_hole = std::count_if(result.parts[0].tabs.begin(), result.parts[0].tabs.end(),
                                       [&](const Tab& tab) { return hole.nearest(tab.at)->distance < 0.01; });
    EXPECT_EQ(on_hole, 2);
}

TEST(Holding, FinishingCanBeTheWorstMoment) {
    cutting::FeedPlan rough = feeds("mdf", "flat-3", 6), finish = rough;
    finish.loads.force_peak *= 3;
    const SetupHold result = held({rectangle_part(60, 60)}, sheet_of("mdf", {Hold::tape}), rough, &finish);
    EXPECT_EQ(result.parts[0].moment, "finishing");
}

TEST(Holding, VacuumLosesSmallParts) {
    const cutting::FeedPlan rough = feeds("mdf", "flat-3", 6);
    const SetupHold result =
        held({rectangle_part(15, 15), rectangle_part(250, 250)}, sheet_of("mdf", {Hold::vacuum}), rough);
    EXPECT_LT(result.parts[0].margin, 0.3);
    EXPECT_GT(result.parts[1].margin, 1);
}

TEST(Holding, BadPartsAreRefused) {
    PartToHold empty;
    empty.id = "nothing";
    const auto result = hold_parts({empty}, sheet_of("mdf", {Hold::skin}), material("mdf"), machine(),
                                   feeds("mdf", "flat-3", 6), nullptr);
    ASSERT_FALSE(result.ok());
    EXPECT_NE(result.problem().what.find("nothing"), std::string::npos);
    EXPECT_TRUE(
        hold_parts({}, sheet_of("mdf", {Hold::skin}), material("mdf"), machine(), feeds("mdf", "flat-3", 6), nullptr)
            .ok());
}

/// The number after `word` in a proposal.
double number_after(const std::string& text, const std::string& word) {
    const auto at = text.find(word);
    return at == std::string::npos ? -1 : std::atof(text.c_str() + at + word.size());
}

/// The margin once a proposal is followed; -1 when it says nothing that can be followed here.
double margin_after(const std::string& proposal, PartToHold part, shop::Sheet sheet, cutting::FeedPlan rough,
                    cutting::FeedPlan finish) {
    bool followed = false;
    if (proposal.find("skin") != std::string::npos) sheet.hold.insert(Hold::skin), followed = true;
    if (proposal.find("tabs") != std::string::npos) sheet.hold.insert(Hold::tabs), followed = true;
    if (proposal.find("tape under") != std::string::npos) sheet.hold.insert(Hold::tape), followed = true;
    if (proposal.find("a lighter ") != std::string::npos) {
        cutting::Loads& loads = (proposal.find("finishing") != std::string::npos ? finish : rough).loads;
        const double share = number_after(proposal, "at most ") / loads.force_peak;
        loads.force_peak *= share;
        loads.lift_peak *= share;
        followed = true;
    }
    if (proposal.find("cut it with flat-3") != std::string::npos) {
        rough = feeds(sheet.material.c_str(), "flat-3", part.thickness);
        finish = feeds(sheet.material.c_str(), "flat-3", part.thickness, cutting::Step::finish);
        part.slot_width = 3;
        followed = true;
    }
    HoldOptions options;
    if (proposal.find("finish the wall first") != std::string::npos) options.layer_apart = followed = true;
    if (!followed) return -1;
    const SetupHold after = held({std::move(part)}, sheet, rough, &finish, options);
    return after.parts[0].margin;
}

// What a proposal promises comes true when it is followed: every part, hold and material that is short of its margin.
TEST(Holding, ProposalsBringWhatTheyPromise) {
    int followed = 0;
    for (const char* m : {"mdf", "birch-plywood", "walnut", "acrylic", "hardboard", "hdpe", "aluminium-6061"})
        for (const std::set<Hold>& hold :
             {std::set<Hold>{Hold::tape}, {Hold::vacuum}, {Hold::clamps}, {Hold::skin}, {Hold::tabs}})
            for (const double size : {18.0, 30.0, 60.0}) {
                const char* tool = material(m).kind == shop::MaterialKind::metal ? "single-flute-3" : "flat-3";
                cutting::FeedPlan rough = feeds(m, tool, 6);
                rough.loads.force_peak *= 1.5, rough.loads.lift_peak *= 1.5;
                const cutting::FeedPlan finish = feeds(m, tool, 6, cutting::Step::finish);
                const PartToHold part = rectangle_part(size, size);
                const shop::Sheet sheet = sheet_of(m, hold);
                const PartHold before = held({part}, sheet, rough, &finish).parts[0];
                if (before.margin >= 1) continue;
                ASSERT_FALSE(before.proposals.empty());
                for (const std::string& proposal : before.proposals) {
                    const double after = margin_after(proposal, part, sheet, rough, finish);
                    if (after < 0) continue;
                    ++followed;
                    const double promised = number_after(proposal, "margin ");
                    // A lighter pass may leave the other moment as the worst one; then it too is proposed.
                    const std::string where = std::string(m) + " " + std::to_string(size) + " mm: " + proposal;
                    if (promised < 0) {
                        EXPECT_GT(after, before.margin * 1.01) << where;
                        continue;
                    }
                    // With two holds at once each may then be chosen smaller: what was asked is still reached.
                    EXPECT_GE(after, std::min(promised, 1.0) - 0.01) << where;
                    EXPECT_EQ(proposal.find("not enough") == std::string::npos, promised >= 0.9999) << where;
                }
            }
    EXPECT_GT(followed, 60);
}

TEST(Holding, ASmallerCutterIsProposedWithTheMarginItBrings) {
    HoldOptions options;
    options.others = {{"flat-3", 3, feeds("mdf", "flat-3", 6), feeds("mdf", "flat-3", 6, cutting::Step::finish)}};
    int enough = 0;
    for (int size = 16; size <= 80; size += 2) {
        const PartToHold part = rectangle_part(size, size, 6, 6);
        const shop::Sheet sheet = sheet_of("mdf", {Hold::tape});
        const cutting::FeedPlan rough = feeds("mdf", "flat-6", 6),
                                finish = feeds("mdf", "flat-6", 6, cutting::Step::finish);
        const PartHold before = held({part}, sheet, rough, &finish, options).parts[0];
        if (before.margin >= 1) continue;
        const auto proposal = std::find_if(before.proposals.begin(), before.proposals.end(), [](const std::string& p) {
            return p.find("cut it with flat-3") != std::string::npos;
        });
        ASSERT_NE(proposal, before.proposals.end()) << size;
        const double promised = number_after(*proposal, "margin ");
        EXPECT_GT(promised, before.margin);
        EXPECT_NEAR(margin_after(*proposal, part, sheet, rough, finish), promised, 0.006) << *proposal;
        enough += promised >= 1 ? 1 : 0;
    }
    EXPECT_GT(enough, 0);
}

TEST(Holding, ClampsAreProposedInNumberWhereTheSheetItselfWouldMove) {
    shop::Sheet sheet = sheet_of("hdpe", {Hold::clamps, Hold::tabs});
    sheet.clamps.push_back({{0, 0}, {40, 40}, 25});
    HoldOptions options;
    options.clamp_force = 60;
    const cutting::FeedPlan rough = feeds("hdpe", "flat-6", 6),
                            finish = feeds("hdpe", "flat-6", 6, cutting::Step::finish);
    const PartHold before = held({rectangle_part(200, 200, 6, 6, {200, 200})}, sheet, rough, &finish, options).parts[0];
    ASSERT_LT(before.margin, 1);
    ASSERT_EQ(before.weakest, "sheet");
    const auto proposal = std::find_if(before.proposals.begin(), before.proposals.end(), [](const std::string& p) {
        return p.find("hold the sheet with") != std::string::npos;
    });
    ASSERT_NE(proposal, before.proposals.end());
    EXPECT_NE(proposal->find("near (600, 600)"), std::string::npos) << "the far corner: " << *proposal;
    const int more = proposal->find(" a clamp ") != std::string::npos
                         ? 1
                         : static_cast<int>(number_after(*proposal, "hold the sheet with "));
    ASSERT_GE(more, 1);
    for (int i = 0; i < more; ++i)
        sheet.clamps.push_back({{560, 100.0 * i}, {40, 40}, 25});
    const PartHold after = held({rectangle_part(200, 200, 6, 6, {200, 200})}, sheet, rough, &finish, options).parts[0];
    // Tabs are chosen anew, and may hold more now.
    EXPECT_GE(after.margin, number_after(*proposal, "margin ") - 0.006) << *proposal;
}

// The part is held by its last layer while the wall is finished; then only the layer's own force is left.
TEST(Holding, TheOrderOfWallAndLastLayerIsProposedWhereItHelps) {
    int proposed = 0;
    for (int size = 16; size <= 60; size += 2) {
        const PartToHold part = rectangle_part(size, size);
        const shop::Sheet sheet = sheet_of("mdf", {Hold::tape});
        cutting::FeedPlan rough = feeds("mdf", "flat-3", 6), finish = feeds("mdf", "flat-3", 6, cutting::Step::finish);
        finish.loads.force_peak = rough.loads.force_peak; // a heavy finishing pass
        const PartHold before = held({part}, sheet, rough, &finish).parts[0];
        HoldOptions apart;
        apart.layer_apart = true;
        const PartHold after = held({part}, sheet, rough, &finish, apart).parts[0];
        EXPECT_GE(after.margin, before.margin - 1e-12);
        EXPECT_FALSE(mentions(after.proposals, "finish the wall first")) << "it is done already";
        if (before.margin >= 1 || before.moment != "finishing") continue;
        const auto proposal = std::find_if(before.proposals.begin(), before.proposals.end(), [](const std::string& p) {
            return p.find("finish the wall first") != std::string::npos;
        });
        ASSERT_NE(proposal, before.proposals.end()) << size;
        EXPECT_NEAR(number_after(*proposal, "margin "), after.margin, 0.006);
        ++proposed;
    }
    EXPECT_GT(proposed, 0);
}

TEST(Holding, AClampIsProposedOnlyWhereItIsClearOfTheSpindle) {
    shop::Sheet sheet = sheet_of("hdpe", {Hold::clamps, Hold::tabs});
    sheet.clamps.push_back({{0, 0}, {40, 40}, 25});
    HoldOptions options;
    options.clamp_force = 60;
    options.clamp_room = 45;
    options.screw_room = 12;
    const cutting::FeedPlan rough = feeds("hdpe", "flat-6", 6),
                            finish = feeds("hdpe", "flat-6", 6, cutting::Step::finish);
    const auto proposal_of = [&](const PartToHold& part) {
        const PartHold before = held({part}, sheet, rough, &finish, options).parts[0];
        EXPECT_LT(before.margin, 1);
        for (const std::string& proposal : before.proposals)
            if (proposal.find("hold the sheet with") != std::string::npos) return proposal;
        return std::string();
    };
    for (const double edge : {30.0, 140.0}) { // a part in the upper right corner, its edges so far from the sheet's
        const PartToHold part = rectangle_part(200, 200, 6, 6, {400 - edge, 400 - edge});
        const std::string proposal = proposal_of(part);
        ASSERT_NE(proposal.find("clamp"), std::string::npos) << proposal;
        const auto at = clear_place(sheet, {part}, options.clamp_room);
        ASSERT_TRUE(at);
        EXPECT_GE(plane::EdgeIndex({part.outline.outer}).nearest(*at)->distance, options.clamp_room);
        EXPECT_EQ(at->x > 590 && at->y > 590, edge > 100) << "the far corner is taken where it is free";
    }
    // All over the sheet but for a strip of 30 mm: screws stand in it, clamps do not.
    const PartToHold most = rectangle_part(540, 540, 6, 6, {30, 30});
    const std::string screws = proposal_of(most);
    ASSERT_NE(screws.find("4 screws"), std::string::npos) << screws;
    sheet.hold.insert(Hold::screws);
    const PartHold after = held({most}, sheet, rough, &finish, options).parts[0];
    EXPECT_GE(after.margin, std::min(1.0, number_after(screws, "margin ")) - 0.006);
    EXPECT_FALSE(clear_place(sheet, {rectangle_part(590, 590, 6, 6, {5, 5})}, options.screw_room));
}

TEST(Holding, PartsThatWereLostLowerTheMarginsOfThatHoldOnly) {
    shop::Material mdf = material("mdf");
    const shop::PartHeld parts[] = {{1.5, false}, {2, true}};
    mdf.held.push_back({"tape", shop::holding_factor(parts)});
    const cutting::FeedPlan rough = feeds("mdf", "flat-3", 6);
    for (const std::set<Hold>& hold : {std::set<Hold>{Hold::tape}, {Hold::tape, Hold::tabs}}) {
        const shop::Sheet sheet = sheet_of("mdf", hold);
        const PartToHold part = rectangle_part(60, 60);
        const auto after = hold_parts({part}, sheet, mdf, machine(), rough, nullptr);
        ASSERT_TRUE(after);
        const double before = held({part}, sheet, rough).parts[0].margin;
        const bool same = hold.size() == 1;
        const double divisor = same ? mdf.held[0].factor.factor : 1;
        EXPECT_NEAR(after.value().parts[0].margin, before / divisor, 1e-9);
        EXPECT_EQ(mentions(after.value().notes, "1 held and 1 lost"), same);
    }
    EXPECT_EQ(shop::hold_name("tape+skin"), shop::hold_name({Hold::skin, Hold::tape}));
    EXPECT_EQ(shop::hold_name("++tape+tape"), "tape");
}

TEST(Skin, ChanceByHand) {
    // One spot, no common error: Φ(-s/σ).
    EXPECT_NEAR(chance_thinner(0.2, 0, {0.1, 0, 0}, 1), 0.02275, 1e-4);
    EXPECT_NEAR(chance_thinner(0.2, 0, {0, 0, 0}, 1), 0, 1e-12);
    // One spot: bed and zero add in quadrature, whichever is common.
    EXPECT_NEAR(chance_thinner(0.2, 0, {0.06, 0.08, 0}, 1), 0.02275, 2e-3);
    // Many spots: 1 - (1 - p)^n.
    EXPECT_NEAR(chance_thinner(0.3, 0, {0.1, 0, 0}, 20), 1 - std::pow(1 - 0.00135, 20), 1e-4);
    // A common error strikes once.
    EXPECT_LT(chance_thinner(0.3, 0, {0, 0.1, 0}, 20), chance_thinner(0.3, 0, {0.1, 0, 0}, 20));
}

TEST(Flex, PlateByHand) {
    // Steel, 100 × 100 × 1 mm: D = 210,000/(12 · 0.91) = 19,231 N·mm; 10 N bend it 0.0603 mm; and it rings at
    EXPECT_NEAR(plate_deflection(10, 100, 1, 210'000), 0.01160 * 10 * 1e4 / 19230.77, 1e-6);
    // ...of (π/a²) √(D/ρt), a textbook formula (Leissa, Vibration of Plates, 1969: λ² = 19.74).
    const double d = 19230.77e-3, mass = 7850 * 0.001; // N·m, kg/m²
    EXPECT_NEAR(plate_frequency(100, 1, 210'000, 7850), 19.739 / (2 * std::numbers::pi * 0.01) * std::sqrt(d / mass),
                0.1);
}

TEST(Flex, ThinSheetBetweenFarClampsIsWarnedOf) {
    shop::Sheet sheet = sheet_of("birch-plywood", {Hold::clamps, Hold::tabs}, 3);
    for (const double x : {0.0, 560.0})
        for (const double y : {0.0, 560.0})
            sheet.clamps.push_back({{x, y}, {40, 40}, 25});
    EXPECT_NEAR(clear_span(sheet), 600, 1);
    const cutting::FeedPlan rough = feeds("birch-plywood", "flat-3", 3);
    const SetupHold far = held({rectangle_part(80, 60, 3)}, sheet, rough);
    EXPECT_GT(far.flex, 0.1);
    EXPECT_TRUE(mentions(far.notes, "rings"));
    EXPECT_NEAR(clear_place(sheet)->x, 300, 16); // following the note: a hold at the place it names
    EXPECT_NEAR(clear_place(sheet)->y, 300, 16);
    shop::Sheet held_there = sheet;
    held_there.clamps.push_back({*clear_place(sheet), {10, 10}, 10});
    EXPECT_LT(held({rectangle_part(80, 60, 3)}, held_there, rough).flex, far.flex);
    for (double x = 40; x < 560; x += 130)
        for (double y = 40; y < 560; y += 130)
            sheet.clamps.push_back({{x, y}, {10, 10}, 10});
    const SetupHold near = held({rectangle_part(80, 60, 3)}, sheet, rough);
    EXPECT_LT(near.flex, 0.4 * far.flex);
    sheet.hold.insert(Hold::tape);
    EXPECT_EQ(held({rectangle_part(80, 60, 3)}, sheet, rough).flex, 0);
}

PartToHold any_part() {
    return rectangle_part(*rc::gen::inRange(10, 300), *rc::gen::inRange(10, 300), *rc::gen::inRange(2, 12), 3);
}

RC_GTEST_PROP(Holding, LessTapeNeverALargerMargin, ()) {
    const PartShape shape = shape_of(any_part().outline);
    const shop::Material& m = shop::shipped().materials[*rc::gen::inRange<std::size_t>(0, 14)];
    const auto pick = [](int low, int high) { return static_cast<double>(*rc::gen::inRange(low, high)); };
    MarginInput input{&shape,
                      &m,
                      &machine(),
                      pick(2, 12),
                      pick(2, 7),
                      safety_factors(m.kind, 3),
                      {{"a", pick(1, 100), pick(0, 40), pick(0, 6)}}};
    Holds more, less;
    more.skin = less.skin = pick(0, 5) / 10;
    more.tape_share = pick(1, 100) / 100;
    less.tape_share = more.tape_share * pick(0, 100) / 100;
    RC_ASSERT(margin_of(input, less).margin <= margin_of(input, more).margin + 1e-12);
    Holds thicker = more;
    thicker.skin += 0.1;
    RC_ASSERT(margin_of(input, more).margin <= margin_of(input, thicker).margin + 1e-12);
    MarginInput safer = input;
    safer.factors.tape *= 1.5;
    safer.factors.skin *= 1.5;
    RC_ASSERT(margin_of(safer, more).margin <= margin_of(input, more).margin + 1e-12);
}

// Each hold alone and together: less of it never gives a larger margin, nor does more force, lift or safety.
RC_GTEST_PROP(Holding, LessOfAnyHoldNeverALargerMargin, ()) {
    const PartToHold part = any_part();
    const SpanStrength strength{*rc::gen::inRange(10, 60) / 10.0, {1, 0}};
    const PartShape shape = shape_of(part.outline, strength);
    const shop::Material& m = shop::shipped().materials[*rc::gen::inRange<std::size_t>(0, 14)];
    const auto pick = [](int low, int high) { return static_cast<double>(*rc::gen::inRange(low, high)); };
    Moment moment{"a", pick(1, 100), pick(0, 40), pick(0, 6)};
    moment.layer = pick(0, 4) / 10;
    MarginInput input{&shape, &m, &machine(), pick(2, 12), pick(2, 7), safety_factors(m.kind, 3), {moment}};
    Holds holds;
    holds.tape_share = pick(0, 100) / 100;
    holds.vacuum_kpa = pick(0, 70);
    holds.skin = pick(0, 10) / 10;
    holds.sheet_force = pick(10, 2000);
    const auto sites = tab_sites(part.outline.outer, 6, {});
    for (const Vec& at : spread_tabs(sites, shape.perimeter, *rc::gen::inRange(0, 6), 6))
        holds.tabs.push_back({at, 6, 1.5});
    const double margin = margin_of(input, holds).margin;
    const auto never_more = [&](const MarginInput& in, const Holds& less) {
        RC_ASSERT(margin_of(in, less).margin <= margin * (1 + 1e-12));
    };
    const double share = pick(0, 100) / 100;
    Holds less = holds;
    less.tape_share *= share, never_more(input, less);
    less = holds, less.vacuum_kpa *= share, never_more(input, less);
    less = holds, less.skin *= share, never_more(input, less);
    less = holds, less.sheet_force *= share, never_more(input, less);
    if (holds.tabs.size() > 1) less = holds, less.tabs.pop_back(), never_more(input, less);
    less = holds;
    for (Tab& tab : less.tabs)
        tab.thickness *= share;
    never_more(input, less);
    MarginInput harder = input;
    harder.moments[0].force *= 1 + share, never_more(harder, holds);
    harder = input, harder.moments[0].lift *= 1 + share, never_more(harder, holds);
    harder = input, harder.moments[0].height += share, never_more(harder, holds);
    harder = input;
    for (double* factor : {&harder.factors.vacuum, &harder.factors.friction, &harder.factors.tabs, &harder.factors.skin,
                           &harder.factors.tape})
        *factor *= 1 + share;
    never_more(harder, holds);
}

RC_GTEST_PROP(Holding, PlaceAndTurnDoNotMatter, ()) {
    const plane::Polygon here = any_part().outline;
    const plane::Polygon there = plane::placed(
        here, {*rc::gen::inRange(-400, 400) * 1.0, *rc::gen::inRange(-400, 400) * 1.0, 90.0 * *rc::gen::inRange(0, 4)});
    const PartShape a = shape_of(here), b = shape_of(there);
    RC_ASSERT(std::abs(a.gyration - b.gyration) < 1e-3);
    RC_ASSERT(std::abs(a.lever - b.lever) < 1e-3);
}

RC_GTEST_PROP(Holding, WhatIsChosenKeepsItsPromises, ()) {
    std::vector<PartToHold> parts;
    const int count = *rc::gen::inRange(1, 6);
    const double thickness = *rc::gen::inRange(2, 13);
    for (int i = 0; i < count; ++i) {
        parts.push_back(any_part());
        parts.back().thickness = thickness;
    }
    const shop::Material& m = shop::shipped().materials[*rc::gen::inRange<std::size_t>(0, 14)];
    const std::set<Hold> hold{*rc::gen::element(Hold::tape, Hold::skin, Hold::tabs, Hold::clamps, Hold::vacuum),
                              *rc::gen::element(Hold::tape, Hold::skin, Hold::tabs, Hold::clamps, Hold::screws)};
    cutting::FeedPlan rough;
    rough.loads.force_peak = *rc::gen::inRange(1, 100);
    rough.loads.lift_peak = *rc::gen::inRange(-20, 40);
    rough.setting.ap = 1;
    const SetupHold result = held(parts, sheet_of(m.name.c_str(), hold, thickness), rough);
    RC_ASSERT(result.parts.size() == parts.size());
    for (const PartHold& part : result.parts) {
        RC_ASSERT(part.margin >= result.margin_min);
        RC_ASSERT(part.margin >= 1 || !part.proposals.empty());
        RC_ASSERT(part.skin == 0 || m.skin_allowed);
        for (const Tab& tab : part.tabs)
            RC_ASSERT(tab.thickness <= thickness / 2 + 1e-9);
    }
    RC_ASSERT(result.skin <= 0.3 * thickness + 1e-9);
    if (result.skin > 0) RC_ASSERT(result.break_through <= 0.01);
}

} // namespace
} // namespace kerfwright::holding
