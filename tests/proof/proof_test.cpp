// Whole proofs of small programs, clean and with one fault each.

#include "kit.hpp"

#include <gtest/gtest.h>

using namespace kerfwright;
using proof::FindingKind;
using proof::HeldBy;

namespace {

/// The only kinds that may be found, and the one that must be.
void expect_only(const proof::SetupProof& proof, FindingKind wanted, std::initializer_list<FindingKind> others = {}) {
    EXPECT_TRUE(kit::has(proof, wanted)) << "wanted " << proof::to_string(wanted) << ", got\n" << kit::told(proof);
    for (const proof::Finding& finding : proof.findings)
        EXPECT_TRUE(finding.kind == wanted || std::find(others.begin(), others.end(), finding.kind) != others.end())
            << kit::told(proof);
}

} // namespace

TEST(Clean, ProfileHasNoFindings) {
    const auto proof = kit::profile_job().prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    ASSERT_EQ(proof.parts.size(), 1u);
    EXPECT_NEAR(proof.parts[0].deviation_min, 0, 0.001);
    EXPECT_NEAR(proof.parts[0].deviation_max, 0, 0.001);
    const double slot = kit::kPart.wider(6).area() - kit::kPart.area();
    EXPECT_NEAR(proof.removed_volume, slot * 6, slot * 6 * 0.003);
    EXPECT_GT(proof.time, 0);
}

TEST(Clean, PocketHasNoFindings) {
    const auto proof = kit::pocket_job().prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    EXPECT_NEAR(proof.removed_volume, kit::kPart.area() * 4, kit::kPart.area() * 4 * 0.003);
}

TEST(Clean, TheSameOnAnyNumberOfThreads) {
    auto job = kit::pocket_job();
    job.program.at(job.program.find("G1 X38")) += " Z-5"; // something to report
    const auto one = job.prove(1);
    const auto two = job.prove(2);
    const auto five = job.prove(5);
    EXPECT_FALSE(one.findings.empty());
    EXPECT_EQ(kit::told(one), kit::told(two));
    EXPECT_EQ(kit::told(one), kit::told(five));
    EXPECT_EQ(one.removed_volume, two.removed_volume);
    EXPECT_EQ(one.removed_volume, five.removed_volume);
}

TEST(Fault, ACoordinateThatCutsIntoThePart) {
    auto job = kit::profile_job();
    const int line = job.program.find("G1 Y60", 3);
    job.program.at(line) = "G1 X27.5 Y60";
    const auto proof = job.prove();
    const proof::Finding* gouge = kit::first(proof, FindingKind::gouge);
    ASSERT_TRUE(gouge) << kit::told(proof);
    EXPECT_EQ(gouge->line, line);
    EXPECT_NEAR(gouge->value, -0.5, 0.02);
    EXPECT_NEAR(proof.parts[0].deviation_min, -0.5, 0.02);
}

TEST(Fault, APlungeInTheMiddleOfThePart) {
    auto job = kit::profile_job();
    const int end = job.program.find("M5");
    auto& lines = job.program.lines;
    lines.insert(lines.begin() + end - 1, {"G0 X60 Y45", "G1 Z5.5", "G0 Z11"});
    const auto proof = job.prove();
    expect_only(proof, FindingKind::gouge);
    EXPECT_EQ(kit::first(proof, FindingKind::gouge)->line, end + 1);
}

TEST(Fault, ADroppedLapLeavesTheSlotUncut) {
    auto job = kit::profile_job();
    const int line = job.program.find("Z-0.200");
    job.program.at(line) = "G1 X35.000 Z0.300";
    const auto proof = job.prove();
    expect_only(proof, FindingKind::left_standing);
}

TEST(Fault, ARapidThatForgetsToRetract) {
    auto job = kit::profile_job();
    auto& lines = job.program.lines;
    const int end = job.program.find("M5");
    lines.insert(lines.begin() + end - 2, "G0 X5 Y5");
    const auto proof = job.prove();
    EXPECT_TRUE(kit::has(proof, FindingKind::rapid_in_material)) << kit::told(proof);
    EXPECT_EQ(kit::first(proof, FindingKind::rapid_in_material)->line, end - 1);
}

TEST(Fault, AClampInTheWayOfTheCutter) {
    auto job = kit::profile_job();
    job.setup.clamps = {{{0, 30}, {25, 20}, 25}};
    const auto proof = job.prove();
    expect_only(proof, FindingKind::clamp_contact);
    EXPECT_NEAR(kit::first(proof, FindingKind::clamp_contact)->value, -1 - 11 + 0, 12); // nut or cutter
}

TEST(Fault, AClampInTheWayOfTheNut) {
    auto job = kit::profile_job();
    job.setup.clamps = {{{0, 30}, {20, 20}, 25}}; // top at 31: the nut, 14 mm wide, is at 29.8 at the deepest
    const auto proof = job.prove();
    expect_only(proof, FindingKind::clamp_contact);
    EXPECT_NE(kit::first(proof, FindingKind::clamp_contact)->text.find("nut"), std::string::npos);
    job.setup.clamps[0].height = 23;
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
}

TEST(Fault, AShortCutterBringsTheNutIntoTheStock) {
    auto job = kit::profile_job();
    job.setup.cutters[0].LPR = 5;
    job.setup.cutters[0].APMX = 5;
    const auto proof = job.prove();
    expect_only(proof, FindingKind::holder_contact);
}

TEST(Fault, BeyondTheTable) {
    auto job = kit::profile_job();
    job.setup.machine.axes[0].travel = 90;
    expect_only(job.prove(), FindingKind::table_limit);
    job.setup.machine.axes[0].travel = 600;
    job.setup.machine.axes[2].travel = 10;
    expect_only(job.prove(), FindingKind::table_limit);
}

TEST(Fault, TooDeepIntoTheBed) {
    auto job = kit::profile_job();
    const int line = job.program.find("Z-0.200");
    job.program.at(line) = "G1 X35.000 Z-2";
    const auto proof = job.prove();
    expect_only(proof, FindingKind::bed_cut, {FindingKind::overload}); // the stock is cut deeper than planned, too
    EXPECT_EQ(kit::first(proof, FindingKind::bed_cut)->line, line);
    EXPECT_LE(proof.findings.size(), 2u) << kit::told(proof);
    EXPECT_NEAR(kit::first(proof, FindingKind::bed_cut)->value, 2, 1e-9);
}

TEST(Fault, AFloorTooDeepAndTooShallow) {
    auto job = kit::pocket_job();
    job.setup.floors[0].depth = 3.9;
    expect_only(job.prove(), FindingKind::gouge);
    job.setup.floors[0].depth = 4.1;
    expect_only(job.prove(), FindingKind::left_standing);
}

TEST(Fault, ASpindleThatDoesNotTurn) {
    auto job = kit::profile_job();
    const int line = job.program.find("M3");
    job.program.at(line) = "S18000";
    const auto still = job.prove();
    expect_only(still, FindingKind::spindle_off);
    EXPECT_EQ(still.findings.size(), 1u) << kit::told(still);
    job.program.at(line) = "S18000 M4";
    expect_only(job.prove(), FindingKind::spindle_off);
}

TEST(Fault, ASpeedTheSpindleDoesNotHave) {
    auto job = kit::profile_job();
    const int line = job.program.find("M3");
    job.program.at(line) = "S30000 M3";
    expect_only(job.prove(), FindingKind::speed_range, {FindingKind::overload});
    job.program.at(line) = "S1800 M3";
    expect_only(job.prove(), FindingKind::speed_range, {FindingKind::overload}); // thicker chips
    job.program.at(line) = "S18000 M3";
    job.setup.cutters[0].n_max = 16000;
    expect_only(job.prove(), FindingKind::speed_range);
}

TEST(Fault, AMissingFeed) {
    auto job = kit::profile_job();
    job.program.at(job.program.find("F1200")) = "G1 Z6";
    expect_only(job.prove(), FindingKind::no_feed);
}

TEST(Fault, AFeedTenTimesTooFast) {
    auto job = kit::profile_job();
    const int line = job.program.find("F1200");
    job.program.at(line) = "G1 Z6 F12000";
    const auto proof = job.prove();
    expect_only(proof, FindingKind::overload);
}

TEST(Fault, APlungeWithACutterThatCannot) {
    auto job = kit::profile_job();
    job.setup.cutters[0].centre_cutting = false;
    job.setup.cutters[0].max_ramp = 3;
    expect_only(job.prove(), FindingKind::plunge);
    job.setup.cutters[0].max_ramp = 10;
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
    job.program.at(job.program.find("G1 Z6 F1200")) = "G1 Z5 F1200";
    expect_only(job.prove(), FindingKind::plunge);
}

TEST(Fault, InchesForMillimetres) {
    auto job = kit::profile_job();
    job.program.at(job.program.find("G21")) = "G20 G17 G90 G94 G40 G49 G80 G54";
    EXPECT_TRUE(kit::has(job.prove(), FindingKind::units));
}

TEST(Fault, AnArcThatDoesNotClose) {
    auto job = kit::profile_job();
    const int line = job.program.find("G2", 4);
    job.program.at(line) += "1";
    const std::string was = job.program.at(line);
    job.program.at(line) = was.substr(0, was.find('I')) + "I-7.9 J0";
    EXPECT_TRUE(kit::has(job.prove(), FindingKind::arc)) << kit::told(job.prove());
}

TEST(Fault, ATruncatedProgram) {
    auto job = kit::profile_job();
    job.program.lines.resize(job.program.lines.size() - 12);
    const auto proof = job.prove();
    EXPECT_TRUE(kit::has(proof, FindingKind::syntax));
    EXPECT_TRUE(kit::has(proof, FindingKind::left_standing));
}

TEST(Fault, ALapAroundAFreedPart) {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::clamps};
    const auto overlap = job.prove(); // the lap's end runs 17 mm over its beginning while ramping: it sets free there
    EXPECT_TRUE(overlap.findings.empty()) << kit::told(overlap);
    kit::Lines again;
    kit::lap_clockwise(again, kit::kPart.wider(3), -0.2);
    auto& lines = job.program.lines;
    lines.insert(lines.end() - 3, again.lines.begin(), again.lines.end());
    expect_only(job.prove(), FindingKind::freed_part_hit);
    job.setup.holds.insert(shop::Hold::tape);
    EXPECT_TRUE(job.prove().findings.empty());
}

TEST(Skin, MayStayAndMustStay) {
    auto job = kit::profile_job();
    const int line = job.program.find("Z-0.200");
    job.program.at(line) = "G1 X35.000 Z0.4";
    job.setup.parts[0].skin = 0.4;
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
    job.setup.parts[0].skin = 0.3;
    expect_only(job.prove(), FindingKind::left_standing);
    job.setup.parts[0].skin = 0.6;
    expect_only(job.prove(), FindingKind::gouge);
}

TEST(Rapids, WanderInTheirBoxWhenAxesFinishAlone) {
    auto job = kit::profile_job();
    // From the slot's end up over the sheet: straight, the way is clear; in the box it is not.
    auto& lines = job.program.lines;
    lines.insert(lines.end() - 3, {"G1 X35 Z2", "G0 X35 Y5 Z60"});
    job.setup.straight_rapids = false;
    EXPECT_TRUE(kit::has(job.prove(), FindingKind::rapid_in_material)) << kit::told(job.prove());
}

TEST(AsCut, IsWhereTheProgramLeavesTheEdge) {
    auto job = kit::profile_job();
    const auto clean = job.prove();
    ASSERT_EQ(clean.parts[0].as_cut.size(), 1u);
    EXPECT_NEAR(plane::signed_area(clean.parts[0].as_cut[0]), kit::kPart.area(), 0.02);
    // the whole program for a cutter that is 0.02 mm smaller: all edges stand out by 0.01 mm
    job.setup.cutters[0].DC = 5.98;
    const auto smaller = job.prove();
    EXPECT_TRUE(smaller.findings.empty()) << kit::told(smaller);
    EXPECT_NEAR(plane::signed_area(smaller.parts[0].as_cut[0]), kit::kPart.wider(0.01).area(), 0.02);
    EXPECT_NEAR(smaller.parts[0].deviation_max, 0.01, 1e-3);
    job.setup.cutters[0].DC = 6.02;
    EXPECT_NEAR(plane::signed_area(job.prove().parts[0].as_cut[0]), kit::kPart.wider(-0.01).area(), 0.02);
}

TEST(Freed, ASlugAndItsMoment) {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::clamps};
    const auto proof = job.prove();
    ASSERT_EQ(proof.freed.size(), 1u);
    EXPECT_EQ(proof.freed[0].id, "part");
    EXPECT_EQ(proof.freed[0].line, job.program.find("M5") - 2); // the last cut
    EXPECT_NEAR(proof.freed[0].area, kit::kPart.area(), 100);
    EXPECT_EQ(proof.freed[0].held_by, HeldBy::nothing);
    EXPECT_FALSE(proof.freed[0].loose_scrap);
    const auto taped = kit::profile_job().prove();
    ASSERT_EQ(taped.freed.size(), 1u);
    EXPECT_EQ(taped.freed[0].line, proof.freed[0].line);
    EXPECT_EQ(taped.freed[0].held_by, HeldBy::tape);
}

TEST(Freed, ASkinHoldsUntilItIsCutThrough) {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::clamps, shop::Hold::skin};
    job.setup.parts[0].skin = 0.4;
    const std::vector<std::string> down = job.program.lines;
    job.program.at(job.program.find("Z-0.200")) = "G1 X35.000 Z0.4";
    const auto held = job.prove();
    EXPECT_TRUE(held.findings.empty()) << kit::told(held);
    ASSERT_EQ(held.freed.size(), 1u); // the part is told once, with what holds it in the end
    EXPECT_EQ(held.freed[0].id, "part");
    EXPECT_EQ(held.freed[0].held_by, HeldBy::skin);
    EXPECT_EQ(held.freed[0].line, job.program.find("M5") - 2);
    job.program.lines = down;
    const auto through = job.prove();
    ASSERT_EQ(through.freed.size(), 1u);
    EXPECT_EQ(through.freed[0].held_by, HeldBy::nothing);
}

/// The part with a tab of 6 mm, 1 mm thick, on its left side.
kit::Job tabbed_job() {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::clamps, shop::Hold::tabs};
    job.setup.parts[0].tabs = {{30, 45, 6, 1}};
    return job;
}

TEST(Freed, TabsHold) {
    auto job = tabbed_job();
    // the last lap climbs over the tab on the left side: centre stays up over its width and the cutter's
    const int line = job.program.find("G1 Y60", 3);
    job.program.at(line) = "G1 Y39\nG1 Z1\nG1 Y51\nG1 Z-0.2\nG1 Y60";
    const auto proof = job.prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    ASSERT_EQ(proof.freed.size(), 1u);
    EXPECT_EQ(proof.freed[0].id, "part");
    EXPECT_EQ(proof.freed[0].held_by, HeldBy::tabs);
    job.program.at(line) = "G1 Y39\nG1 Z0.5\nG1 Y51\nG1 Z-0.2\nG1 Y60"; // half of the tab
    const auto thin = job.prove();
    expect_only(thin, FindingKind::gouge);
    EXPECT_EQ(kit::first(thin, FindingKind::gouge)->line, line + 2);
    EXPECT_NEAR(kit::first(thin, FindingKind::gouge)->value, 0.5, 1e-9);
}

TEST(Slots, TabsAreMeasured) {
    EXPECT_EQ(kit::profile_job().prove().parts[0].slot->skin_max, 0);
    auto job = tabbed_job();
    const int line = job.program.find("G1 Y60", 3);
    job.program.at(line) = "G1 Y39\nG1 Z1\nG1 Y51\nG1 Z-0.2\nG1 Y60";
    const auto proof = job.prove();
    ASSERT_TRUE(proof.parts[0].slot);
    const proof::SlotLeft& left = *proof.parts[0].slot;
    ASSERT_EQ(left.tabs.size(), 1u);
    EXPECT_NEAR(left.tabs[0].thickness, 1, 1e-9);
    EXPECT_NEAR(left.tabs[0].width, 6, 0.6) << "12 mm of path less the cutter, seen every half millimetre";
    EXPECT_NEAR(left.tabs[0].at[1], 45, 0.5);
    EXPECT_EQ(left.skin_max, 0);
}

TEST(Slots, ATabMustBeThereInItsWholeWidth) {
    auto job = tabbed_job();
    const int line = job.program.find("G1 Y60", 3);
    job.program.at(line) = "G1 Y39\nG1 Z1\nG1 Y51\nG1 Z-0.2\nG1 Y60";
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
    job.program.at(line) = "G1 Y39\nG1 Z1\nG1 Y49.5\nG1 Z-0.2\nG1 Y60"; // down 1.5 mm too soon
    const auto narrow = job.prove();
    expect_only(narrow, FindingKind::gouge);
    const proof::Finding& found = *kit::first(narrow, FindingKind::gouge);
    EXPECT_EQ(found.line, line + 3);
    EXPECT_NEAR(found.value, 4.5, 0.3) << "of 6 mm: " << found.text;
    job.program.at(line) = "G1 Y60"; // none at all
    const auto none = job.prove();
    const proof::Finding* missing = kit::first(none, FindingKind::gouge);
    ASSERT_NE(missing, nullptr) << kit::told(none);
    EXPECT_EQ(missing->line, line);
    EXPECT_EQ(missing->value, -0.2) << missing->text;
}

TEST(Slots, ASkinIsMeasured) {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::skin};
    job.setup.parts[0].skin = 0.4;
    job.program.at(job.program.find("Z-0.200")) = "G1 X35.000 Z0.4";
    const auto proof = job.prove();
    ASSERT_TRUE(proof.parts[0].slot);
    EXPECT_NEAR(proof.parts[0].slot->skin_min, 0.4, 1e-9);
    EXPECT_NEAR(proof.parts[0].slot->skin_max, 0.4, 1e-9);
}

TEST(Loads, AreThoseOfTheEngagement) {
    auto job = kit::profile_job();
    const auto proof = job.prove();
    ASSERT_FALSE(proof.loads.empty());
    double length = 0;
    for (const proof::LoadStretch& stretch : proof.loads) {
        length += stretch.length;
        EXPECT_LE(stretch.ae, 6.0);
        EXPECT_NEAR(stretch.fz, 1200.0 / 36000, 1e-9);
        if (stretch.length > 10 && stretch.first_line > 17) { // level or gently ramping, in a slot of 2 mm
            EXPECT_LE(stretch.ap, 2.05);
        }
    }
    EXPECT_NEAR(length, 3 * (2 * (50 + 30) + 2 * 3.14159 * 8), 40);
}

namespace {

/// The profile's slot, cut once more by a cutter whose shank, nut or shoe is as told.
kit::Job with_stack(double shank, double flute, double protrusion) {
    auto job = kit::profile_job();
    job.setup.cutters[0].DCON = shank;
    job.setup.cutters[0].APMX = flute;
    job.setup.cutters[0].LPR = protrusion;
    return job;
}

} // namespace

TEST(Contact, AThickShankAgainstStandingStock) {
    EXPECT_TRUE(with_stack(8, 7, 30).prove().findings.empty()); // at the bottom it begins at 6.8, above the sheet
    const auto proof = with_stack(8, 5, 30).prove();
    expect_only(proof, FindingKind::holder_contact);
    EXPECT_NE(kit::first(proof, FindingKind::holder_contact)->text.find("shank"), std::string::npos);
    EXPECT_NEAR(kit::first(proof, FindingKind::holder_contact)->value, 6 - (-0.2 + 5), 0.05);
}

TEST(Contact, ADustShoeBelowTheColletAgainstStockAndClamp) {
    auto job = kit::profile_job();
    job.setup.machine.stack.push_back({"dust shoe", 90, -25, 10}); // 5 mm above the tip
    const auto stock = job.prove();
    expect_only(stock, FindingKind::holder_contact);
    EXPECT_NE(kit::first(stock, FindingKind::holder_contact)->text.find("dust shoe"), std::string::npos);
    job.setup.machine.stack.back().from = -23; // 7 mm above the tip: clear of the sheet, not of a clamp 2 mm high
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
    job.setup.clamps = {{{0, 0}, {10, 10}, 2}};
    const auto clamp = job.prove();
    expect_only(clamp, FindingKind::clamp_contact);
    EXPECT_NE(kit::first(clamp, FindingKind::clamp_contact)->text.find("dust shoe"), std::string::npos);
}

TEST(Contact, ARapidInItsBoxAgainstAClamp) {
    auto job = kit::profile_job();
    job.setup.clamps = {{{100, 5}, {10, 8}, 20}};
    auto& lines = job.program.lines; // past the clamp at its own height: the straight way is clear, its box is not
    lines.insert(lines.end() - 2, {"G0 X85 Y5", "G0 X115 Y45", "G0 Z40"});
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
    job.setup.straight_rapids = false;
    EXPECT_TRUE(kit::has(job.prove(), FindingKind::clamp_contact)) << kit::told(job.prove());
}

TEST(Contact, AScrewIsAClampLikeAnyOther) {
    auto job = kit::profile_job();
    job.setup.holds = {shop::Hold::screws};
    job.setup.clamps = {{{58, 16}, {4, 4}, 3}}; // its head, beside the slot's lower edge at Y 19
    expect_only(job.prove(), FindingKind::clamp_contact, {FindingKind::freed_part_hit});
    job.setup.clamps[0].at.y = 10;
    EXPECT_TRUE(job.prove().findings.empty()) << kit::told(job.prove());
}

TEST(Contact, ALooseScrapThatIsCutAgain) {
    auto job = kit::profile_job();
    job.setup.parts.clear(); // what is cut out is scrap, much larger than the cutter
    job.setup.holds = {shop::Hold::clamps};
    const auto free = job.prove();
    ASSERT_EQ(free.freed.size(), 1u);
    EXPECT_EQ(free.freed[0].id, "");
    EXPECT_GT(free.freed[0].area, 6 * 6);
    EXPECT_TRUE(free.freed[0].loose_scrap);
    auto& lines = job.program.lines;
    lines.insert(lines.end() - 2, {"G0 X60 Y45", "G1 Z-0.2", "G0 Z11"});
    expect_only(job.prove(), FindingKind::freed_part_hit);
}
