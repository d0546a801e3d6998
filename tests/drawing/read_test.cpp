// read_drawing: which reader takes which file.

#include "partition_support.hpp"

namespace kerfwright::drawing {
namespace {

using namespace testing;

constexpr std::string_view kSquare = R"({"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1],[0,0]]]})";
constexpr std::string_view kTopology =
    R"({"type":"Topology","arcs":[[[0,0],[1,0],[1,1],[0,1],[0,0]]],"objects":{"o":{"type":"Polygon","arcs":[[0]]}}})";

ReadOptions flat() {
    ReadOptions options;
    options.projection = "none";
    options.width = 100;
    return options;
}

TEST(ReadDrawing, GoesByTheEndingOfTheName) {
    for (const char* file : {"a.geojson", "a.json", "A.GEOJSON", "dir.svg/a.topojson"}) {
        for (const std::string_view text : {kSquare, kTopology}) {
            const auto drawing = read_drawing(text, file, flat());
            ASSERT_TRUE(drawing) << to_string(drawing.problem());
            EXPECT_DOUBLE_EQ(plane::area(drawing.value().regions[0].shape), 10'000);
        }
    }
}

TEST(ReadDrawing, TakesVectorDrawings) {
    const auto svg =
        read_drawing(R"(<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10">
<rect id="a" x="0" y="0" width="10" height="10"/><rect id="b" x="10" y="0" width="10" height="10"/></svg>)",
                     "set.svg", {});
    ASSERT_TRUE(svg) << to_string(svg.problem());
    expect_clean(svg.value());
    EXPECT_EQ(neighbours(svg.value()), (std::set<std::pair<std::string, std::string>>{{"a", "b"}}));
    const std::string dxf =
        "0\nSECTION\n2\nHEADER\n9\n$"
        "INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n5\n2A\n8\nrock\n"
        "90\n4\n70\n1\n10\n0\n20\n0\n10\n10\n20\n0\n10\n10\n20\n10\n10\n0\n20\n10\n0\nENDSEC\n0\nEOF\n";
    ReadOptions by_layer;
    by_layer.region = "layer";
    const auto read = read_drawing(dxf, "set.dxf", by_layer);
    ASSERT_TRUE(read) << to_string(read.problem());
    EXPECT_EQ(read.value().regions[0].name, "rock");
    EXPECT_DOUBLE_EQ(plane::area(read.value().regions[0].shape), 100);
}

TEST(ReadDrawing, ListsWhatItReads) {
    const auto other = read_drawing("", "set.pdf", {});
    ASSERT_FALSE(other);
    EXPECT_EQ(to_string(other.problem()), "set.pdf: drawings of kind \".pdf\" are not read; give a file that ends in "
                                          ".svg, .dxf, .geojson, .json or .topojson");
    EXPECT_FALSE(read_drawing("", "folder.svg/set", {}));
    EXPECT_FALSE(read_drawing("", "", {}));
}

} // namespace
} // namespace kerfwright::drawing
