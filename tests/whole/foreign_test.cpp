// Programs that no plan made, and programs edited by hand, proved as a user would: on a stock, or in a job's setup.

#include "support/process.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <regex>
#include <set>

namespace kerfwright {
namespace {

namespace fs = std::filesystem;
using support::Outcome;
using support::TempFolder;
using support::text_of;

const std::string kStock = " --stock \"120x120x12 mm\" --material mdf --cutters \"1=flat-6,2=drill-3\" --zero top ";

/// A plate with round corners, cut 2 mm deep along its edge by cutter radius compensation, in a hand of its own.
const char* const kPlate = "\n % \r\n"
                           "n10 (made elsewhere) g21g90 g17 g40 g49 g80 g54 t1\n"
                           "/n25 (only when wanted) g4 p1\n"
                           "n30 s18000m3 ; go\n"
                           "(MSG, mind the clamp)\n"
                           "#1=40 #3=-2\n"
                           "#2=[#1*2 - sqrt[0]]\n"
                           "g0z5\n"
                           "x 20 y 1 0\n"
                           "g1 z#3 f300\n"
                           "g4 1d1 g1 y3 0 f1500\n"
                           "n50 y[#2] (up)\n"
                           "g2 x30 y90 i10\n"
                           "g1 x[#2]\n"
                           "g2 x90 y80 r10\n"
                           "g1 y30\n"
                           "g2 x80 y20 i-10\n"
                           "g1 x30\n"
                           "g2 x20 y30 j10\n"
                           "g1 y40\n"
                           "g0 z5\n"
                           "g40 g0 x0 y0\n"
                           "m5\n"
                           "%\n"
                           "what comes behind is not read\n";

struct Proved {
    Outcome outcome;
    nlohmann::json json;
    std::set<std::string> kinds;
};

Proved prove(const std::string& arguments) {
    Proved proved;
    proved.outcome = support::kerfwright("prove --quiet --json " + arguments);
    proved.json = nlohmann::json::parse(proved.outcome.out, nullptr, false);
    if (proved.json.is_object() && proved.json.contains("findings"))
        for (const auto& finding : proved.json["findings"])
            proved.kinds.insert(finding["kind"]);
    return proved;
}

TEST(Foreign, ACleanProgramOnAStockIsProven) {
    const TempFolder temp;
    const auto file = temp.write("plate.tap", kPlate).string();
    const Proved proved = prove(file + kStock + "--clamp \"0,100,15x20x25 mm\"");
    EXPECT_EQ(proved.outcome.status, 0) << proved.outcome.out << proved.outcome.err;
    ASSERT_TRUE(proved.json.is_object());
    EXPECT_EQ(proved.json["verdict"], "proven");
    // The axis goes along an edge 3 mm outside of 70 x 70 with corners of 10; 2 deep, a cutter of 6. The corner twice
    // at the end adds little.
    const double around = 4 * 50 + 2 * std::numbers::pi * 13;
    EXPECT_NEAR(proved.json["setups"][0]["removed_volume"].get<double>(), around * 6 * 2, 0.06 * around * 6 * 2);
    const auto& program = proved.json["setups"][0]["programs"][0];
    EXPECT_LE(program["time_fastest"], program["time"]);
    EXPECT_LE(program["time"], program["time_slowest"]);
}

TEST(Foreign, WhatItDoesToStockAndClampsIsFound) {
    const TempFolder temp;
    const auto file = temp.write("plate.tap", kPlate).string();
    EXPECT_EQ(prove(file + kStock + "--clamp 0,60,30x20x25").kinds, std::set<std::string>{"clamp-contact"});
    const auto edited = [&](const std::string& from, const std::string& to) {
        std::string text = kPlate;
        const auto at = text.find(from);
        EXPECT_NE(at, std::string::npos) << from;
        return prove(temp.write("edited.nc", text.replace(at, from.size(), to)).string() + kStock);
    };
    EXPECT_TRUE(edited("#3=-2", "#3=-22").kinds.contains("bed-cut"));
    EXPECT_TRUE(edited("m3", "").kinds.contains("spindle-off"));
    EXPECT_TRUE(edited("f300", "").kinds.contains("no-feed"));
    EXPECT_TRUE(edited("g1 z#3", "g0 z#3").kinds.contains("rapid-in-material"));
    EXPECT_TRUE(edited("f1500", "f15000").kinds.contains("overload"));
    EXPECT_TRUE(edited("r10", "r1").kinds.contains("arc"));
    EXPECT_TRUE(edited("s18000", "s99000").kinds.contains("speed-range"));
    const Proved words = edited("g2 x30", "o100 sub\ng2 x30");
    ASSERT_EQ(words.kinds, std::set<std::string>{"syntax"});
    EXPECT_EQ(words.json["findings"][0]["line"], 14);
    EXPECT_NE(words.json["findings"][0]["text"].get<std::string>().find("O words"), std::string::npos);
    EXPECT_EQ(words.outcome.status, 1);
}

TEST(Foreign, EveryCutterOfAProgramCutsWithItsOwnSize) {
    const TempFolder temp;
    std::string machine;
    const std::string shipped = text_of(fs::path(KERFWRIGHT_SOURCE_DIR) / "data/machines.toml");
    const auto second = shipped.find("[[machine]]", shipped.find("[[machine]]") + 1);
    machine = std::regex_replace(shipped.substr(0, second), std::regex("tool_change *= *false"), "tool_change = true");
    temp.write("changer.toml", machine);
    const auto file = temp.write("holes.ngc", "G20 G90 G17 G94\n"
                                              "T1 M6\nS18000 M3\nG0 Z0.2\nG0 X1 Y1\nF12\nG1 Z-0.1\nX1.5 F40\nG0 Z0.2\n"
                                              "T2 M6\nS12000 M3\n"
                                              "G99 G82 X3 Y3 Z-0.3 R0.1 P0.1 F8\nX4\nG80\nG0 Z0.2\nM2\n");
    const std::string command = file.string() + " --stock \"6 in x 6 in x 1/2 in\" --cutters 1=flat-6,2=drill-3 "
                                                "--zero top --machine ";
    const Proved proved = prove(command + (temp.path() / "changer.toml").string());
    EXPECT_EQ(proved.outcome.status, 0) << proved.outcome.out << proved.outcome.err;
    const double slot = (12.7 * 6 + std::numbers::pi * 9) * 2.54;
    const double hole = std::numbers::pi * 1.5 * 1.5 * 0.3 * 25.4; // less its cone
    EXPECT_NEAR(proved.json["setups"][0]["removed_volume"].get<double>(), slot + 2 * hole, 0.06 * slot);
    ASSERT_EQ(proved.json["setups"][0]["programs"].size(), 1u);
    EXPECT_NE(proved.json["notes"][0].get<std::string>().find("--material"), std::string::npos);
    EXPECT_EQ(prove(command + "gantry-600").kinds, std::set<std::string>{"syntax"}) << "no changer";
    // A number that no cutter has is a finding, not a guess.
    const Proved unknown = prove(file.string() + " --stock 150x150x12 --cutters 1=flat-6 --zero top");
    EXPECT_EQ(unknown.outcome.status, 1);
    EXPECT_TRUE(unknown.kinds.contains("syntax"));
}

TEST(Foreign, AWrongZeroDoesNotPassSilently) {
    const TempFolder temp;
    const auto file = temp.write("air.nc", "G21\nS18000 M3\nG0 Z20\nG1 X50 Y50 Z13 F1000\nX60\nM2\n").string();
    const Proved proved = prove(file + " --stock 120x120x12 --cutters 1=flat-6");
    EXPECT_EQ(proved.outcome.status, 0);
    EXPECT_NE(proved.json["notes"].dump().find("removes nothing"), std::string::npos);
}

TEST(Foreign, WhatCannotBeUsedIsSaid) {
    const TempFolder temp;
    const auto file = temp.write("a.nc", "m2\n").string();
    const auto refused = [&](const std::string& arguments, const std::string& says) {
        const Outcome outcome = support::kerfwright("prove --quiet " + arguments);
        EXPECT_EQ(outcome.status, 2) << arguments;
        EXPECT_NE(outcome.err.find(says), std::string::npos) << outcome.err;
    };
    refused(file, "--stock");
    refused(file + " --stock 1x2x3", "--cutters");
    refused(file + " --stock 1x2 --cutters 1=flat-6", "--stock");
    refused(file + " --stock 0x2x3 --cutters 1=flat-6", "above zero");
    refused(file + " --stock 9x9x1e9 --cutters 1=flat-6", "20 m");
    refused(file + " --stock 9x9x9 --cutters flat-6", "--cutters");
    refused(file + " --stock 9x9x9 --cutters 1=flat-7", "flat-7");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6,1=flat-3", "two cutters");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6,2=flat-3", "which cutter");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --material butter", "butter");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --machine none", "none");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --machine no/such.toml", "no/such.toml");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --zero middle", "--zero");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --clamp 1,2", "--clamp");
    refused(file + " --stock 9x9x9 --cutters 1=flat-6 --hold hope", "--hold");
    refused(file + "x --stock 9x9x9 --cutters 1=flat-6", "no such file");
    refused("job.toml --stock 9x9x9 --cutters 1=flat-6", "--stock");
}

/// The same program as another hand would write it.
std::string rewritten(const std::string& text) {
    std::string out = "\t%\n";
    int number = 0;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) {
        std::string bare;
        bool comment = false;
        for (const char c : line) {
            if (c == '(') comment = true;
            if (comment || c != ' ') bare += comment ? c : static_cast<char>(std::tolower(c));
            if (c == ')') comment = false;
        }
        out += "n" + std::to_string(number += 7) + bare + "\n";
    }
    return out + "%\n";
}

TEST(Foreign, ProgramsOfAJobsSetup) {
    const TempFolder temp;
    const std::string job = std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/small/job.toml";
    const fs::path out = temp.path() / "out";
    ASSERT_EQ(support::kerfwright("plan --quiet " + job + " --out " + out.string()).status, 0);
    const std::string text = text_of(out / "programs/01-walnut-flat-6.nc");
    ASSERT_FALSE(text.empty());
    const auto judged = [&](const std::string& edited, const std::string& more = "") {
        const auto file = temp.write("mine.nc", edited).string();
        return prove(job + " --setup walnut " + file + more);
    };
    EXPECT_EQ(judged(rewritten(text)).outcome.status, 0) << rewritten(text);
    const Proved thinner = judged("T1\n" + text, " --cutters 1=flat-3,2=flat-6");
    EXPECT_EQ(thinner.outcome.status, 1) << "by a cutter half as thick, material is left standing";
    EXPECT_TRUE(thinner.kinds.contains("left-standing"));
    const auto y = text.find("\nY");
    ASSERT_NE(y, std::string::npos);
    const Proved moved = judged(std::string(text).insert(y, "\nG1 X60.0"));
    EXPECT_EQ(moved.outcome.status, 1);
    EXPECT_TRUE(moved.kinds.contains("gouge"));
}

} // namespace
} // namespace kerfwright
