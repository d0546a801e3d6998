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
