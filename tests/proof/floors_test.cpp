// Floors by distance: ridges and grooves much narrower than a cell of the height field.

#include "kit.hpp"

#include <gtest/gtest.h>

using namespace kerfwright;
using proof::FindingKind;

namespace {

/// A floor of 60 x 30 mm cleared by a cutter of 6 mm to and fro along X, in lanes of `pitch` mm.
kit::Job lanes(double pitch) {
    kit::Job job = kit::pocket_job();
    job.setup.wall.clear();
    job.setup.floors = {{"", {{plane::rectangle({30, 30}, {90, 60}), {}}}, 2}};
    job.program.lines.clear();
    kit::header(job.program);
    job.program.add("G0 Z5");
    job.program.add("G0 X20 Y28");
    job.program.add("G0 Z1");
    job.program.add("G1 Z-2 F1200");
    bool forth = true;
    for (double y = 28; y < 62 + pitch; y += pitch, forth = !forth) {
        job.program.add(fmt::format("G1 Y{}", kit::num(y)));
        job.program.add(forth ? "G1 X100" : "G1 X20");
    }
    kit::footer(job.program, 5);
    return job;
}

} // namespace

TEST(Floors, LanesThatJustTouchAreAFloor) {
    const auto proof = lanes(5.99).prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
}

TEST(Floors, ARidgeOfATenthOfAMillimetreIsFound) {
    auto job = lanes(6.1);
    const auto proof = job.prove();
    const proof::Finding* ridge = kit::first(proof, FindingKind::left_standing);
    ASSERT_TRUE(ridge) << kit::told(proof);
    const double past_lane = std::fmod(ridge->at[1] - 28, 6.1); // ridges are halfway between lanes
    EXPECT_NEAR(past_lane, 3.05, 0.06);
    EXPECT_EQ(job.prove(2, 3.0).findings.empty(), false) << "cells do not matter";
}

TEST(Floors, AGrooveIsFoundWithItsLine) {
    auto job = lanes(4);
    job.setup.cutters.push_back(kit::flat_cutter("flat-0.2", 0.2));
    kit::Lines groove;
    kit::header(groove);
    groove.add("G0 Z5");
    groove.add("G0 X40 Y40.05");
    groove.add("G1 Z-2.1 F600");
    groove.add("G1 X50");
    kit::footer(groove, 5);
    job.setup.programs.push_back({"groove.nc", groove.text(), "flat-0.2"});
    for (const double cell : {0.25, 3.0}) {
        const auto proof = job.prove(1, cell);
        const proof::Finding* found = kit::first(proof, FindingKind::gouge);
        ASSERT_TRUE(found) << kit::told(proof);
        EXPECT_EQ(found->program, "groove.nc");
        EXPECT_NEAR(found->value, -0.1, 1e-6);
    }
}

TEST(Floors, AMoveThatIsTooDeepIsMeasuredWithPlaceAndLine) {
    auto job = lanes(4);
    const auto clean = job.prove();
    ASSERT_EQ(clean.floors.size(), 1u);
    EXPECT_EQ(clean.floors[0].deepest.deviation, 0);
    EXPECT_EQ(clean.floors[0].highest.deviation, 0);
    // one lane goes 0.03 mm deeper between X 70 and X 72.5: inside the tolerance
    const int line = job.program.find("G1 Y44.000") + 1;
    job.program.at(line) = "G1 X70\nG1 Z-2.03\nG1 X72.5\nG1 Z-2\nG1 X100";
    const auto proof = job.prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    const proof::FloorPlace& deepest = proof.floors.at(0).deepest;
    EXPECT_NEAR(deepest.deviation, -0.03, 1e-9);
    EXPECT_EQ(deepest.program, "pocket.nc");
    EXPECT_GE(deepest.line, line + 1);
    EXPECT_LE(deepest.line, line + 2);
    EXPECT_LE(std::hypot(deepest.at[0] - std::clamp(deepest.at[0], 70.0, 72.5), deepest.at[1] - 44), 3.0);
    EXPECT_EQ(proof.floors[0].highest.deviation, 0);
    for (const double cell : {0.5, 3.0})
        EXPECT_EQ(job.prove(2, cell).floors[0].deepest.deviation, deepest.deviation) << "cells do not matter";
}

TEST(Floors, WhatALaneLeavesIsMeasuredWithPlaceAndLine) {
    auto job = lanes(5); // lanes overlap by 1 mm: what only one lane cuts is 4 mm wide
    const int line = job.program.find("G1 Y48.000") + 1;
    job.program.at(line - 1) += " Z-1.95"; // beside the floor
    job.program.at(line + 1) += " Z-2";
    job.setup.tolerances.left_standing = 0.051;
    const auto proof = job.prove();
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    const proof::FloorPlace& highest = proof.floors.at(0).highest;
    EXPECT_NEAR(highest.deviation, 0.05, 1e-9);
    EXPECT_EQ(highest.line, line);
    EXPECT_NEAR(highest.at[1], 48, 2.0);
    EXPECT_EQ(proof.floors[0].deepest.deviation, 0);
    job.setup.tolerances.left_standing = 0.04;
    const auto strict = job.prove();
    EXPECT_TRUE(kit::has(strict, FindingKind::left_standing)) << kit::told(strict);
    EXPECT_NEAR(strict.floors[0].highest.deviation, 0.05, 1e-9);
}

TEST(Floors, AFloorThatNothingCutsStandsAsHighAsTheStock) {
    auto job = lanes(4);
    job.setup.floors.push_back({"b", {{plane::rectangle({30, 75}, {50, 85}), {}}}, 1.5});
    const auto proof = job.prove();
    ASSERT_EQ(proof.floors.size(), 2u);
    EXPECT_EQ(proof.floors[1].id, "b");
    EXPECT_NEAR(proof.floors[1].highest.deviation, 1.5, 1e-9);
    EXPECT_NEAR(proof.floors[1].deepest.deviation, 1.5, 1e-9);
}
