// Map data of 12, 49 and 254 regions hold the promises of the fit, judged by disc search, exact distances and GEOS.

#include "certificate.hpp"
#include "measured_gaps.hpp"

#include "drawing/drawing.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>

namespace kerfwright::fit {
namespace {

using namespace test;

std::vector<RegionToFit> map_regions(const std::string& path, double width, double radius,
                                     const std::set<std::string>& only = {}) {
    std::ifstream in(std::string(KERFWRIGHT_SOURCE_DIR) + "/tests/" + path);
    std::ostringstream text;
    text << in.rdbuf();
    drawing::ReadOptions options;
    options.width = width;
    options.region = "property:name";
    const auto drawing = drawing::read_drawing(text.str(), path, options);
    std::vector<RegionToFit> regions;
    if (!drawing.ok()) {
        ADD_FAILURE() << to_string(drawing.problem());
        return regions;
    }
    for (const drawing::Region& region : drawing.value().regions)
        if (only.empty() || only.count(region.name) > 0) regions.push_back({region.name, region.shape, radius});
    return regions;
}

void expect_holds(const std::vector<RegionToFit>& regions, std::size_t count, double step) {
    ASSERT_EQ(regions.size(), count);
    FitRules rules;
    rules.detail = 60; // river mouths on the map are finer than any cutter
    const auto fit = fit_regions(regions, rules);
    ASSERT_TRUE(fit.ok()) << to_string(fit.problem());
    const Certificate c = certify(fit.value(), rules, step);
    EXPECT_TRUE(c.holds()) << to_string(c);
    EXPECT_GE(c.closest, rules.clearance - 0.01);
    const Gaps gaps = measured_gaps(fit.value(), rules);
    EXPECT_GE(gaps.low, -0.01) << "at " << gaps.low_at.x << ", " << gaps.low_at.y;
    EXPECT_LE(gaps.high, 0.01) << "at " << gaps.high_at.x << ", " << gaps.high_at.y;
    // Spots are the exception.
    EXPECT_LT(static_cast<double>(gaps.listed), 0.1 * static_cast<double>(gaps.samples));
}

TEST(FitOfMaps, TwelveRegions) {
    expect_holds(map_regions("drawing/data/africa.topojson.json", 560, 1.5,
                             {"Angola", "Botswana", "Dem. Rep. Congo", "Lesotho", "Malawi", "Mozambique", "Namibia",
                              "South Africa", "Tanzania", "Zambia", "Zimbabwe", "eSwatini"}),
                 12, 0.5);
}
TEST(FitOfMaps, FortyNineRegions) {
    expect_holds(map_regions("drawing/data/africa.topojson.json", 560, 1.5), 49, 0.5);
}
TEST(FitOfMaps, TwoHundredFiftyFourRegions) {
    expect_holds(map_regions("fit/data/counties.topojson.json", 1200, 1.5), 254, 1.0);
}

// Regression: only the two sides of a seam were given smaller cutters; where a third piece's cutter acted too, it was
// said that no cutter would do.
TEST(FitOfMaps, RefusalNamesTheCutterThatWouldDo) {
    const auto regions = map_regions("fit/data/counties.topojson.json", 1200, 3);
    FitRules rules;
    rules.tray_cutter_radius = 3;
    const auto fit = fit_regions(regions, rules);
    ASSERT_FALSE(fit.ok());
    const Problem& fault = fit.problem();
    EXPECT_NE(fault.what.find("more than the detail of 0.50 mm"), std::string::npos) << to_string(fault);
    EXPECT_NE(fault.what.find("would be lost"), std::string::npos) << to_string(fault);
    EXPECT_NE(fault.remedy.find("of at most"), std::string::npos) << to_string(fault);
}

} // namespace
} // namespace kerfwright::fit
