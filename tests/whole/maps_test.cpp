// Map data of 49 neighbouring countries plans and proves without special care, from GeoJSON and from TopoJSON.

#include "support/geos.hpp"
#include "support/process.hpp"

#include "plane/shape.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace kerfwright {
namespace {

using Json = nlohmann::json;
using support::text_of;

/// `detail` is generous: at this size, river mouths on the map are finer than any cutter.
const std::string kJob = R"(format = 1
[drawing]
file = "FILE"
width = 500
region = "property:name"
[fit]
detail = 60
[tray]
sheet = "base"
border = 10
[pieces]
"*" = "mdf"
[[sheet]]
name = "base"
material = "mdf"
size = [590, 590]
thickness = 18
hold = ["tape"]
[[sheet]]
name = "a"
material = "mdf"
size = [590, 590]
thickness = 6
hold = ["skin", "tape"]
[[sheet]]
name = "b"
material = "mdf"
size = [590, 590]
thickness = 6
hold = ["skin", "tape"]
[machine]
name = "gantry-600"
[shop]
cutters = ["flat-3", "flat-6", "clearing-25"]
[cutter]
mdf = "flat-3"
)";

plane::Polygon polygon_of(const Json& rings) {
    plane::Polygon polygon;
    for (const Json& points : rings) {
        plane::Ring ring;
        for (const Json& p : points)
            ring.push_back(plane::to_grid({p[0], p[1]}));
        if (polygon.outer.empty())
            polygon.outer = ring;
        else
            polygon.holes.push_back(ring);
    }
    return polygon;
}

void plans_and_proves(const std::string& file) {
    const support::TempFolder temp;
    temp.write(file, text_of(std::string(KERFWRIGHT_SOURCE_DIR) + "/tests/drawing/data/" + file));
    std::string job = kJob;
    temp.write("job.toml", job.replace(job.find("FILE"), 4, file));
    const auto outcome = support::kerfwright("plan --quiet " + (temp.path() / "job.toml").string());
    ASSERT_EQ(outcome.status, 0) << outcome.err << outcome.out;
    const Json plan = Json::parse(text_of(temp.path() / "out/plan.json"));
    ASSERT_EQ(plan["pieces"].size(), 49u);
    EXPECT_TRUE(plan["assembly"]["goes_together"].get<bool>());
    EXPECT_EQ(Json::parse(text_of(temp.path() / "out/proof.json"))["verdict"], "proven");
#ifdef KERFWRIGHT_HAS_GEOS
    const oracle::Geos geos;
    std::vector<oracle::Geos::Geometry> cut;
    for (const Json& piece : plan["pieces"])
        cut.push_back(geos.polygon(polygon_of(piece["as_cut"])));
    for (std::size_t i = 0; i < cut.size(); ++i)
        for (std::size_t j = i + 1; j < cut.size(); ++j)
            EXPECT_EQ(geos.overlap_area(cut[i], cut[j]), 0) << i << " and " << j;
#endif
}

TEST(Maps, GeoJson) {
    plans_and_proves("africa.geojson");
}
TEST(Maps, TopoJson) {
    plans_and_proves("africa.topojson.json");
}

} // namespace
} // namespace kerfwright
