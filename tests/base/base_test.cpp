#include "base/parallel.hpp"
#include "base/result.hpp"
#include "base/text_table.hpp"

#include <gtest/gtest.h>

#include <numeric>
#include <stdexcept>

namespace kerfwright {
namespace {

TEST(Problem, NamesFileLineColumnAndRemedy) {
    EXPECT_EQ(to_string(Problem{"job.toml", 3, 7, "no such material", "choose one of mdf, oak"}),
              "job.toml:3:7: no such material; choose one of mdf, oak");
    EXPECT_EQ(to_string(Problem{"a.svg", 0, 0, "empty", ""}), "a.svg: empty");
    EXPECT_EQ(to_string(Problem{"", 0, 0, "wrong", "mend it"}), "wrong; mend it");
}

TEST(Parallel, EachItemOnceOnAnyNumberOfThreads) {
    for (const int threads : {1, 2, 7}) {
        std::vector<int> seen(1000, 0);
        parallel_for(seen.size(), threads, [&](std::size_t i) { ++seen[i]; });
        EXPECT_EQ(std::accumulate(seen.begin(), seen.end(), 0), 1000);
        EXPECT_EQ(*std::max_element(seen.begin(), seen.end()), 1);
    }
}

TEST(Parallel, TheFirstFailureByIndexComesBack) {
    try {
        parallel_for(100, 4, [](std::size_t i) {
            if (i % 10 == 3) throw std::runtime_error(std::to_string(i));
        });
        FAIL();
    } catch (const std::runtime_error& failure) {
        EXPECT_STREQ(failure.what(), "3");
    }
}

TEST(TextTable, NumbersToTheRightWordsToTheLeft) {
    EXPECT_EQ(to_string(TextTable{{"name", "Ø mm"}, {{"flat-3", "3"}, {"clearing-25", "25.4"}}}),
              "name         Ø mm\n"
              "-----------------\n"
              "flat-3          3\n"
              "clearing-25  25.4\n");
}

} // namespace
} // namespace kerfwright
