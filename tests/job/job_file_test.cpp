#include "support/process.hpp"

#include "job/job_file.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace kerfwright::job {
namespace {

const std::string kGood = R"(format = 1
title  = "Quilt"
units  = "mm"
[drawing]
file   = "quilt.svg"
width  = "6 in"
[fit]
clearance = 0.2
[tray]
sheet  = "base"
[pieces]
"north-*" = "walnut"
"*" = "mdf"
[[sheet]]
name = "base"
material = "mdf"
size = [200, "8 in"]
thickness = 12
clamps = [{ at = [0, 1], size = [10, 20], height = 15 }]
[[sheet]]
name = "walnut-a"
material = "walnut"
outline = [[10, 10], [110, 10], [110, 60], [10, 90]]
thickness = 5
measured = [[1, 1, 5.1]]
hold = ["skin", "tape"]
[machine]
name = "gantry-600"
[shop]
cutters = ["flat-3", "flat-6"]
)";

Result<Job> read(const std::string& text) {
    return read_job(text, "job.toml", [](const std::string& name) -> Result<std::string> {
        return Problem{name, 0, 0, "there is no such file", ""};
    });
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

TEST(JobFile, AGoodOneIsUnderstood) {
    const auto read_one = read(kGood);
    ASSERT_TRUE(read_one.ok()) << to_string(read_one.problem());
    const Job& job = read_one.value();
    EXPECT_EQ(job.title, "Quilt");
    EXPECT_DOUBLE_EQ(job.read.width, 152.4);
    EXPECT_DOUBLE_EQ(job.clearance, 0.2);
    EXPECT_DOUBLE_EQ(job.tray_clearance, 0.4) << "twice the clearance unless said";
    ASSERT_EQ(job.sheets.size(), 2u);
    EXPECT_DOUBLE_EQ(plane::bounds(job.sheets[0].outline).height(), 203.2);
    EXPECT_EQ(plane::bounds(job.sheets[1].outline).low, (plane::Vec{0, 0})) << "an offcut's own lower left corner";
    EXPECT_TRUE(job.sheets[1].offcut);
    EXPECT_EQ(job.machine.name, "gantry-600");
    ASSERT_EQ(job.cutters.size(), 2u);
}

TEST(JobFile, InchesApplyToBareNumbers) {
    std::string text = replaced(kGood, "units  = \"mm\"", "units = \"in\"");
    text = replaced(text, "size = [200, \"8 in\"]", "size = [8, \"200 mm\"]");
    text = replaced(text, "thickness = 12", "thickness = 0.5");
    text = replaced(text, "thickness = 5", "thickness = 0.2");
    text = replaced(text, "measured = [[1, 1, 5.1]]", "measured = [[1, 1, 0.21]]");
    const auto job = read(text);
    ASSERT_TRUE(job.ok()) << to_string(job.problem());
    EXPECT_NEAR(plane::bounds(job.value().sheets[0].outline).width(), 203.2, 1e-4);
    EXPECT_NEAR(plane::bounds(job.value().sheets[0].outline).height(), 200, 1e-4);
    EXPECT_NEAR(job.value().clearance, 0.2 * 25.4, 1e-9);
}

TEST(JobFile, EveryFaultNamesItsPlaceAndWhatToDo) {
    struct Case {
        const char* from;
        const char* to;
        const char* says;
        int line;
    };
    for (const Case& c : {
             Case{"\"north-*\" = \"walnut\"", "\"north-*\" = \"wallnut\"", "no material \"wallnut\"", 12},
             Case{"thickness = 12", "thickness = -12", "must lie between", 18},
             Case{"thickness = 12", "thickness = nan", "finite", 18},
             Case{"thickness = 12", "thickness = 1e300", "must lie between", 18},
             Case{"thickness = 12", "thickness = \"12 furlongs\"", "furlongs", 18},
             Case{"thickness = 12", "thikness = 12", "\"thickness\" is missing", 14},
             Case{"hold = [\"skin\"", "hold = [\"glue\"", "no way to hold", 26},
             Case{"name = \"gantry-600\"", "name = \"shopmaster\"", "no machine", 28},
             Case{"\"flat-6\"]", "\"flat-7\"]", "no cutter", 30},
             Case{"sheet  = \"base\"", "sheet  = \"bass\"", "no sheet \"bass\"", 10},
             Case{"format = 1", "format = 2", "another format", 1},
             Case{"name = \"walnut-a\"", "name = \"base\"", "two sheets", 20},
             Case{"size = [200, \"8 in\"]", "size = [200]", "not a pair", 17},
             Case{"[fit]", "[fitt]", "not a key here", 7},
             Case{"width  = \"6 in\"", "width  = 6\nscale = 2", "both say", 7},
             Case{"title  = \"Quilt\"", "title = \"Quilt", "", 2},
         }) {
        const auto job = read(replaced(kGood, c.from, c.to));
        ASSERT_FALSE(job.ok()) << c.to;
        EXPECT_EQ(job.problem().file, "job.toml");
        EXPECT_EQ(job.problem().line, c.line) << to_string(job.problem());
        EXPECT_GT(job.problem().column, 0) << to_string(job.problem());
        EXPECT_NE(job.problem().what.find(c.says), std::string::npos) << to_string(job.problem());
        EXPECT_FALSE(job.problem().remedy.empty());
    }
}

TEST(JobFile, ClimateIsReadAndChecked) {
    const auto without = read(kGood);
    ASSERT_TRUE(without.ok());
    EXPECT_EQ(without.value().climate.shop.low.humidity, 40);
    EXPECT_EQ(without.value().climate.coating, 0);
    const auto with = [](const std::string& line) { return read(kGood + std::string("\n[climate]\n") + line + "\n"); };
    const auto job =
        with("shop = { humidity = [45, 55] }\ncustomer = { humidity = [20.5, 70], temperature = [-5, 30] }\n"
             "coating = \"0.05 mm\"");
    ASSERT_TRUE(job.ok()) << to_string(job.problem());
    EXPECT_EQ(job.value().climate.shop.high.humidity, 55);
    EXPECT_EQ(job.value().climate.shop.low.temperature, 17) << "left out: as without the table";
    EXPECT_EQ(job.value().climate.customer.low.humidity, 20.5);
    EXPECT_EQ(job.value().climate.customer.low.temperature, -5);
    EXPECT_NEAR(job.value().climate.coating, 0.05, 1e-12);
    for (const auto& [line, says] : {std::pair{"shop = { humidity = [60, 40] }", "humidity"},
                                     {"shop = { humidity = [40, 140] }", "humidity"},
                                     {"customer = { temperature = [20] }", "no pair"},
                                     {"customer = { temperature = [20, \"x\"] }", "no pair"},
                                     {"customer = { dampness = [20, 30] }", "not a key"},
                                     {"coating = -1", "must lie between"}}) {
        const auto bad = with(line);
        ASSERT_FALSE(bad.ok()) << line;
        EXPECT_NE(bad.problem().what.find(says), std::string::npos) << to_string(bad.problem());
        EXPECT_GT(bad.problem().line, 0);
    }
}

TEST(JobFile, DeepNestingAndNoiseAreProblems) {
    EXPECT_FALSE(read("format = " + std::string(5000, '[') + std::string(5000, ']')).ok());
    EXPECT_FALSE(read(std::string(10'000'000, 'x')).ok());
    EXPECT_FALSE(read("").ok());
}

RC_GTEST_PROP(JobFile, NeverCrashes, (const std::string& text)) {
    (void)read(text);
}

TEST(Patterns, TheMostSpecificWins) {
    const std::vector<PiecePattern> patterns{
        {"*", "mdf"}, {"tuff-*", "walnut"}, {"tuff-upper", "oak"}, {"*-upper", "maple"}};
    EXPECT_EQ(pattern_for(patterns, "tuff-upper")->material, "oak");
    EXPECT_EQ(pattern_for(patterns, "tuff-lower")->material, "walnut");
    EXPECT_EQ(pattern_for(patterns, "upper")->material, "mdf");
    EXPECT_EQ(pattern_for({}, "x"), nullptr);
}

TEST(Patterns, StarsStandForAnyRun) {
    EXPECT_TRUE(matches("a*b*c", "a--b--b--c"));
    EXPECT_TRUE(matches("*", ""));
    EXPECT_FALSE(matches("a*b", "a-b-"));
    EXPECT_FALSE(matches("", "a"));
    EXPECT_FALSE(matches(std::string(40, '*') + "b", std::string(2000, 'a'))) << "and does not take for ever";
}

} // namespace
} // namespace kerfwright::job
