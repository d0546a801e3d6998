#include "job/assembly_stage.hpp"
#include "plane/boolean.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

plane::Polygon block(double x0, double y0, double x1, double y1) {
    return {plane::rectangle({x0, y0}, {x1, y1}), {}};
}

PlannedSetup setup(const std::string& name, const std::string& material, double grain_deg) {
    PlannedSetup out;
    out.name = out.sheet.name = name;
    out.sheet.material = material;
    out.sheet.grain_deg = grain_deg;
    out.programs.push_back({"p.nc", "flat-6", 1, 1, 0, ""});
    return out;
}

/// A board of 80 x 8 mm with 0.1 mm around it in a recess of MDF.
Plan board(const std::string& material, double grain_deg, double turned) {
    Plan plan;
    plan.setups = {setup("a", material, grain_deg), setup("base", "mdf", 0)};
    PlannedPiece piece;
    piece.id = "board";
    piece.material = material;
    piece.setup = "a";
    piece.cutter = "flat-6";
    piece.as_cut = block(0.1, 0.1, 80.1, 8.1);
    piece.placement = {0, 0, turned};
    plan.pieces.push_back(piece);
    plan.has_tray = true;
    plan.tray.setup = "base";
    plan.tray.wall = plan.tray.wall_as_cut = {block(0, 0, 80.2, 8.2)};
    plan.seams.push_back({"board", "tray", 176, 0.1, 0.1, 0.1, 0.1, 0, 0, {}});
    return plan;
}

Job damp_job() {
    Job job;
    job.library = shop::shipped();
    job.climate.shop = {{50, 20}, {50, 20}};
    // Wood takes up 2 %: 80 mm of walnut across the grain grow by 0.46 mm.
    job.climate.customer = {{62, 20}, {62, 20}};
    return job;
}

double chance_at_customer(const Job& job, const Plan& plan) {
    const auto assembly = assembly_stage(job, plan, 1);
    EXPECT_TRUE(assembly);
    EXPECT_NEAR(assembly.value().slack, 0.1, 0.002);
    EXPECT_GT(assembly.value().shop.chance, 0.99) << "nothing moves in the shop";
    EXPECT_LE(assembly.value().customer.low, assembly.value().customer.chance);
    EXPECT_GE(assembly.value().customer.high, assembly.value().customer.chance);
    return assembly.value().customer.chance;
}

TEST(AssemblyStage, WoodMovesAcrossTheGrainOfItsOwnPlacement) {
    const Job job = damp_job();
    EXPECT_GT(chance_at_customer(job, board("walnut", 0, 0)), 0.99) << "the grain runs along the board";
    EXPECT_LT(chance_at_customer(job, board("walnut", 90, 0)), 0.01);
    EXPECT_GT(chance_at_customer(job, board("walnut", 90, 270)), 0.99);
    EXPECT_GT(chance_at_customer(job, board("aluminium-6061", 90, 0)), 0.99) << "metal knows no humidity";
}

TEST(AssemblyStage, ACoatingTakesSlackOnBothSides) {
    Job job = damp_job();
    job.climate.coating = 0.05;
    const auto coated = assembly_stage(job, board("aluminium-6061", 0, 0), 1);
    ASSERT_TRUE(coated);
    EXPECT_NEAR(coated.value().slack, 0.05, 0.002);
    EXPECT_EQ(coated.value().coating, 0.05);
}

/// A proof in which every edge is as the plan's as-cut outline, but for pieces that are larger all around.
Proof proof_of(const Plan& plan, double larger) {
    const auto part = [](const std::string& id, const plane::Shape& shape, const plane::Placement& placement) {
        proof::PartProof out;
        out.id = id;
        out.as_cut = plane::rings_of(plane::placed(shape, placement));
        return out;
    };
    Proof proof;
    proof.setups.resize(2);
    const double g = larger;
    proof.setups[0].parts = {part("board", {block(0.1 - g, 0.1 - g, 80.1 + g, 8.1 + g)}, plan.pieces[0].placement)};
    proof.setups[1].parts = {part("wall", plan.tray.wall_as_cut, plan.tray.placement)};
    return proof;
}

TEST(AssemblyStage, TheSetIsPutTogetherAsTheProgramsLeaveIt) {
    Plan plan = board("walnut", 0, 90);
    plan.pieces[0].placement = {310.5, 20.25, 90};
    plan.tray.placement = {500, 400, 180};
    plan.assembly.slack = 0.1;
    plan.assembly.samples = 1;
    Proof same = proof_of(plan, 0);
    check_assembly(same, plan, 1);
    ASSERT_TRUE(same.assembly);
    EXPECT_NEAR(same.assembly->slack, 0.1, 0.001);
    EXPECT_TRUE(same.assembly->agrees());
    EXPECT_TRUE(same.notes.empty());

    Proof larger = proof_of(plan, 0.05);
    check_assembly(larger, plan, 1);
    ASSERT_TRUE(larger.assembly);
    EXPECT_NEAR(larger.assembly->slack, 0.05, 0.001);
    EXPECT_FALSE(larger.assembly->agrees());
    EXPECT_TRUE(larger.assembly->goes_together());
    EXPECT_EQ(larger.notes.size(), 1u);

    Proof jammed = proof_of(plan, 0.4);
    check_assembly(jammed, plan, 1);
    ASSERT_TRUE(jammed.assembly);
    EXPECT_FALSE(jammed.assembly->goes_together());

    Proof half = proof_of(plan, 0);
    half.setups.pop_back();
    check_assembly(half, plan, 1);
    EXPECT_FALSE(half.assembly) << "one setup alone is no set";

    plan.assembly.samples = 0;
    Proof alone = proof_of(plan, 0);
    check_assembly(alone, plan, 1);
    EXPECT_FALSE(alone.assembly) << "a piece cut again is not put together";
}

} // namespace
} // namespace kerfwright::job
