// Skins follow a measured bed, and the proof of the plan knows it.

#include "job/files.hpp"
#include "job/job_file.hpp"
#include "job/make_plan.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::job {
namespace {

const std::string kFolder = std::string(KERFWRIGHT_SOURCE_DIR) + "/examples/small/";

/// The small example; the sheets of maple with a bed that is high on the right.
Result<Job> job_with(const std::string& bed) {
    std::string text = read_file(kFolder + "job.toml").value();
    const std::string maple = "name      = \"maple\"\n";
    text.insert(text.find(maple) + maple.size(), bed);
    return read_job(text, kFolder + "job.toml", [](const std::string& name) { return read_file(kFolder + name); });
}

TEST(Bed, SkinsFollowItAndThePlanIsProven) {
    const auto job = job_with("bed = [[0, 0, 0.10], [140, 0, 0.25], [140, 110, 0.25], [0, 110, 0.10]]\n");
    ASSERT_TRUE(job) << to_string(job.problem());
    const auto drawing = load_drawing(job.value());
    auto plan = make_plan(job.value(), drawing.value(), {});
    ASSERT_TRUE(plan) << to_string(plan.problem());
    const auto proof = prove_as_written(plan.value(), {});
    ASSERT_TRUE(proof);
    EXPECT_TRUE(proof.value().proven());
    int followed = 0;
    for (const PlannedPiece& piece : plan.value().pieces) {
        if (piece.sheet != "maple") {
            EXPECT_EQ(piece.bed, 0) << piece.id;
            continue;
        }
        ASSERT_GT(piece.skin, 0);
        const plane::Box box = plane::bounds(plane::placed(piece.outline, piece.placement));
        EXPECT_NEAR(piece.bed, shop::bed_at(job.value().sheets[2], (box.low + box.high) * 0.5), 0.05);
        EXPECT_GT(piece.bed, 0.1);
        ++followed;
    }
    EXPECT_GT(followed, 0);
    // A proof that does not know the bed would not pass: the skins are as much off as the bed is.
    Plan flat = plan.value();
    for (PlannedPiece& piece : flat.pieces)
        piece.bed = 0;
    const auto unknowing = prove_as_written(flat, {});
    ASSERT_TRUE(unknowing);
    EXPECT_FALSE(unknowing.value().proven());
}

TEST(Bed, AMapIsCheckedAndItsErrorIsThatOfPointsToldFromTheOthers) {
    EXPECT_FALSE(job_with("bed = [[0, 0, 0.1], [10, 0, 0]]\n")) << "two points are no map";
    EXPECT_FALSE(job_with("bed = [[0, 0, 0.1], [10, 0, 0.5], [10, 10, 0]]\n")) << "0.5 mm wants skimming";
    EXPECT_FALSE(job_with("bed = [[0, 0], [10, 0], [10, 10]]\n"));
    shop::Sheet sheet;
    sheet.bed = {{{0, 0}, 0.1}, {{100, 0}, 0.1}, {{0, 100}, 0.1}};
    EXPECT_EQ(shop::bed_error(sheet), 0);
    EXPECT_NEAR(shop::bed_at(sheet, {30, 40}), 0.1, 1e-12);
    sheet.bed[2].height = 0.2;
    // (0, 0) from the others: 0.15; (100, 0): nearer to (0, 0), weights 2 : 1; (0, 100) likewise 0.1.
    const double a = 0.05, b = (0.1 * 2 + 0.2) / 3 - 0.1, c = 0.1;
    EXPECT_NEAR(shop::bed_error(sheet), std::sqrt((a * a + b * b + c * c) / 3), 1e-12);
    sheet.bed.pop_back();
    EXPECT_EQ(shop::bed_at(sheet, {0, 0}), 0);
}

} // namespace
} // namespace kerfwright::job
