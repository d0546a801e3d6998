#include "job/wear.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace kerfwright::job {
namespace {

/// Setups that each cut one path with one cutter.
struct Cut {
    const char* setup;
    const char* material;
    const char* cutter;
    double path; ///< m
};

Plan plan_of(const std::vector<Cut>& cuts) {
    Plan plan;
    for (const Cut& cut : cuts) {
        PlannedSetup setup;
        setup.name = cut.setup;
        setup.sheet.material = cut.material;
        PlannedProgram program;
        program.cutter = cut.cutter;
        program.path = cut.path;
        setup.programs.push_back(program);
        plan.setups.push_back(setup);
        if (std::none_of(plan.cutters.begin(), plan.cutters.end(), [&](const auto& c) { return c.name == cut.cutter; }))
            plan.cutters.push_back(*find_cutter(shop::shipped(), cut.cutter));
    }
    for (const auto& [material, life] : {std::pair{"carbon-laminate", 60.0}, std::pair{"hardboard", 1000.0}}) {
        cutting::FeedPlan feeds;
        feeds.material = material;
        feeds.cutter = "laminate-3";
        feeds.cutter_life = life;
        plan.feeds.push_back(feeds);
        feeds.cutter_life = 2 * life; // the gentler step does not count
        plan.feeds.push_back(feeds);
    }
    return plan;
}

Job shop_job() {
    Job job;
    job.library = shop::shipped();
    return job;
}

TEST(Wear, SharesOfALifeAddUpOverMaterials) {
    Plan plan = plan_of({{"a", "carbon-laminate", "laminate-3", 15}, {"b", "hardboard", "laminate-3", 200}});
    add_wear(shop_job(), plan);
    ASSERT_EQ(plan.wear.size(), 1u);
    EXPECT_NEAR(plan.wear[0].edges, 15.0 / 60 + 200.0 / 1000, 1e-12);
    EXPECT_NEAR(plan.wear[0].path, 215, 1e-12);
    EXPECT_TRUE(plan.wear[0].fresh_before.empty());
    EXPECT_TRUE(plan.notes.empty()) << "less than half an edge is not worth a word";
}

TEST(Wear, SaysWhenASpareIsWanted) {
    Plan plan = plan_of({{"a", "carbon-laminate", "laminate-3", 40}});
    add_wear(shop_job(), plan);
    ASSERT_EQ(plan.notes.size(), 1u);
    EXPECT_NE(plan.notes[0].find("67 % of an edge's life; have a spare"), std::string::npos) << plan.notes[0];
}

TEST(Wear, NamesTheSetupsThatBeginWithAFreshEdge) {
    Plan plan = plan_of({{"a", "carbon-laminate", "laminate-3", 40},
                         {"b", "carbon-laminate", "laminate-3", 40},
                         {"c", "carbon-laminate", "laminate-3", 15},
                         {"d", "carbon-laminate", "laminate-3", 130}});
    add_wear(shop_job(), plan);
    EXPECT_EQ(plan.wear[0].fresh_before, (std::vector<std::string>{"b", "d"}));
    EXPECT_NEAR(plan.wear[0].edges, 225.0 / 60, 1e-12);
    EXPECT_NE(plan.notes.at(0).find("have 4 ready; put in a fresh one before b, d"), std::string::npos)
        << plan.notes[0];
}

TEST(Wear, EveryCutterHasItsOwnEdges) {
    Plan plan = plan_of({{"a", "carbon-laminate", "laminate-3", 40}, {"b", "mdf", "flat-6", 10}});
    add_wear(shop_job(), plan);
    ASSERT_EQ(plan.wear.size(), 2u);
    EXPECT_NEAR(plan.wear[1].edges, 10 / find_material(shop::shipped(), "mdf")->cutter_life.value, 1e-12)
        << "without a feed plan the material's figure counts";
}

} // namespace
} // namespace kerfwright::job
