#include "job/kept_stages.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

const std::string kFile = std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/small/job.toml";

struct Planned {
    Plan plan;
    std::vector<std::string> run, kept; ///< stages
};

Planned planned(const Job& job, KeptStages* store) {
    Planned out;
    const auto drawing = load_drawing(job);
    PlanOptions options;
    options.kept = store;
    options.progress = [&](const std::string& stage, bool kept) { (kept ? out.kept : out.run).push_back(stage); };
    auto plan = make_plan(job, drawing.value(), options);
    EXPECT_TRUE(plan) << to_string(plan.problem());
    out.plan = std::move(plan).value();
    const auto proof = prove_as_written(out.plan, options);
    EXPECT_TRUE(proof.value().proven());
    return out;
}

/// The first piece stays where it lies, moved by `dx`.
Job with_first_piece_placed(Job job, const Plan& plan, double dx) {
    const PlannedPiece& piece = plan.pieces.front();
    plane::Placement placement = piece.placement;
    placement.x += dx;
    job.placed.push_back({piece.id, piece.sheet, placement, 1});
    return job;
}

TEST(KeptStages, NothingIsRunTwiceForTheSameJob) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    KeptStages store;
    const Planned first = planned(job.value(), &store);
    EXPECT_TRUE(first.kept.empty());
    const Planned again = planned(job.value(), &store);
    EXPECT_TRUE(again.run.empty());
    EXPECT_EQ(to_json(again.plan), to_json(first.plan));
}

TEST(KeptStages, AMovedPieceGivesThePlanThatAFreshStartGives) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    KeptStages store;
    const Planned first = planned(job.value(), &store);
    const Job moved = with_first_piece_placed(job.value(), first.plan, 0.5);
    const Planned kept = planned(moved, &store);
    const Planned fresh = planned(moved, nullptr);
    EXPECT_EQ(to_json(kept.plan), to_json(fresh.plan));
    EXPECT_NE(to_json(kept.plan), to_json(first.plan));
    EXPECT_NEAR(kept.plan.pieces.front().placement.x, first.plan.pieces.front().placement.x + 0.5, 0.006);
    EXPECT_EQ(std::count(kept.kept.begin(), kept.kept.end(), "fit"), 1);
    for (std::size_t i = 0; i < kept.plan.setups.size(); ++i)
        for (std::size_t k = 0; k < kept.plan.setups[i].programs.size(); ++k)
            EXPECT_EQ(kept.plan.setups[i].programs[k].text, fresh.plan.setups[i].programs[k].text);
}

TEST(KeptStages, ANewTitleIsInThePrograms) {
    auto job = load_job(kFile);
    ASSERT_TRUE(job);
    KeptStages store;
    const Planned first = planned(job.value(), &store);
    job.value().title = "another title";
    const Planned kept = planned(job.value(), &store);
    for (const PlannedSetup& setup : kept.plan.setups)
        for (const PlannedProgram& program : setup.programs)
            EXPECT_NE(program.text.find("another title"), std::string::npos) << program.file;
    EXPECT_EQ(kept.kept, (std::vector<std::string>{"fit", "layout", "assembly"}));
}

TEST(KeptStages, EveryWishThatMattersRunsTheFitAgain) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    const std::string before = fit_input(job.value(), drawing.value());
    Job other = job.value();
    other.clearance += 0.01;
    EXPECT_NE(fit_input(other, drawing.value()), before);
    other = job.value();
    other.pieces.front().material = "oak";
    EXPECT_NE(fit_input(other, drawing.value()), before);
    other = job.value();
    other.cutters.pop_back();
    EXPECT_NE(fit_input(other, drawing.value()), before);
}

TEST(KeptStages, PlanningStopsWhenAsked) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    std::stop_source stop;
    PlanOptions options;
    options.stop = stop.get_token();
    options.progress = [&](const std::string& stage, bool) {
        if (stage == "layout") stop.request_stop();
    };
    const auto plan = make_plan(job.value(), drawing.value(), options);
    ASSERT_FALSE(plan);
    EXPECT_EQ(plan.problem().what, stopped().what);
}

TEST(Placed, AnUnknownPieceAndADoubleOneAreNamedWithTheirLine) {
    auto job = load_job(kFile);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    job.value().placed.push_back({"nobody", job.value().sheets.front().name, {}, 77});
    const auto plan = make_plan(job.value(), drawing.value(), {});
    ASSERT_FALSE(plan);
    EXPECT_EQ(plan.problem().line, 77);
    EXPECT_NE(plan.problem().what.find("nobody"), std::string::npos);
}

} // namespace
} // namespace kerfwright::job
