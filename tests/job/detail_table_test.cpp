#include "job/detail_table.hpp"
#include "job/make_plan.hpp"

#include <gtest/gtest.h>

#include <map>

namespace kerfwright::job {
namespace {

const std::string kSkerry = std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/skerry/job.toml";

std::map<std::string, std::string> taken_by_the_fit(const Job& job, const drawing::Drawing& drawing) {
    std::map<std::string, std::string> taken;
    const auto fitted = fit_stage(job, drawing, 0);
    EXPECT_TRUE(fitted) << to_string(fitted.problem());
    if (fitted)
        for (const PlannedPiece& piece : fitted.value().pieces)
            taken[piece.material] = piece.cutter;
    return taken;
}

TEST(DetailTable, ThePlanTakesTheMarkedCutter) {
    auto job = load_job(kSkerry);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    ASSERT_TRUE(drawing);
    // At 0.35 mm some of the largest cutters no longer do.
    std::set<std::string> marks[2];
    for (const double detail : {0.5, 0.35}) {
        job.value().detail = detail;
        const auto rows = detail_table(job.value(), drawing.value(), 0);
        ASSERT_TRUE(rows);
        const auto taken = taken_by_the_fit(job.value(), drawing.value());
        std::map<std::string, int> marked;
        for (const CutterDetail& row : rows.value()) {
            EXPECT_EQ(row.within, row.moved_max <= detail) << row.material << " " << row.cutter;
            EXPECT_EQ(row.chosen, row.largest) << row.material << " " << row.cutter;
            if (!row.largest) continue;
            EXPECT_TRUE(row.within);
            EXPECT_EQ(taken.at(row.material), row.cutter);
            ++marked[row.material];
            marks[detail < 0.5].insert(row.material + " " + row.cutter);
        }
        EXPECT_EQ(marked.size(), taken.size());
    }
    EXPECT_NE(marks[0], marks[1]);
}

TEST(DetailTable, TheJobsOwnWishIsTaken) {
    auto job = load_job(kSkerry);
    ASSERT_TRUE(job);
    job.value().cutter_for["maple"] = "flat-3";
    const auto drawing = load_drawing(job.value());
    const auto rows = detail_table(job.value(), drawing.value(), 1);
    ASSERT_TRUE(rows);
    for (const CutterDetail& row : rows.value())
        if (row.material == "maple") {
            EXPECT_EQ(row.chosen, row.cutter == "flat-3");
            EXPECT_EQ(row.largest, row.cutter == "flat-6");
            EXPECT_GT(row.wall_min, 0);
        }
    EXPECT_EQ(taken_by_the_fit(job.value(), drawing.value()).at("maple"), "flat-3");
}

} // namespace
} // namespace kerfwright::job
