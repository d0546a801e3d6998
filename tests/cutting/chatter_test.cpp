// Measured modes in the plan: it keeps below the limit and says so; without any it says that it does not know.

#include "base/random.hpp"
#include "cutting/chatter.hpp"
#include "cutting/shipped.hpp"
#include "cutting/tool.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

shop::Machine tapped(const char* tool, double frequency, double damping, double stiffness = 0) {
    shop::Machine machine = *find_machine(shop::shipped(), "gantry-600");
    shop::TipMode mode;
    mode.cutter = tool;
    mode.frequency = frequency;
    mode.damping = damping;
    mode.stiffness = stiffness;
    machine.modes.push_back(mode);
    return machine;
}

Task task(double depth, Step step = Step::profile) {
    Task t;
    t.depth = depth;
    t.step = step;
    return t;
}

bool mentions(const FeedPlan& plan, const char* word) {
    return std::any_of(plan.notes.begin(), plan.notes.end(),
                       [&](const std::string& note) { return note.find(word) != std::string::npos; });
}

const Limit* limit(const FeedPlan& plan, const std::string& name) {
    for (const Limit& l : plan.limits)
        if (l.name == name) return &l;
    return nullptr;
}

TEST(Chatter, WithoutATapThePlanSaysThatItDoesNotKnow) {
    const auto plan = plan_feeds(material("mdf"), cutter("flat-6"), shop::shipped().machines[0], task(6));
    ASSERT_TRUE(plan.ok());
    EXPECT_EQ(limit(plan.value(), "chatter"), nullptr);
    EXPECT_TRUE(mentions(plan.value(), "not ruled out"));
    // A tap of another cutter says nothing of this one.
    const auto other = plan_feeds(material("mdf"), cutter("flat-6"), tapped("flat-3", 900, 0.02, 500), task(6));
    EXPECT_EQ(limit(other.value(), "chatter"), nullptr);
}

TEST(Chatter, ThePlanKeepsBelowTheLobes) {
    const shop::Machine machine = tapped("flat-6", 922, 0.011, 1340);
    const auto plan = plan_feeds(material("aluminium-6061"), cutter("flat-6"), machine, task(6));
    ASSERT_TRUE(plan.ok()) << to_string(plan.problem());
    ASSERT_NE(limit(plan.value(), "chatter"), nullptr);
    EXPECT_TRUE(mentions(plan.value(), "922 Hz"));
    const ChatterOutlook outlook = chatter_outlook(material("aluminium-6061"), cutter("flat-6"), machine, task(6));
    EXPECT_FALSE(outlook.stiffness_assumed);
    const Setting& s = plan.value().setting;
    EXPECT_LE(s.ap, std::max(outlook.safe_depth, depth_limit(outlook.system, s.n).depth));
    const auto free = plan_feeds(material("aluminium-6061"), cutter("flat-6"), shop::shipped().machines[0], task(6));
    ASSERT_TRUE(free.ok());
    EXPECT_GE(s.passes / s.vf, free.value().setting.passes / free.value().setting.vf * 0.98);
    // A tip that hardly gives way is no limit.
    const auto stiff =
        plan_feeds(material("aluminium-6061"), cutter("flat-6"), tapped("flat-6", 922, 0.05, 1e6), task(6));
    EXPECT_NEAR(stiff.value().setting.vf, free.value().setting.vf, 0.03 * free.value().setting.vf);
    EXPECT_EQ(stiff.value().setting.passes, free.value().setting.passes);
}

TEST(Chatter, ALooseTipIsHeldBackAndGivenSettingsAreJudged) {
    const shop::Machine machine = tapped("flat-6", 700, 0.02, 900);
    const auto plan = plan_feeds(material("aluminium-6061"), cutter("flat-6"), machine, task(3));
    ASSERT_TRUE(plan.ok()) << to_string(plan.problem());
    const auto free = plan_feeds(material("aluminium-6061"), cutter("flat-6"), shop::shipped().machines[0], task(3));
    EXPECT_GT(plan.value().setting.passes / plan.value().setting.vf,
              free.value().setting.passes / free.value().setting.vf);
    Setting heavy = plan.value().setting;
    heavy.ap = 3;
    heavy.passes = 1;
    const FeedPlan judged = judge(material("aluminium-6061"), cutter("flat-6"), machine, task(3), heavy);
    ASSERT_NE(limit(judged, "chatter"), nullptr);
    EXPECT_FALSE(limit(judged, "chatter")->holds());
}

TEST(Chatter, AnUnmeasuredStiffnessIsTheModels) {
    const shop::Machine machine = tapped("flat-6", 922, 0.011);
    const ChatterOutlook outlook = chatter_outlook(material("mdf"), cutter("flat-6"), machine, task(6));
    EXPECT_TRUE(outlook.stiffness_assumed);
    EXPECT_NEAR(outlook.modes[0].stiffness, 1 / chain_compliance(cutter("flat-6"), machine), 1e-6);
    ASSERT_FALSE(outlook.quiet.empty());
    // The pockets lie where the teeth pass at the tip's frequency or a whole part of it: a little below.
    for (const LobePoint& pocket : outlook.quiet) {
        if (pocket.n > 0.999 * outlook.n_high || pocket.n < 1.001 * outlook.n_low) continue;
        const double per_turn = 60 * 922 / (2 * pocket.n);
        EXPECT_NEAR(per_turn, std::round(per_turn), 0.12) << pocket.n;
    }
}

TEST(Chatter, ALongerStickOutIsScaledAndItsPocketsAreNotTrusted) {
    const shop::Machine machine = tapped("flat-6", 922, 0.011, 1340);
    shop::Cutter longer = cutter("flat-6");
    shop::Machine measured = machine;
    measured.modes[0].LPR = longer.LPR;
    longer.LPR += 10;
    const ChatterOutlook a = chatter_outlook(material("mdf"), cutter("flat-6"), measured, task(6));
    const ChatterOutlook b = chatter_outlook(material("mdf"), longer, measured, task(6));
    EXPECT_TRUE(b.scaled);
    EXPECT_TRUE(b.lobes.empty());
    EXPECT_LT(b.floor.depth, a.floor.depth);
    EXPECT_LT(b.modes[0].frequency, a.modes[0].frequency);
}

TEST(Chatter, TheEnvelopeIsThatOfSingleSpeeds) {
    MillingSystem s;
    s.x = {mode_of_stiffness(922, 0.011, 1.34e6), mode_of_stiffness(1500, 0.03, 3e6)};
    s.y = {mode_of_stiffness(700, 0.02, 2e6)};
    for (const LobePoint& point : lobe_envelope(s, 4000, 24'000, 60))
        EXPECT_NEAR(point.depth, depth_limit(s, point.n).depth, 0.02 * point.depth) << point.n;
}

TEST(Chatter, TunedSpeeds) {
    const auto speeds = tuned_speeds(1448.53, 2, 5000, 18'000);
    ASSERT_EQ(speeds.size(), 6u);
    EXPECT_NEAR(speeds[0], 14'485, 1); // j = 3
    EXPECT_NEAR(speeds[1], 10'864, 1);
    EXPECT_TRUE(tuned_speeds(0, 2, 1, 2).empty());
}

TEST(Chatter, PlansKeepTheirLimitsAndPassTheJudgement) {
    const shop::Library& all = shop::shipped();
    Random random(1126);
    for (int i = 0; i < 40; ++i) {
        const shop::Material& m = all.materials[random.below(all.materials.size())];
        const shop::Cutter& c = all.cutters[random.below(all.cutters.size() - 1)]; // the last one is a drill
        const shop::Machine machine =
            tapped(c.name.c_str(), random.uniform(150, 4000), random.uniform(0.004, 0.1), random.uniform(100, 20'000));
        const Step steps[] = {Step::profile, Step::finish, Step::pocket};
        const Task t = task(random.uniform(0.5, 9.5), steps[random.below(3)]);
        const auto plan = plan_feeds(m, c, machine, t), free = plan_feeds(m, c, all.machines[0], t);
        if (!plan.ok()) {
            EXPECT_TRUE(!free.ok() || plan.problem().what.find("chatter") != std::string::npos) << plan.problem().what;
            continue;
        }
        ASSERT_TRUE(free.ok());
        // Pockets' speeds are tried besides, so a tapped machine may come out a little faster.
        EXPECT_GE(plan.value().setting.passes / plan.value().setting.vf * 1.03,
                  free.value().setting.passes / free.value().setting.vf);
        const FeedPlan again = judge(m, c, machine, t, plan.value().setting);
        for (const auto* limits : {&plan.value().limits, &again.limits})
            for (const Limit& l : *limits)
                EXPECT_TRUE(l.holds()) << m.name << " " << c.name << ": " << l.name;
        EXPECT_NE(limit(plan.value(), "chatter"), nullptr);
    }
}

} // namespace
} // namespace kerfwright::cutting
