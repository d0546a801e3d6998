// read_map: GeoJSON (RFC 7946), TopoJSON, projection, faults.

#include "partition_support.hpp"

#include <fmt/format.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

namespace kerfwright::drawing {
namespace {

using namespace testing;
using plane::Point;
using plane::Vec;

std::string file_text(const std::string& name) {
    std::ifstream in(std::string(KERFWRIGHT_SOURCE_DIR) + "/tests/drawing/data/" + name, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

ReadOptions wide(double width, std::string projection = "") {
    ReadOptions options;
    options.width = width;
    options.projection = std::move(projection);
    return options;
}

Sketch read(std::string_view text, const ReadOptions& options) {
    auto result = read_map(text, "map.json", options);
    if (!result) {
        throw std::runtime_error(to_string(result.problem()));
    }
    return std::move(result).value();
}

std::string refused(std::string_view text, const ReadOptions& options = {}) {
    const auto result = read_map(text, "map.json", options);
    return result ? "accepted" : to_string(result.problem());
}

// ---- GeoJSON

TEST(GeoJson, ReadsFeaturesWithIdsPropertiesAndHoles) {
    const Sketch map = read(R"({"type": "FeatureCollection", "features": [
 {"type": "Feature", "id": "x1", "properties": {"name": "Ærø", "rank": 3, "share": 0.25, "new": true, "none": null},
  "geometry": {"type": "Polygon", "coordinates": [[[0,0],[0,4],[4,4],[4,0],[0,0]], [[1,1],[3,1],[3,3],[1,3],[1,1]]]}},
 {"type": "Feature", "id": 17, "geometry": {"type": "MultiPolygon", "coordinates": [[[[5,0,9],[6,0,9],[6,1,9],[5,0,9]]], [[[7,0],[8,0],[8,1]]]]}},
 {"type": "Feature", "properties": {"id": "inner"}, "geometry": {"type": "GeometryCollection", "geometries": [
   {"type": "Point", "coordinates": [1, 2]}, {"type": "Polygon", "coordinates": [[[9,0],[10,0],[10,1],[9,0]]]}]}},
 {"type": "Feature", "geometry": null}
]})",
                            wide(100, "none"));
    ASSERT_EQ(map.outlines.size(), 3U);
    EXPECT_EQ(map.outlines[0].id, "x1");
    EXPECT_EQ(map.outlines[0].line, 2);
    EXPECT_EQ(map.outlines[0].properties, (std::vector<std::pair<std::string, std::string>>{
                                              {"name", "Ærø"}, {"rank", "3"}, {"share", "0.25"}, {"new", "true"}}));
    ASSERT_EQ(map.outlines[0].rings.size(), 2U);
    EXPECT_DOUBLE_EQ(plane::signed_area(map.outlines[0].rings[0]), 1600) << "turned counter-clockwise";
    EXPECT_DOUBLE_EQ(plane::signed_area(map.outlines[0].rings[1]), -400) << "turned clockwise";
    EXPECT_EQ(map.outlines[1].id, "17");
    EXPECT_EQ(map.outlines[1].line, 4);
    EXPECT_EQ(map.outlines[1].rings.size(), 2U);
    EXPECT_EQ(map.outlines[2].id, "inner");
    ASSERT_EQ(map.notes.size(), 1U);
    EXPECT_EQ(map.notes[0].kind, Note::Kind::ignored);
}

TEST(GeoJson, TakesBareGeometries) {
    EXPECT_EQ(read(R"({"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]})", wide(10)).outlines.size(), 1U);
    EXPECT_EQ(
        read(R"({"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}})", wide(10))
            .outlines.size(),
        1U);
}

TEST(GeoJson, PlanarCoordinatesAreMillimetresTimesScale) {
    ReadOptions options;
    options.projection = "none";
    options.scale = 2;
    const Sketch map =
        read(R"({"type":"Polygon","coordinates":[[[1000,5],[1300,5],[1300,85],[1000,85],[1000,5]]]})", options);
    EXPECT_DOUBLE_EQ(plane::bounds(map.outlines[0].rings[0]).width(), 600);
    EXPECT_DOUBLE_EQ(plane::bounds(map.outlines[0].rings[0]).height(), 160);
}

// ---- TopoJSON

TEST(TopoJson, DecodesDeltasSharedAndReversedArcs) {
    // Two squares side by side: arc 0 is their border, 1 goes around the left one, 2 around the right one.
    const Sketch map = read(R"({"type":"Topology","transform":{"scale":[0.5,0.25],"translate":[10,20]},
"arcs":[[[2,0],[0,8]],[[2,8],[-2,0],[0,-8],[2,0]],[[2,0],[2,0],[0,8],[-2,0]]],
"objects":{"rocks":{"type":"GeometryCollection","geometries":[
 {"type":"Polygon","id":"l","arcs":[[0,1]],"properties":{"k":1}},
 {"type":"Polygon","id":"r","arcs":[[2,-1]]}]},
 "more":{"type":"MultiPolygon","arcs":[[[-2,-1]]]}, "line":{"type":"LineString","arcs":[0]}}})",
                            wide(200, "none"));
    ASSERT_EQ(map.outlines.size(), 3U);
    EXPECT_EQ(map.outlines[0].layer, "rocks");
    EXPECT_EQ(map.outlines[0].line, 4);
    EXPECT_EQ(plane::bounds(map.outlines[0].rings[0]).high, plane::to_mm({10'000'000, 20'000'000}));
    EXPECT_EQ(map.outlines[0].rings[0].size(), 4U);
    EXPECT_EQ(plane::bounds(map.outlines[1].rings[0]).low, plane::to_mm({10'000'000, 0}));
    EXPECT_DOUBLE_EQ(plane::signed_area(map.outlines[1].rings[0]), 20'000);
    EXPECT_EQ(map.outlines[2].id, "more-1") << "an object without an id is named after its layer";
}

TEST(TopoJson, EqualsTheGeoJsonOfTheSameMap) {
    for (const char* projection : {"", "+proj=merc", "none"}) {
        const auto options = wide(560, projection);
        const auto topo = read_drawing(file_text("africa.topojson.json"), "africa.json", options);
        const auto geo = read_drawing(file_text("africa.geojson"), "africa.geojson", options);
        ASSERT_TRUE(topo) << to_string(topo.problem());
        ASSERT_TRUE(geo) << to_string(geo.problem());
        ASSERT_EQ(topo.value().regions.size(), geo.value().regions.size());
        EXPECT_EQ(neighbours(topo.value()), neighbours(geo.value()));
        for (std::size_t i = 0; i < geo.value().regions.size(); ++i) {
            const plane::Ring& a = topo.value().regions[i].shape[0].outer;
            const plane::Ring& b = geo.value().regions[i].shape[0].outer;
            ASSERT_EQ(a.size(), b.size());
            for (std::size_t k = 0; k < a.size(); ++k) // the GeoJSON is rounded to 1e-6 degrees
                ASSERT_LE(std::max(std::abs(a[k].x - b[k].x), std::abs(a[k].y - b[k].y)), 2);
        }
    }
}

TEST(Map, AContinentNeedsNoSpecialCare) {
    const auto result = read_drawing(file_text("africa.geojson"), "africa.geojson", wide(560));
    ASSERT_TRUE(result) << to_string(result.problem());
    const Drawing& africa = result.value();
    expect_clean(africa);
    EXPECT_EQ(africa.regions.size(), 49U);
    EXPECT_NEAR(africa.width, 560, 0.001);
    const auto pairs = neighbours(africa);
    EXPECT_EQ(pairs.count({"426", "710"}), 1U) << "Lesotho lies in South Africa";
    EXPECT_EQ(pairs.count({"710", "818"}), 0U);
    for (const Note& note : africa.notes) // a clean map is not changed
        EXPECT_TRUE(note.kind == Note::Kind::narrow || note.kind == Note::Kind::small) << note.text;
}

// ---- projection

TEST(Projection, TheDefaultKeepsAreas) {
    // Zone areas on the WGS 84 ellipsoid (authalic sphere, radius 6371007.18 m): R² Δλ (sin β2 − sin β1), with the
    // authalic latitude β (Snyder 1987, eq. 3-11, 3-12).
    const double e2 = 0.00669437999014;
    const double e = std::sqrt(e2);
    const auto q = [&](double degrees) {
        const double s = std::sin(degrees * std::numbers::pi / 180);
        return (1 - e2) * (s / (1 - e2 * s * s) - std::log((1 - e * s) / (1 + e * s)) / (2 * e));
    };
    const double a = 6378137;
    const double area = a * a / 2 * (5 * std::numbers::pi / 180) * (q(62) - q(58)) / 1e6; // km²
    ReadOptions options;
    options.scale = 1e-6; // 1 m becomes 1 µm: 1 km² becomes 1 mm²
    const auto drawing = read_drawing(R"({"type":"Polygon","coordinates":[[[10,58],[15,58],[15,62],[10,62],[10,58]]]})",
                                      "a.geojson", options);
    ASSERT_TRUE(drawing) << to_string(drawing.problem());
    EXPECT_NEAR(plane::area(drawing.value().regions[0].shape) / area, 1, 2e-5);
}

TEST(Projection, MercatorByHand) {
    // x = a λ, y = a ln tan(π/4 + φ/2) on a sphere (Snyder 1987, eq. 7-1, 7-2).
    ReadOptions options;
    options.scale = 1e-6;
    options.projection = "+proj=merc +R=6371000";
    const Sketch map = read(R"({"type":"Polygon","coordinates":[[[0,0],[10,0],[10,60],[0,60],[0,0]]]})", options);
    const plane::Box box = plane::bounds(map.outlines[0].rings[0]);
    EXPECT_NEAR(box.width(), 6371 * std::numbers::pi / 18, 1e-4);
    EXPECT_NEAR(box.height(), 6371 * std::log(std::tan(std::numbers::pi * (0.25 + 1.0 / 6))), 1e-4);
    EXPECT_EQ(map.outlines[0].rings[0].size(), 4U) << "meridians and parallels are straight";
}

TEST(Projection, LongEdgesAreCurvedAlikeForBothNeighbours) {
    // The 49th parallel, drawn with two points from the north and with three from the south.
    const auto drawing = read_drawing(R"({"type":"FeatureCollection","features":[
{"type":"Feature","id":"n","geometry":{"type":"Polygon","coordinates":[[[-120,49],[-95,49],[-95,55],[-120,55],[-120,49]]]}},
{"type":"Feature","id":"sw","geometry":{"type":"Polygon","coordinates":[[[-120,45],[-110,45],[-110,49],[-120,49],[-120,45]]]}},
{"type":"Feature","id":"se","geometry":{"type":"Polygon","coordinates":[[[-110,45],[-95,45],[-95,49],[-110,49],[-110,45]]]}}]})",
                                      "a.geojson", wide(500));
    ASSERT_TRUE(drawing) << to_string(drawing.problem());
    expect_clean(drawing.value());
    EXPECT_EQ(neighbours(drawing.value()).size(), 3U);
    EXPECT_EQ(note_of(drawing.value(), Note::Kind::overlap_removed), nullptr);
    double outside = 0;
    for (const Seam& seam : drawing.value().seams)
        for (const auto& chain : seam.chains)
            if (seam.b == kOutside) outside += static_cast<double>(chain.size() > 1);
    EXPECT_EQ(outside, 3) << "one outer chain each: no lens is left open along the parallel";
}

TEST(Projection, MapsAcrossTheAntimeridianHangTogether) {
    // The same two squares: cut at 180°, as RFC 7946 wants, and drawn across it.
    const auto cut = read_drawing(R"({"type":"FeatureCollection","features":[
{"type":"Feature","id":"a","geometry":{"type":"MultiPolygon","coordinates":[[[[178,-1],[180,-1],[180,1],[178,1],[178,-1]]],[[[-180,-1],[-178,-1],[-178,1],[-180,1],[-180,-1]]]]}},
{"type":"Feature","id":"b","geometry":{"type":"Polygon","coordinates":[[[-178,-1],[-174,-1],[-174,1],[-178,1],[-178,-1]]]}}]})",
                                  "cut.geojson", wide(400));
    const auto across = read_drawing(R"({"type":"FeatureCollection","features":[
{"type":"Feature","id":"a","geometry":{"type":"Polygon","coordinates":[[[178,-1],[-178,-1],[-178,1],[178,1],[178,-1]]]}},
{"type":"Feature","id":"b","geometry":{"type":"Polygon","coordinates":[[[-178,-1],[-174,-1],[-174,1],[-178,1],[-178,-1]]]}}]})",
                                     "across.geojson", wide(400));
    for (const auto* drawing : {&cut, &across}) {
        ASSERT_TRUE(*drawing) << to_string(drawing->problem());
        expect_clean(drawing->value());
        ASSERT_EQ(drawing->value().regions.size(), 2U);
        EXPECT_EQ(drawing->value().regions[0].shape.size(), 1U) << "one part again";
        EXPECT_NEAR(plane::area(drawing->value().regions[0].shape) / plane::area(drawing->value().regions[1].shape), 1,
                    1e-4);
        EXPECT_EQ(neighbours(drawing->value()).size(), 1U);
    }
}

TEST(Projection, RefusesWhatIsNotLongitudeAndLatitude) {
    EXPECT_EQ(
        refused(
            R"({"type":"Feature","id":"q","geometry":{"type":"Polygon","coordinates":[[[0,0],[500,0],[500,400],[0,0]]]}})"),
        "map.json: feature \"q\" has a position (500, 0) that is no longitude and latitude in degrees; give longitudes "
        "within 180 and "
        "latitudes within 90 degrees, or set projection = \"none\" when the coordinates are already flat");
    const std::string unknown =
        refused(R"({"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]})", wide(10, "+proj=nonsense"));
    EXPECT_EQ(unknown.substr(0, 56), "map.json: the projection \"+proj=nonsense\" is not known (");
    EXPECT_NE(
        refused(R"({"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]})", wide(10, std::string(100'000, 'x'))),
        "accepted");
}

TEST(Projection, KnowsEpsgCodes) {
    const Sketch map =
        read(R"({"type":"Polygon","coordinates":[[[9,50],[11,50],[11,52],[9,52],[9,50]]]})", wide(100, "EPSG:3035"));
    EXPECT_NEAR(plane::bounds(map.outlines[0].rings[0]).width(), 100, 1e-4);
    EXPECT_GT(plane::bounds(map.outlines[0].rings[0]).height(), 140) << "east is x, north is y";
}

TEST(Projection, AsksForAWidthWhenTheMapIsTooLarge) {
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[[[9,50],[11,50],[11,52],[9,52],[9,50]]]})")
                  .find("give a smaller width or scale"),
              std::string::npos);
}

// ---- faults

TEST(MapFault, SaysWhereTheJsonBreaks) {
    EXPECT_EQ(refused("{\"type\": \"Polygon\",\n  \"coordinates\": [1, 2,, 3]}").substr(0, 37),
              "map.json:2:24: this is not JSON: synt");
    EXPECT_EQ(refused("").substr(0, 13), "map.json:1:1:");
    EXPECT_NE(refused(R"({"type": "Polygon", "coordinates": [[[NaN, 1]]]})").find("this is not JSON"),
              std::string::npos);
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[[[1e999,0],[1,0],[1,1],[0,0]]]})").find("this is not JSON"),
              std::string::npos);
    EXPECT_NE(refused("\xff\xfe{}").find("this is not JSON"), std::string::npos);
}

TEST(MapFault, NamesThePlaceOfWhatDoesNotFit) {
    EXPECT_EQ(refused("{\"type\":\"FeatureCollection\",\n\"features\":[\n {\"type\":\"Feature\",\n  "
                      "\"geometry\":{\"type\":\"Blob\"}}]}"),
              "map.json:4:14: \"Blob\" is no type of GeoJSON; give a FeatureCollection, a Feature, a Polygon or a "
              "MultiPolygon");
    EXPECT_NE(refused("[1, 2]"), "accepted");
    EXPECT_NE(refused("{}"), "accepted");
    EXPECT_NE(refused(R"({"type":"FeatureCollection","features":[]})"), "accepted");
    EXPECT_NE(refused(R"({"type":"FeatureCollection","features":[1]})"), "accepted");
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[1,2]})"), "accepted");
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[[[1],[2],[3]]]})"), "accepted");
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[[["a",0],[1,0],[1,1]]]})"), "accepted");
    EXPECT_NE(refused(R"({"type":"Polygon","coordinates":[[[5,5],[5,5],[5,5],[5,5]]]})", wide(10)), "accepted")
        << "no size";
    EXPECT_NE(refused(R"({"type":"Topology"})"), "accepted");
    EXPECT_NE(refused(R"({"type":"Topology","arcs":[],"objects":{"o":{"type":"Polygon","arcs":[[0]]}}})")
                  .find("there is no arc 0"),
              std::string::npos);
    EXPECT_NE(
        refused(R"({"type":"Topology","arcs":[[[0,0],[1,1]]],"objects":{"o":{"type":"Polygon","arcs":[[0.5]]}}})"),
        "accepted");
    EXPECT_NE(
        refused(R"({"type":"Topology","arcs":[[[0,0],[1,1]]],"objects":{"o":{"type":"Polygon","arcs":[[-9e99]]}}})"),
        "accepted");
    EXPECT_NE(refused(R"({"type":"Topology","transform":{},"arcs":[],"objects":{}})"), "accepted");
}

TEST(MapFault, SurvivesDeepNesting) {
    for (const char open : {'[', '{'}) {
        std::string deep;
        for (int i = 0; i < 5'000; ++i)
            deep += open == '[' ? "[" : "{\"a\":";
        EXPECT_NE(refused(deep).find("nested deeper than 64 levels"), std::string::npos);
        EXPECT_NE(refused("{\"type\":\"Polygon\",\"coordinates\":" + deep).find("nested deeper than 64 levels"),
                  std::string::npos);
    }
}

TEST(MapFault, SurvivesNoiseAndSize) {
    Random random(1);
    std::string noise(10'000'000, ' ');
    for (char& c : noise)
        c = static_cast<char>(random.below(256));
    EXPECT_NE(refused(noise), "accepted");
    EXPECT_NE(refused("[" + std::string(5'000'000, ' ') + noise), "accepted");
    EXPECT_NE(refused(std::string((64U << 20) + 1, ' ')).find("more than 64 can be read"), std::string::npos);
}

TEST(MapFault, ARepeatedArcCannotGrowWithoutBound) {
    std::string arc;
    std::string uses;
    for (int i = 0; i < 3'000; ++i)
        arc += fmt::format("{}[{},{}]", i > 0 ? "," : "", i % 90, i % 60);
    for (int i = 0; i < 3'000; ++i)
        uses += i > 0 ? ",0" : "0";
    EXPECT_NE(refused("{\"type\":\"Topology\",\"arcs\":[[" + arc +
                      "]],\"objects\":{\"o\":{\"type\":\"Polygon\",\"arcs\":[[" + uses + "]]}}}")
                  .find("more than 4000000 points"),
              std::string::npos);
}

// ---- properties

RC_GTEST_PROP(MapProperty, TopologyAndFeaturesOfARandomPartitionAgree, ()) {
    Random random(*rc::gen::arbitrary<std::uint64_t>());
    // A strip of cells over longitudes; their borders are jagged arcs.
    const int cells = 2 + static_cast<int>(random.below(5));
    std::vector<std::vector<Vec>> borders;
    for (int i = 0; i <= cells; ++i) {
        std::vector<Vec> border;
        for (int k = 0; k <= 8; ++k)
            border.push_back({std::round((i * 3 + random.uniform(-1, 1)) * 1e4) / 1e4, 40.0 + k});
        borders.push_back(border);
    }
    const auto list = [](const std::vector<Vec>& points) {
        std::string text;
        for (const Vec p : points)
            text += fmt::format("{}[{},{}]", text.empty() ? "" : ",", p.x, p.y);
        return text;
    };
    std::string arcs;
    for (const auto& border : borders)
        arcs += (arcs.empty() ? "[" : ",[") + list(border) + "]";
    std::string geometries;
    std::string features;
    for (int i = 0; i < cells; ++i) {
        const auto& left = borders[static_cast<std::size_t>(i)];
        const auto& right = borders[static_cast<std::size_t>(i) + 1];
        geometries +=
            fmt::format(R"({}{{"type":"Polygon","id":"c{}","arcs":[[{},{}]]}})", i > 0 ? "," : "", i, ~i, i + 1);
        std::vector<Vec> ring(left.rbegin(), left.rend());
        ring.insert(ring.end(), right.begin(), right.end());
        ring.push_back(ring.front());
        features +=
            fmt::format(R"({}{{"type":"Feature","id":"c{}","geometry":{{"type":"Polygon","coordinates":[[{}]]}}}})",
                        i > 0 ? "," : "", i, list(ring));
    }
    const auto options = wide(300);
    const auto topo =
        read_drawing(R"({"type":"Topology","arcs":[)" + arcs +
                         R"(],"objects":{"o":{"type":"GeometryCollection","geometries":[)" + geometries + "]}}}",
                     "t.json", options);
    const auto geo =
        read_drawing(R"({"type":"FeatureCollection","features":[)" + features + "]}", "g.geojson", options);
    RC_ASSERT(topo.ok());
    RC_ASSERT(geo.ok());
    expect_clean(topo.value());
    RC_ASSERT(topo.value().regions.size() == static_cast<std::size_t>(cells));
    for (std::size_t i = 0; i < topo.value().regions.size(); ++i)
        RC_ASSERT(topo.value().regions[i].shape == geo.value().regions[i].shape);
}

} // namespace
} // namespace kerfwright::drawing
