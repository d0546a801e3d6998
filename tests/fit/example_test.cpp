// The example's drawing holds the promises of the fit with the cutters that its plan takes, judged by disc search,
// exact distances and GEOS.

#include "certificate.hpp"
#include "measured_gaps.hpp"

#include "drawing/drawing.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>

namespace kerfwright::fit {
namespace {

TEST(FitOfTheExample, HoldsWithTwoSizesOfCutter) {
    std::ifstream in(KERFWRIGHT_SOURCE_DIR "/examples/skerry/island.svg");
    std::ostringstream text;
    text << in.rdbuf();
    drawing::ReadOptions options;
    options.width = 460;
    const auto drawing = drawing::read_drawing(text.str(), "island.svg", options);
    ASSERT_TRUE(drawing.ok()) << to_string(drawing.problem());
    // Laminate, aluminium and plastics are cut with 3 mm, wood and boards with 6 mm, the recess with 3 mm at last.
    const std::set<std::string> fine{"basalt", "dolerite", "gabbro", "gravel", "limestone", "marl", "slate"};
    std::vector<RegionToFit> regions;
    for (const drawing::Region& region : drawing.value().regions)
        regions.push_back({region.name, region.shape, fine.count(region.name) > 0 ? 1.5 : 3.0});
    ASSERT_EQ(regions.size(), 18u);
    FitRules rules; // as in its job
    rules.clearance = 0.30;
    rules.tray_clearance = 0.60;
    rules.detail = 0.50;
    rules.tray_cutter_radius = 1.5;
    const auto fit = fit_regions(regions, rules);
    ASSERT_TRUE(fit.ok()) << to_string(fit.problem());
    EXPECT_EQ(fit.value().pieces.size(), 19u); // gravel lies in two places
    const test::Certificate c = test::certify(fit.value(), rules, 0.5);
    EXPECT_TRUE(c.holds()) << to_string(c);
    EXPECT_GE(c.closest, rules.clearance - 0.01);
    const test::Gaps gaps = test::measured_gaps(fit.value(), rules);
    EXPECT_GE(gaps.low, -0.01) << "at " << gaps.low_at.x << ", " << gaps.low_at.y;
    EXPECT_LE(gaps.high, 0.01) << "at " << gaps.high_at.x << ", " << gaps.high_at.y;
    EXPECT_LT(static_cast<double>(gaps.listed), 0.1 * static_cast<double>(gaps.samples));
}

} // namespace
} // namespace kerfwright::fit
