// Bad input of every kind: exit status 2, one message that names the place, and the output folder untouched.

#include "support/process.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace kerfwright {
namespace {

using support::Outcome;
using support::TempFolder;
using support::text_of;

const std::string kSource = KERFWRIGHT_SOURCE_DIR;

/// The small example in a folder of its own, to be spoilt.
class BadInput : public ::testing::Test {
  protected:
    void SetUp() override {
        job_ = text_of(kSource + "/examples/small/job.toml");
        drawing_ = text_of(kSource + "/examples/small/quilt.svg");
        temp_.write("quilt.svg", drawing_);
        temp_.write("job.toml", job_);
        temp_.write("out/plan.json", "an earlier plan");
    }
    void spoil_job(const std::string& from, const std::string& to) {
        const auto at = job_.find(from);
        ASSERT_NE(at, std::string::npos) << from;
        temp_.write("job.toml", std::string(job_).replace(at, from.size(), to));
    }
    /// Plans and expects a refusal whose message holds `says`.
    void refused(const std::string& says) {
        const Outcome outcome = support::kerfwright("plan --quiet " + (temp_.path() / "job.toml").string());
        EXPECT_EQ(outcome.status, 2) << outcome.out << outcome.err;
        EXPECT_NE(outcome.err.find(says), std::string::npos) << outcome.err;
        EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << "one message: " << outcome.err;
        EXPECT_EQ(outcome.out, "");
        EXPECT_EQ(text_of(temp_.path() / "out/plan.json"), "an earlier plan");
    }
    TempFolder temp_;
    std::string job_, drawing_;
};

TEST_F(BadInput, MissingJob) {
    std::filesystem::remove(temp_.path() / "job.toml");
    refused("there is no such file");
}

TEST_F(BadInput, MissingDrawing) {
    std::filesystem::remove(temp_.path() / "quilt.svg");
    refused("quilt.svg there is no such file");
}

TEST_F(BadInput, BrokenXml) {
    temp_.write("quilt.svg", drawing_.substr(0, drawing_.size() / 2));
    refused("quilt.svg:");
}

TEST_F(BadInput, BrokenToml) {
    spoil_job("[pieces]", "[pieces");
    refused("job.toml:13:");
}

TEST_F(BadInput, BrokenDxf) {
    spoil_job("quilt.svg", "quilt.dxf");
    temp_.write("quilt.dxf", "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nnot");
    refused("quilt.dxf:");
}

TEST_F(BadInput, BrokenJson) {
    spoil_job("quilt.svg", "quilt.geojson");
    temp_.write("quilt.geojson", "{\"type\": \"FeatureCollection\",\n \"features\": [");
    refused("quilt.geojson:2:");
}

TEST_F(BadInput, UnknownMaterial) {
    spoil_job("\"walnut\"", "\"unobtainium\"");
    refused("unobtainium");
}

TEST_F(BadInput, NegativeThickness) {
    spoil_job("thickness = 5.1", "thickness = -5.1");
    refused("job.toml:");
}

TEST_F(BadInput, NotANumber) {
    spoil_job("thickness = 5.1", "thickness = nan");
    refused("not a finite number");
}

TEST_F(BadInput, HugeNumbers) {
    temp_.write("quilt.svg",
                "<svg xmlns='http://www.w3.org/2000/svg'><rect id='a' width='1e300' height='1e300'/></svg>");
    refused("quilt.svg:");
}

TEST_F(BadInput, NanInTheDrawing) {
    temp_.write("quilt.svg", "<svg xmlns='http://www.w3.org/2000/svg'><path id='a' d='M0 0 L nan 5 L 3 3 Z'/></svg>");
    refused("quilt.svg:1");
}

TEST_F(BadInput, SheetTooSmall) {
    spoil_job("size      = [140, 110]", "size      = [40, 30]");
    refused("walnut");
}

TEST_F(BadInput, RegionTooSmallForItsCutter) {
    temp_.write("quilt.svg",
                "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='60mm' viewBox='0 0 100 60'>"
                "<rect id='north-west' width='50' height='60'/><rect id='south-x' x='50' width='49.9' height='60'/>"
                "<rect id='north-east' x='99.9' width='0.1' height='60'/></svg>");
    refused("north-east");
}

TEST_F(BadInput, TenMegabytesOfNoise) {
    std::string noise(10'000'000, '\0');
    std::uint64_t state = 1;
    for (char& c : noise)
        c = static_cast<char>((state = state * 6364136223846793005ULL + 1442695040888963407ULL) >> 56);
    temp_.write("quilt.svg", noise);
    refused("quilt.svg:");
}

TEST_F(BadInput, DeepNesting) {
    std::string deep = "<svg xmlns='http://www.w3.org/2000/svg'>";
    for (int i = 0; i < 5000; ++i)
        deep += "<g>";
    temp_.write("quilt.svg", deep + "<rect id='a' width='5' height='5'/>");
    refused("quilt.svg:");
}

TEST_F(BadInput, NotATextAtAll) {
    temp_.write("quilt.svg", "");
    refused("quilt.svg");
}

TEST_F(BadInput, OutputFolderOfSomebodyElse) {
    temp_.write("mine/thesis.txt", "x");
    const Outcome outcome = support::kerfwright("plan --quiet " + (temp_.path() / "job.toml").string() + " --out " +
                                                (temp_.path() / "mine").string());
    EXPECT_EQ(outcome.status, 2) << outcome.err;
    EXPECT_EQ(text_of(temp_.path() / "mine/thesis.txt"), "x");
}

TEST(CommandLine, WrongWordsAreUnusable) {
    EXPECT_EQ(support::kerfwright("").status, 2);
    EXPECT_EQ(support::kerfwright("plam job.toml").status, 2);
    EXPECT_EQ(support::kerfwright("feeds --material mdf --cutter flat-7").status, 2);
    EXPECT_EQ(support::kerfwright("feeds --material mdf --cutter flat-6 --n fast --vf 100").status, 2);
    EXPECT_EQ(support::kerfwright("prove /nonexistent").status, 2);
}

TEST(CommandLine, HelpHasAnExample) {
    for (const char* command : {"", "new", "look", "plan", "prove", "feeds", "fit", "hold", "quote"}) {
        const Outcome outcome = support::kerfwright(std::string(command) + " --help");
        EXPECT_EQ(outcome.status, 0);
        EXPECT_NE(outcome.out.find("Example: kerfwright"), std::string::npos) << command;
    }
    EXPECT_EQ(support::kerfwright("--version").status, 0);
}

} // namespace
} // namespace kerfwright
