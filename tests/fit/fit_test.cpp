#include "partitions.hpp"

#include "fit/fit.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <regex>

namespace kerfwright::fit {
namespace {

plane::Shape box(double x0, double y0, double x1, double y1) {
    return {{plane::rectangle({x0, y0}, {x1, y1}), {}}};
}

const SeamFit* seam_of(const Fit& fit, const std::string& a, const std::string& b) {
    for (const SeamFit& seam : fit.seams)
        if (seam.a == a && seam.b == b) return &seam;
    return nullptr;
}

TEST(Fit, TwoSquaresStepBackFromTheirSeam) {
    FitRules rules;
    rules.tray = false;
    const auto fit = fit_regions({{"a", box(0, 0, 10, 10), 1.5}, {"b", box(10, 0, 20, 10), 1.5}}, rules);
    ASSERT_TRUE(fit.ok());
    ASSERT_EQ(fit.value().pieces.size(), 2u);
    EXPECT_NEAR(plane::area(fit.value().pieces[0].outline), 9.7 * 9.7, 1e-3);
    const SeamFit* seam = seam_of(fit.value(), "a", "b");
    ASSERT_NE(seam, nullptr);
    EXPECT_NEAR(seam->length, 10, 1e-6);
    EXPECT_NEAR(seam->gap_min, 0.30, 1e-4);
    EXPECT_NEAR(seam->gap_max, 0.30, 1e-4);
    EXPECT_EQ(seam->moved_max, 0);
}

// facts: an isolated corner that turns by phi moves by rho (1 / cos(phi / 2) - 1); derived in docs/fit.md.
TEST(Fit, TrayCornersMoveAsTheoryAsks) {
    FitRules rules;
    rules.detail = 2;
    rules.clearance = 0.3;
    rules.tray_clearance = 0.5;
    rules.tray_cutter_radius = 3;
    const auto fit = fit_regions({{"a", box(0, 0, 50, 50), 1.5}}, rules);
    ASSERT_TRUE(fit.ok());
    const double rho = 3 - (0.5 - 0.15);
    const SeamFit* seam = seam_of(fit.value(), "a", "tray");
    ASSERT_NE(seam, nullptr);
    EXPECT_NEAR(seam->moved_max, rho * (std::numbers::sqrt2 - 1), 0.005);
    // Beyond theory: 0.023 for the 5 µm of room, 0.014 for chords and the nudge, 0.034 for the nudge's step of 0.2 µm,
    // which straight sides take over.
    EXPECT_NEAR(fit.value().pieces[0].area_lost, 4 * rho * rho * (1 - std::numbers::pi / 4), 0.075);
    EXPECT_NEAR(seam->gap_min, 0.5, 0.003);
    EXPECT_NEAR(seam->gap_max, 0.5, 0.003);
}

TEST(Fit, RefusesBeyondDetailAndNamesTheCutterThatWouldDo) {
    FitRules rules;
    rules.tray_cutter_radius = 3;
    const std::vector<RegionToFit> regions{{"a", box(0, 0, 50, 50), 1.5}};
    const auto fit = fit_regions(regions, rules);
    ASSERT_FALSE(fit.ok());
    const std::string text = to_string(fit.problem());
    EXPECT_NE(text.find("seam of 'a' with the tray wall"), std::string::npos) << text;
    // 0.5 = (R - 0.45) (sqrt 2 - 1) gives R = 1.657.
    const auto at = text.find("at most 1.6");
    ASSERT_NE(at, std::string::npos) << text;
    rules.tray_cutter_radius = 1.64;
    EXPECT_TRUE(fit_regions(regions, rules).ok());
}

TEST(Fit, PartsOfARegionArePiecesBySize) {
    FitRules rules;
    plane::Shape two = box(0, 0, 10, 10);
    two.push_back(box(10, 10, 30, 30).front()); // touches the other part in a point
    const auto fit = fit_regions({{"a", two, 1.5}, {"b", box(10, 0, 30, 10), 1.5}}, rules);
    ASSERT_TRUE(fit.ok()) << to_string(fit.problem());
    ASSERT_EQ(fit.value().pieces.size(), 3u);
    EXPECT_EQ(fit.value().pieces[0].id, "a.1");
    EXPECT_EQ(fit.value().pieces[1].id, "a.2");
    EXPECT_GT(plane::area(fit.value().pieces[0].outline), plane::area(fit.value().pieces[1].outline));
    EXPECT_EQ(fit.value().pieces[1].region, "a");
}

TEST(Fit, RefusesANarrowInletInsteadOfTrimmingTheCape) {
    // b's cape, 1.5 mm wide and 8 mm long, lies in an inlet of a that a cutter of 1.5 mm radius cannot enter.
    const plane::Shape cape = box(20, 12, 28.5, 13.5);
    const plane::Shape a = plane::subtract(box(0, 0, 28, 25), cape);
    const plane::Shape b = plane::unite(box(28, 0, 50, 25), cape);
    FitRules rules;
    const std::vector<RegionToFit> regions{{"a", a, 1.5}, {"b", b, 1.2}};
    const auto refused = fit_regions(regions, rules);
    ASSERT_FALSE(refused.ok());
    const std::string text = to_string(refused.problem());
    EXPECT_NE(text.find("the seam between 'a' and 'b' moves by"), std::string::npos) << text;
    EXPECT_NE(text.find("cut 'a' with a cutter of at most"), std::string::npos) << text;
    // 2 rho = 1.5 would just go in: R = 0.9.
    auto smaller = regions;
    smaller[0].cutter_radius = 0.85;
    EXPECT_TRUE(fit_regions(smaller, rules).ok());
}

TEST(Fit, RefusesALostIslandAndNamesIt) {
    const plane::Shape island = box(20, 20, 22, 22);
    FitRules rules;
    rules.tray_cutter_radius = 0.75;
    const auto refused =
        fit_regions({{"sea", plane::subtract(box(0, 0, 40, 40), island), 3}, {"islet", island, 0.5}}, rules);
    ASSERT_FALSE(refused.ok());
    const std::string text = to_string(refused.problem());
    EXPECT_NE(text.find("'islet'"), std::string::npos) << text;
    EXPECT_NE(text.find("cut 'sea' with a cutter of at most"), std::string::npos) << text;
}

// Of a long piece only the thickest place is asked about: an inlet of width w needs 2 (R - 0.15) < w.
TEST(Fit, RefusesALongLostIslandAndNamesTheCutter) {
    const plane::Shape strip = box(20, 20, 170, 21);
    FitRules rules;
    rules.tray_cutter_radius = 0.75;
    std::vector<RegionToFit> regions{{"sea", plane::subtract(box(0, 0, 190, 40), strip), 3}, {"strip", strip, 0.5}};
    const auto refused = fit_regions(regions, rules);
    ASSERT_FALSE(refused.ok());
    const std::string text = to_string(refused.problem());
    EXPECT_NE(text.find("piece 'strip'"), std::string::npos) << text;
    EXPECT_NE(text.find("cut 'sea' with a cutter of at most 0.6"), std::string::npos) << text;
    regions[0].cutter_radius = 0.6;
    EXPECT_TRUE(fit_regions(regions, rules).ok());
}

// Whoever does what a refusal says comes to a set that can be cut, in a few steps.
TEST(Fit, AdviceOfRefusalsLeadsToAFit) {
    const std::regex advice(
        "cut '([^']+)'(?: and '([^']+)')? with (?:a cutter|cutters) of at most ([0-9.]+) mm radius");
    auto regions = test::voronoi(6, 90, test::coast(1.2, 0.15), 3, 4);
    FitRules rules;
    rules.tray_cutter_radius = 3;
    int steps = 0;
    for (; steps < 25; ++steps) {
        const auto fit = fit_regions(regions, rules);
        if (fit.ok()) break;
        const std::string text = to_string(fit.problem());
        std::smatch found;
        ASSERT_TRUE(std::regex_search(text, found, advice)) << text;
        const double radius = std::stod(found[3]);
        bool smaller = false;
        const auto lower = [&](double& old) {
            smaller = smaller || radius < old;
            old = std::min(old, radius);
        };
        for (const std::string& name : {found[1].str(), found[2].str()}) {
            if (name == "tray") lower(rules.tray_cutter_radius);
            for (RegionToFit& region : regions)
                if (region.name == name) lower(region.cutter_radius);
        }
        ASSERT_TRUE(smaller) << text;
    }
    EXPECT_GT(steps, 0);
    EXPECT_LT(steps, 25);
    EXPECT_GT(rules.tray_cutter_radius, 0.5);
}

TEST(Fit, RefusesAPieceThatFallsApart) {
    // Two squares joined by a neck thinner than the clearance.
    const plane::Shape necked = plane::unite({box(0, 0, 10, 10), box(9, 4.9, 16, 5.1), box(15, 0, 25, 10)});
    FitRules rules;
    rules.tray = false;
    rules.detail = 20;
    const auto refused = fit_regions({{"dumbbell", necked, 0.2}}, rules);
    ASSERT_FALSE(refused.ok());
    EXPECT_NE(to_string(refused.problem()).find("'dumbbell' falls apart"), std::string::npos)
        << to_string(refused.problem());
}

TEST(Fit, LakesOfTheSetStandAsPosts) {
    const plane::Shape ring = plane::subtract(box(0, 0, 40, 40), box(15, 15, 25, 25));
    FitRules rules;
    const auto fit = fit_regions({{"ring", ring, 1.2}}, rules);
    ASSERT_TRUE(fit.ok()) << to_string(fit.problem());
    ASSERT_EQ(fit.value().wall.size(), 1u);
    ASSERT_EQ(fit.value().wall[0].holes.size(), 1u);
    EXPECT_NEAR(-plane::signed_area(fit.value().wall[0].holes[0]), (10 - 2 * 0.45) * (10 - 2 * 0.45), 1.5);
}

TEST(Fit, BadInputIsAProblem) {
    const FitRules rules;
    EXPECT_FALSE(fit_regions({}, rules).ok());
    EXPECT_FALSE(fit_regions({{"a", {}, 1.5}}, rules).ok());
    EXPECT_FALSE(fit_regions({{"a", box(0, 0, 9, 9), std::nan("")}}, rules).ok());
    EXPECT_FALSE(fit_regions({{"a", box(0, 0, 9, 9), 1}, {"a", box(9, 0, 20, 9), 1}}, rules).ok());
    EXPECT_FALSE(fit_regions({{"a", box(0, 0, 9, 9), 1}, {"b", box(5, 0, 20, 9), 1}}, rules).ok());
    FitRules negative;
    negative.clearance = -1;
    EXPECT_FALSE(fit_regions({{"a", box(0, 0, 9, 9), 1}}, negative).ok());
}

TEST(Fit, SameBytesOnAnyNumberOfThreads) {
    FitRules rules;
    rules.detail = 5;
    const auto regions = test::voronoi(8, 120, test::coast(1.5, 0.15), 1.5, 3);
    rules.threads = 1;
    const auto one = fit_regions(regions, rules);
    rules.threads = 4;
    const auto four = fit_regions(regions, rules);
    ASSERT_TRUE(one.ok() && four.ok());
    ASSERT_EQ(one.value().pieces.size(), four.value().pieces.size());
    for (std::size_t i = 0; i < one.value().pieces.size(); ++i)
        EXPECT_EQ(one.value().pieces[i].as_cut, four.value().pieces[i].as_cut);
}

} // namespace
} // namespace kerfwright::fit
