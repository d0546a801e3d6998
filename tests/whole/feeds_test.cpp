// `kerfwright feeds` as a user runs it: plan, judgement, a tap and a cut that a microphone heard.

#include "sound/synthetic.hpp"
#include "support/process.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace kerfwright {
namespace {

using nlohmann::json;
using sound::Recording;
using support::TempFolder;

std::string tap_wav(double frequency, double damping) {
    Random random(3);
    Recording r = sound::silence(3.2, 44'100);
    for (const double at : {0.5, 1.4, 2.3}) {
        sound::add_ringing(r, at, frequency, damping, 0.5);
        sound::add_knock(r, at, 0.5, random);
    }
    sound::add_noise(r, 0.005, random);
    return sound::wav({r.samples}, 44'100, sound::Samples::s16);
}

std::string cut_wav(double chatter) {
    Random random(4);
    Recording r = sound::silence(2.5);
    for (int h = 1; h <= 12; ++h)
        sound::add_line(r, h * 17'700 / 60.0, (h % 2 == 0 ? 0.1 : 0.01) / h);
    sound::add_dull_noise(r, 0.03, 1500, random);
    if (chatter > 0) sound::add_line(r, chatter, 0.15);
    return sound::wav({r.samples, r.samples}, 48'000, sound::Samples::s24);
}

TEST(Feeds, ATableAndADocument) {
    const auto table = support::kerfwright("feeds --material mdf --cutter flat-6 --depth 18");
    EXPECT_EQ(table.status, 0) << table.err;
    EXPECT_NE(table.out.find("Held back by"), std::string::npos) << table.out;
    EXPECT_NE(table.out.find("reserve %"), std::string::npos);
    EXPECT_NE(table.out.find("chatter is not ruled out"), std::string::npos);
    const auto document = support::kerfwright("feeds --json --material mdf --cutter flat-6 --depth 18");
    const json plan = json::parse(document.out);
    const auto binding = plan["binding"].get<std::string>();
    bool found = false;
    for (const json& limit : plan["limits"]) {
        EXPECT_TRUE(limit["holds"].get<bool>());
        EXPECT_FALSE(limit["loosen"].get<std::string>().empty());
        found = found || limit["name"] == binding;
    }
    EXPECT_TRUE(found) << binding;
}

TEST(Feeds, AGivenSettingIsJudgedLimitByLimit) {
    const auto bad = support::kerfwright("feeds --material aluminium-6061 --cutter flat-3 --n 10000 --vf 3000 --ap 3");
    EXPECT_EQ(bad.status, 1);
    EXPECT_NE(bad.out.find("! strength"), std::string::npos) << bad.out;
    EXPECT_NE(bad.out.find("Outside these limits"), std::string::npos);
    EXPECT_EQ(support::kerfwright("feeds --material mdf --cutter flat-6 --n 18000").status, 2) << "vf is missing";
    EXPECT_EQ(support::kerfwright("feeds --material cheese --cutter flat-6").status, 2);
}

TEST(Feeds, ATapGivesLobesAndSpeeds) {
    const TempFolder folder;
    const auto file = folder.write("tap.wav", tap_wav(922, 0.013)).string();
    const auto told =
        support::kerfwright("feeds --json --material aluminium-6061 --cutter flat-6 --depth 3 --tap " + file);
    ASSERT_EQ(told.status, 0) << told.out << told.err;
    const json all = json::parse(told.out);
    const json& ring = all["tap"]["rings"][0];
    EXPECT_NEAR(ring["frequency"].get<double>(), 922, 1);
    EXPECT_NEAR(ring["damping"].get<double>(), 0.013, 0.0005);
    EXPECT_EQ(all["tap"]["taps"], 3);
    const double best = all["tap"]["chatter"]["speeds_to_try"][0]["n"].get<double>();
    EXPECT_NEAR(best, 13'830, 200) << "the teeth pass once in two swings";
    EXPECT_TRUE(all["tap"]["chatter"]["stiffness_assumed"].get<bool>());
    double depth = 0;
    for (const json& limit : all["limits"])
        if (limit["name"] == "chatter") depth = limit["bound"].get<double>();
    EXPECT_GT(depth, 0) << "the plan keeps to it";
    EXPECT_LE(all["ap"].get<double>(), depth);
    const auto text = support::kerfwright("feeds --material aluminium-6061 --cutter flat-6 --depth 3 --tap " + file);
    EXPECT_NE(text.out.find("modes = [{ cutter = \"flat-6\""), std::string::npos) << text.out;
}

// What the tap prints for the machine file is read from there again.
TEST(Feeds, AMachineFileCarriesTheTap) {
    const TempFolder folder;
    std::string machine = support::text_of(std::filesystem::path(KERFWRIGHT_SOURCE_DIR) / "data/machines.toml");
    machine.insert(machine.find("spindle = {"),
                   "modes = [{ cutter = \"flat-6\", LPR = 28, frequency = 922.0, damping = 0.0130 }]\n");
    const auto file = folder.write("mine.toml", machine).string();
    const auto told =
        support::kerfwright("feeds --material aluminium-6061 --cutter flat-6 --depth 3 --machine " + file);
    EXPECT_EQ(told.status, 0) << told.err;
    EXPECT_NE(told.out.find("rings at 922 Hz"), std::string::npos) << told.out;
}

TEST(Feeds, AFileWithoutAMachineIsNamed) {
    const TempFolder folder;
    const auto file = folder.write("none.toml", "# nothing yet\n");
    const auto run = support::kerfwright("feeds --material mdf --cutter flat-6 --machine " + file.string());
    EXPECT_EQ(run.status, 2);
    EXPECT_NE(run.err.find("none.toml"), std::string::npos) << run.err;
}

TEST(Feeds, ACutIsListenedTo) {
    const TempFolder folder;
    const auto quiet = folder.write("quiet.wav", cut_wav(0)).string(),
               loud = folder.write("loud.wav", cut_wav(950)).string();
    const std::string listen = "feeds --json --material mdf --cutter flat-6 --n 18000 --listen ";
    const auto a = support::kerfwright(listen + quiet), b = support::kerfwright(listen + loud);
    EXPECT_EQ(a.status, 0) << a.out << a.err;
    EXPECT_FALSE(json::parse(a.out)["listen"]["chatter"].get<bool>());
    EXPECT_EQ(b.status, 1) << b.err;
    const json heard = json::parse(b.out)["listen"];
    EXPECT_TRUE(heard["chatter"].get<bool>());
    EXPECT_NEAR(heard["frequency"].get<double>(), 950, 1);
    EXPECT_NEAR(heard["n"].get<double>(), 17'700, 5) << "the spindle had sagged";
    EXPECT_NEAR(heard["quiet_speeds"][0]["n"].get<double>(), 14'250, 30) << "the nearest of 60 f / (Z j)";
    EXPECT_EQ(support::kerfwright("feeds --material mdf --cutter flat-6 --listen " + loud).status, 2) << "which speed?";
}

TEST(Feeds, BadRecordingsAreNamed) {
    const TempFolder folder;
    for (const auto& [bytes, word] :
         {std::pair<std::string, std::string>{"", "no WAV"},
          {"RIFF\x10\x10\x10\x10WAVEfmt ", "damaged"},
          {sound::wav({std::vector<double>(100'000, 0.0)}, 44'100, sound::Samples::s16), "no tap is heard"}}) {
        const auto file = folder.write("bad.wav", bytes).string();
        const auto told = support::kerfwright("feeds --material mdf --cutter flat-6 --tap " + file);
        EXPECT_EQ(told.status, 2);
        EXPECT_NE(told.err.find("bad.wav: "), std::string::npos) << told.err;
        EXPECT_NE(told.err.find(word), std::string::npos) << told.err;
    }
    EXPECT_EQ(
        support::kerfwright("feeds --material mdf --cutter flat-6 --tap " + (folder.path() / "none").string()).status,
        2);
}

} // namespace
} // namespace kerfwright
