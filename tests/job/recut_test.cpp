// One piece again: the same outline as in the whole plan, alone on its sheet, proven.

#include "job/job_file.hpp"
#include "job/make_plan.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

const std::string kFile = std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/small/job.toml";

TEST(Recut, ThePieceHasTheOutlineOfTheWholePlanAndIsProvenAlone) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    const auto whole = make_plan(job.value(), drawing.value(), {});
    ASSERT_TRUE(whole);
    const PlannedPiece& piece = whole.value().pieces.back();
    const auto again = make_recut(job.value(), drawing.value(), {piece.id, piece.sheet}, {});
    ASSERT_TRUE(again) << to_string(again.problem());
    ASSERT_EQ(again.value().pieces.size(), 1u);
    EXPECT_EQ(again.value().pieces.front().outline, piece.outline);
    EXPECT_EQ(again.value().setups.size(), 1u);
    EXPECT_FALSE(again.value().has_tray);
    const auto proof = prove_as_written(again.value(), {});
    ASSERT_TRUE(proof);
    EXPECT_TRUE(proof.value().proven());
}

TEST(Recut, SaysWhatIsWrong) {
    const auto job = load_job(kFile);
    ASSERT_TRUE(job);
    const auto drawing = load_drawing(job.value());
    const std::string sheet = job.value().sheets.back().name;
    const auto nobody = make_recut(job.value(), drawing.value(), {"nobody", sheet}, {});
    ASSERT_FALSE(nobody);
    EXPECT_NE(nobody.problem().what.find("no piece \"nobody\""), std::string::npos);
    const auto nowhere = make_recut(job.value(), drawing.value(), {"north", "nowhere"}, {});
    ASSERT_FALSE(nowhere);
    EXPECT_NE(nowhere.problem().what.find("no sheet \"nowhere\""), std::string::npos);
}

} // namespace
} // namespace kerfwright::job
