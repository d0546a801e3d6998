#include "papers/sample.hpp"
#include "papers/tools.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace kerfwright::papers {
namespace {

TEST(Svg, OneUnitIsOneMillimetre) {
    Drawn drawn;
    drawn.frame = {box({100, 50}, {710, 355})};
    const std::string svg = write_svg(drawn);
    // The frame is the first stroked path.
    double x[4] = {};
    double y[4] = {};
    const std::size_t at = svg.find("M", svg.find("<path", svg.find("<path") + 1));
    ASSERT_EQ(std::sscanf(svg.c_str() + at, "M%lf %lfL%lf %lfL%lf %lfL%lf %lfZ", &x[0], &y[0], &x[1], &y[1], &x[2],
                          &y[2], &x[3], &y[3]),
              8);
    EXPECT_NEAR(std::abs(x[1] - x[0]), 610, 1e-2);
    EXPECT_NEAR(y[1], y[0], 1e-9);
    EXPECT_NEAR(y[0] - y[2], 305, 1e-2); // Y runs down in SVG
    EXPECT_NE(svg.find("mm\" viewBox=\"0 0 "), std::string::npos);
}

TEST(Svg, TextIsEscapedAndTheSameTwice) {
    Drawn drawn = sample_set();
    drawn.areas[0].label = "<a&\"b\">\x01";
    drawn.caption = "Tray & <pieces>";
    const std::string svg = write_svg(drawn);
    EXPECT_NE(svg.find(">&lt;a&amp;&quot;b&quot;&gt; <"), std::string::npos);
    EXPECT_NE(svg.find(">Tray &amp; &lt;pieces&gt;<"), std::string::npos);
    EXPECT_NE(svg.find(">1 dyke-in-gneiss   2 western-reef<"), std::string::npos);
    EXPECT_EQ(svg, write_svg(drawn));
}

TEST(Svg, ClassesOfLinesDifferByMoreThanTheirColour) {
    Drawn drawn;
    drawn.frame = {box({0, 0}, {100, 60})};
    drawn.classes = {{"narrow", {0, 0.4, 0.8}, 1.0, true}, {"wide", {0.9, 0.5, 0}, 1.0, false}};
    drawn.lines = {{{{10, 10}, {90, 10}}, 0}, {{{10, 30}, {90, 30}, {90, NAN}}, 1}, {{{0, 0}, {1, 1}}, 7}};
    drawn.marks.push_back({{50, 30}, "", DrawnMark::Kind::opening});
    const std::string svg = write_svg(drawn);
    // Each class once in the drawing and once in the legend.
    const auto count = [&](const std::string& what) {
        int found = 0;
        for (auto at = svg.find(what); at != std::string::npos; at = svg.find(what, at + 1))
            ++found;
        return found;
    };
    EXPECT_EQ(count("stroke=\"#0066cc\""), 2);
    EXPECT_EQ(count("stroke=\"#e68000\""), 2);
    EXPECT_EQ(count("stroke-dasharray"), 2);
    EXPECT_NE(svg.find(">narrow<"), std::string::npos);
    EXPECT_NE(svg.find(">wide<"), std::string::npos);
    EXPECT_EQ(svg.find("nan"), std::string::npos);
}

TEST(Svg, AnotherReaderTakesIt) {
    if (!has("rsvg-convert")) GTEST_SKIP() << "rsvg-convert is not installed";
    const Workplace place;
    for (const Drawn& drawn : {sample_set(), sample_setup(), Drawn{}}) {
        const std::string file = place.write("a.svg", write_svg(drawn));
        EXPECT_EQ(std::system(("rsvg-convert -w 400 " + file + " -o " + place.file("a.png")).c_str()), 0);
    }
}

TEST(Svg, OddInputDoesNoHarm) {
    Drawn drawn;
    drawn.marks.push_back({{NAN, NAN}, "n", DrawnMark::Kind::zero});
    drawn.areas.push_back({{}, "x", Fill::grid, true});
    const std::string svg = write_svg(drawn);
    EXPECT_EQ(svg.find("nan"), std::string::npos);
    EXPECT_EQ(svg.find("inf"), std::string::npos);
}

} // namespace
} // namespace kerfwright::papers
