// Faults of shop files: each is found, with its place and what to do.

#include "shop/library.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <fstream>
#include <sstream>

namespace kerfwright::shop {
namespace {

std::string shipped_text(const std::string& name) {
    std::ifstream in(std::string(KERFWRIGHT_SOURCE_DIR) + "/data/" + name);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

constexpr const char* kCutter = R"([[cutter]]
name = "my-6"
title = "mine"
kind = "flat"
family = "flat"
DC = "1/4 in"
ZEFP = 2
APMX = 20
LPR = 30
DCON = 6
)";

Problem fault(const std::string& toml) {
    const auto read = read_cutters(toml, "mine.toml");
    EXPECT_FALSE(read.ok()) << toml;
    return read.ok() ? Problem{} : read.problem();
}

TEST(ShopToml, ReadsACutterWithUnits) {
    const auto read = read_cutters(kCutter, "mine.toml");
    ASSERT_TRUE(read.ok()) << to_string(read.problem());
    EXPECT_DOUBLE_EQ(read.value()[0].DC, 6.35);
    const auto inches = read_cutters(
        "units = \"in\"\n" + std::string(kCutter) + "edge_radius = \"5 um\"\nn_max = \"18000 rpm\"\n", "mine.toml");
    ASSERT_FALSE(inches.ok()) << "20 in of APMX is out of range";
    EXPECT_EQ(inches.problem().line, 8 + 1);
}

TEST(ShopToml, BareLengthsAreInTheFilesUnit) {
    const auto read =
        read_cutters("units = \"in\"\n[[cutter]]\nname=\"a\"\ntitle=\"a\"\nkind=\"flat\"\nfamily=\"flat\"\nDC=0.25\n"
                     "ZEFP=2\nAPMX=0.75\nLPR=\"30 mm\"\nDCON=0.25\nhelix=30\n",
                     "mine.toml");
    ASSERT_TRUE(read.ok()) << to_string(read.problem());
    EXPECT_DOUBLE_EQ(read.value()[0].DC, 6.35);
    EXPECT_DOUBLE_EQ(read.value()[0].LPR, 30);
    EXPECT_DOUBLE_EQ(read.value()[0].helix, 30) << "only lengths and feeds follow the file's unit";
}

TEST(ShopToml, EveryFaultHasItsPlaceAndRemedy) {
    struct Case {
        std::string toml;
        int line, column;
        const char* what;
    };
    const std::string c = kCutter;
    for (const Case& test : {
             Case{"DC = ", 1, 6, ""},
             Case{c + "hlix = 30\n", 11, 1, "unknown key \"hlix\""},
             Case{"colour = 3\n" + c, 1, 1, "unknown key \"colour\""},
             Case{c + "helix = \"30 mm\"\n", 11, 9, "helix"},
             Case{c + "helix = nan\n", 11, 9, "helix"},
             Case{c + "n_max = inf\n", 11, 9, "n_max"},
             Case{c + "n_max = -3\n", 11, 9, "outside"},
             Case{c + "helix = [1]\n", 11, 9, "not a number"},
             Case{c + "sources = [1]\n", 11, 12, "no text"},
             Case{c + "carbide = \"yes\"\n", 11, 11, "true nor false"},
             Case{c + "up_length = 25\n", 11, 13, "up_length"},
             Case{c + c, 12, 8, "given twice"},
             Case{"[[cutter]]\nname = \"a b\"\n", 2, 8, "name"},
             Case{"[[cutter]]\nname = \"a\"\n", 1, 1, "\"title\" is missing"},
             Case{"[[machine]]\nname = \"a\"\n", 1, 1, "no [[cutter]]"},
             Case{"cutter = 3\n", 1, 10, "cutter"},
             Case{"units = \"furlong\"\n" + c, 1, 9, "units"},
             Case{"format = 2\n" + c, 1, 10, "format"},
             Case{"", 0, 0, "no [[cutter]]"},
         }) {
        const Problem problem = fault(test.toml);
        EXPECT_EQ(problem.file, "mine.toml");
        EXPECT_NE(problem.what.find(test.what), std::string::npos) << test.toml << "\n" << to_string(problem);
        EXPECT_FALSE(problem.remedy.empty()) << to_string(problem);
        if (test.line > 0) {
            EXPECT_EQ(problem.line, test.line) << to_string(problem);
            EXPECT_EQ(problem.column, test.column) << to_string(problem);
        }
    }
}

TEST(ShopToml, SpreadsAreChecked) {
    std::string text = shipped_text("materials.toml");
    ASSERT_TRUE(read_materials(text, "m").ok());
    const std::string good = "density = { value = 750, low = 600, high = 1000";
    ASSERT_NE(text.find(good), std::string::npos);
    std::string bad = text;
    bad.replace(bad.find(good), good.size(), "density = { value = 750, low = 800, high = 1000");
    ASSERT_FALSE(read_materials(bad, "m").ok());
    EXPECT_NE(read_materials(bad, "m").problem().what.find("spread"), std::string::npos);
    bad = text;
    bad.replace(bad.find("sureness = \"published\""), 22, "sureness = \"certain\"");
    ASSERT_FALSE(read_materials(bad, "m").ok());
    EXPECT_NE(read_materials(bad, "m").problem().remedy.find("common practice"), std::string::npos);
}

TEST(ShopToml, MachinesSayWhatIsWrong) {
    std::string text = shipped_text("machines.toml");
    const auto machines = read_machines(text, "m");
    ASSERT_TRUE(machines.ok()) << to_string(machines.problem());
    EXPECT_EQ(machines.value()[0].stack.size(), 2u);
    EXPECT_EQ(machines.value()[0].spindle.power, 1500);
    text.replace(text.find("from = 14"), 9, "from = 99999");
    EXPECT_FALSE(read_machines(text, "m").ok());
}

TEST(ShopToml, MeasuredModesOfATip) {
    std::string text = shipped_text("machines.toml");
    EXPECT_TRUE(read_machines(text, "m").value()[0].modes.empty()) << "nobody has measured the shipped ones";
    const std::string at = "spindle = {";
    const auto with = [&](const std::string& mode) {
        std::string longer = text;
        return read_machines(longer.insert(longer.find(at), "modes = [" + mode + "]\n"), "m");
    };
    const auto two = with("{ cutter = \"flat-6\", frequency = 922, damping = 0.011, stiffness = 1340 }, "
                          "{ cutter = \"flat-6\", LPR = \"1 in\", axis = \"y\", frequency = 700, damping = 0.02 }");
    ASSERT_TRUE(two.ok()) << to_string(two.problem());
    const std::vector<TipMode>& modes = two.value()[0].modes;
    ASSERT_EQ(modes.size(), 2u);
    EXPECT_TRUE(modes[0].x && modes[0].y);
    EXPECT_EQ(modes[0].stiffness, 1340);
    EXPECT_FALSE(modes[1].x);
    EXPECT_EQ(modes[1].LPR, 25.4);
    EXPECT_EQ(modes[1].stiffness, 0) << "not measured";
    EXPECT_FALSE(with("{ cutter = \"flat-6\", frequency = 922 }").ok()) << "damping is missing";
    EXPECT_FALSE(with("{ cutter = \"flat-6\", frequency = 922, damping = 3 }").ok());
    EXPECT_FALSE(with("{ cutter = \"flat-6\", frequency = 922, damping = 0.1, axis = \"z\" }").ok());
}

TEST(ShopToml, NoiseAndDepthAndSizeAreRefused) {
    EXPECT_FALSE(read_cutters(std::string(5000, '['), "x").ok());
    std::string deep = "a = ";
    for (int i = 0; i < 5000; ++i)
        deep += '[';
    EXPECT_FALSE(read_cutters(deep, "x").ok());
    EXPECT_FALSE(read_materials(std::string(10u << 20, '#'), "x").ok());
    EXPECT_FALSE(read_machines(std::string("\0\xff\xfe", 3), "x").ok());
}

RC_GTEST_PROP(ShopToml, AnyTextIsReadOrRefused, (const std::string& text)) {
    (void)read_cutters(text, "x");
    (void)read_materials(text, "x");
    (void)read_machines(text, "x");
}

RC_GTEST_PROP(ShopToml, DamagedFilesAreReadOrRefused, ()) {
    static const std::string text = shipped_text("machines.toml");
    std::string damaged = text;
    const int hits = *rc::gen::inRange(1, 4);
    for (int i = 0; i < hits; ++i)
        damaged[*rc::gen::inRange<std::size_t>(0, damaged.size())] = *rc::gen::arbitrary<char>();
    const auto read = read_machines(damaged, "x");
    const bool sound = read.ok() || !read.problem().what.empty();
    RC_ASSERT(sound);
}

} // namespace
} // namespace kerfwright::shop
