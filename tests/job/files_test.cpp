#include "support/process.hpp"

#include "job/files.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

namespace fs = std::filesystem;
using support::TempFolder;
using support::text_of;

TEST(Files, AFolderIsReplacedAsAWhole) {
    const TempFolder temp;
    const fs::path out = temp.path() / "out";
    ASSERT_TRUE(replace_folder(out, {{"plan.json", "1"}, {"programs/a.nc", "G21"}}).ok());
    ASSERT_TRUE(replace_folder(out, {{"plan.json", "2"}}).ok());
    EXPECT_EQ(text_of(out / "plan.json"), "2");
    EXPECT_FALSE(fs::exists(out / "programs")) << "nothing of the old output is left";
    EXPECT_EQ(std::distance(fs::directory_iterator(temp.path()), fs::directory_iterator()), 1)
        << "no folder is left beside it";
}

TEST(Files, AFolderOfSomebodyElseIsRefusedAndUntouched) {
    const TempFolder temp;
    temp.write("out/thesis.txt", "ten years of work");
    const auto result = replace_folder(temp.path() / "out", {{"plan.json", "1"}});
    ASSERT_FALSE(result.ok());
    EXPECT_NE(result.problem().what.find("would be replaced"), std::string::npos);
    EXPECT_EQ(text_of(temp.path() / "out/thesis.txt"), "ten years of work");
}

TEST(Files, WhatMayBeReplacedIsKnownBefore) {
    const TempFolder temp;
    EXPECT_TRUE(may_replace(temp.path() / "none").ok());
    EXPECT_TRUE(may_replace(temp.path()).ok()) << "empty";
    temp.write("thesis.txt", "x");
    EXPECT_FALSE(may_replace(temp.path()).ok());
    EXPECT_FALSE(may_replace(temp.path() / "thesis.txt").ok());
    temp.write("plan.json", "{}");
    EXPECT_TRUE(may_replace(temp.path()).ok()) << "an earlier result";
}

TEST(Files, WhenWritingFailsTheOldOutputStands) {
    const TempFolder temp;
    const fs::path out = temp.path() / "out";
    ASSERT_TRUE(replace_folder(out, {{"plan.json", "1"}}).ok());
    // A name that is a file cannot also be a folder: the second file cannot be written.
    EXPECT_FALSE(replace_folder(out, {{"plan.json", "2"}, {"plan.json/inner", "x"}}).ok());
    EXPECT_EQ(text_of(out / "plan.json"), "1");
    EXPECT_EQ(std::distance(fs::directory_iterator(temp.path()), fs::directory_iterator()), 1);
}

TEST(Files, ReadingNamesWhatIsWrong) {
    const TempFolder temp;
    EXPECT_NE(read_file(temp.path() / "none").problem().what.find("no such file"), std::string::npos);
    EXPECT_NE(read_file(temp.path()).problem().what.find("folder"), std::string::npos);
    temp.write("big", std::string(2 << 20, 'x'));
    EXPECT_FALSE(read_file(temp.path() / "big", 1 << 20).ok());
    EXPECT_EQ(read_file(temp.write("a", std::string("a\0b", 3))).value().size(), 3u);
}

} // namespace
} // namespace kerfwright::job
