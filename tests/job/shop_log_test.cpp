#include "support/process.hpp"

#include "job/files.hpp"
#include "job/job_file.hpp"
#include "job/shop_log.hpp"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace kerfwright::job {
namespace {

LogEntry size_entry(double measured) {
    LogEntry entry;
    entry.date = "2026-11-25";
    entry.cutter = "flat-3";
    entry.asked = 24;
    entry.measured = measured;
    return entry;
}

std::filesystem::path fresh(const char* name) {
    const auto folder = std::filesystem::path(KERFWRIGHT_BINARY_DIR) / "tests" / "shop-log";
    std::filesystem::create_directories(folder);
    std::filesystem::remove(folder / name);
    return folder / name;
}

TEST(ShopLog, WhatIsAddedIsRead) {
    const auto file = fresh("added.sqlite");
    LogEntry entry = size_entry(24.06);
    entry.note = "it's \"warm\"; DROP TABLE measured";
    ASSERT_TRUE(add_to_log(file, entry));
    entry.kind = LogEntry::Kind::part;
    entry.outcome = "lost";
    entry.margin = 1.5;
    ASSERT_TRUE(add_to_log(file, entry));
    const auto log = read_log(file);
    ASSERT_TRUE(log) << to_string(log.problem());
    ASSERT_EQ(log.value().size(), 2u);
    EXPECT_EQ(log.value()[0].note, entry.note);
    EXPECT_EQ(log.value()[0].measured, 24.06);
    EXPECT_EQ(log.value()[1].kind, LogEntry::Kind::part);
    EXPECT_EQ(log.value()[1].margin, 1.5);
}

TEST(ShopLog, OtherFilesAreRefusedAndStand) {
    const auto file = fresh("other.sqlite");
    ASSERT_TRUE(replace_file(file, "this is a letter, and longer than the header of a database is, by quite a bit"));
    EXPECT_FALSE(add_to_log(file, size_entry(24)));
    EXPECT_FALSE(read_log(file));
    EXPECT_EQ(read_file(file).value().substr(0, 16), "this is a letter");
    EXPECT_FALSE(read_log(fresh("absent.sqlite")));
}

TEST(ShopLog, BytesOfAnyKindAreAProblemNotACrash) {
    const auto file = fresh("bytes.sqlite");
    ASSERT_TRUE(add_to_log(file, size_entry(24.02)));
    const std::string good = read_file(file).value();
    EXPECT_EQ(read_log_bytes(good, "log").value().size(), 1u);
    for (std::size_t i = 0; i < good.size(); i += 37) {
        std::string bad = good;
        bad[i] = static_cast<char>(bad[i] ^ 0x5a);
        (void)read_log_bytes(bad, "log");
    }
    EXPECT_FALSE(read_log_bytes(good.substr(0, 1000), "log"));
    EXPECT_FALSE(read_log_bytes("", "log"));
}

TEST(ShopLog, EntriesOfManyWritersAreAllKept) {
    const auto file = fresh("many.sqlite");
    constexpr int kWriters = 4, kEach = 10;
    for (int w = 0; w < kWriters; ++w) {
        if (::fork() != 0) continue;
        for (int i = 0; i < kEach; ++i)
            if (!add_to_log(file, size_entry(24 + 0.01 * i))) ::_exit(1);
        ::_exit(0);
    }
    int status = 0;
    while (::wait(&status) > 0)
        EXPECT_EQ(status, 0);
    EXPECT_EQ(read_log(file).value().size(), static_cast<std::size_t>(kWriters * kEach));
}

TEST(ShopLog, AJobTakesTheEffectiveDiameter) {
    const auto file = fresh("job.sqlite");
    for (int i = 0; i < 3; ++i)
        ASSERT_TRUE(add_to_log(file, size_entry(24.04)));
    const std::string text = "format = 1\n[drawing]\nfile = \"a.svg\"\n[pieces]\n\"*\" = \"mdf\"\n[[sheet]]\nname = "
                             "\"a\"\nmaterial = \"mdf\"\nsize = [9, 9]\nthickness = 6\n[machine]\nname = "
                             "\"gantry-600\"\n[shop]\ncutters = [\"flat-3\", \"flat-6\"]\nlog = \"job.sqlite\"\n";
    const auto job =
        read_job(text, "job.toml", [&](const std::string& name) { return read_file(file.parent_path() / name); });
    ASSERT_TRUE(job) << to_string(job.problem());
    EXPECT_NEAR(job.value().cutters[0].DC, 2.97, 1e-9); // three of four parts of the weight
    EXPECT_EQ(job.value().cutters[1].DC, 6);
    ASSERT_EQ(job.value().notes.size(), 1u);
    EXPECT_NE(job.value().notes[0].find("3 measured sizes"), std::string::npos);
}

TEST(ShopLog, AJobTakesWhatWasTriedAndLost) {
    const auto file = fresh("tried.sqlite");
    LogEntry cut;
    cut.kind = LogEntry::Kind::cut;
    cut.material = "mdf", cut.cutter = "flat-3", cut.n = 18000, cut.vf = 3600, cut.outcome = "noisy";
    ASSERT_TRUE(add_to_log(file, cut));
    LogEntry part;
    part.kind = LogEntry::Kind::part;
    part.material = "mdf", part.hold = "tape+skin", part.margin = 1.5, part.outcome = "lost";
    ASSERT_TRUE(add_to_log(file, part));
    part.hold = "skin+tape", part.outcome = "held";
    ASSERT_TRUE(add_to_log(file, part));
    std::vector<shop::Cutter> cutters{*find_cutter(shop::shipped(), "flat-3")};
    std::vector<shop::Material> materials{*find_material(shop::shipped(), "mdf"),
                                          *find_material(shop::shipped(), "walnut")};
    const auto notes = apply_log(read_log(file).value(), cutters, materials);
    ASSERT_EQ(materials[0].tried.size(), 1u);
    EXPECT_DOUBLE_EQ(materials[0].tried[0].feeds.ceiling, 0.1);
    ASSERT_EQ(materials[0].held.size(), 1u) << "one hold, whatever the order of its words";
    EXPECT_EQ(materials[0].held[0].hold, "skin+tape");
    EXPECT_EQ(materials[0].held[0].factor.held, 1);
    EXPECT_EQ(materials[0].held[0].factor.lost, 1);
    EXPECT_TRUE(materials[1].tried.empty() && materials[1].held.empty());
    ASSERT_EQ(notes.size(), 2u);
    EXPECT_NE(notes[0].find("at most 0.0900 mm/tooth, by 1 of 1 cut"), std::string::npos) << notes[0];
    EXPECT_NE(notes[1].find("by 1 part held and 1 lost"), std::string::npos) << notes[1];
}

} // namespace
} // namespace kerfwright::job
