#include "layout/parts.hpp"

#include <gtest/gtest.h>

namespace kerfwright::layout {
namespace {

class Clashes : public ::testing::Test {
  protected:
    [[nodiscard]] std::vector<Clash> of(const std::vector<Placed>& placed) const {
        return clashes(parts, sheets, placed, options);
    }
    void expect_one(const std::vector<Placed>& placed, const std::string& a, const std::string& b, double by) const {
        const auto found = of(placed);
        ASSERT_EQ(found.size(), 1U);
        EXPECT_EQ(found[0].a, a);
        EXPECT_EQ(found[0].b, b);
        EXPECT_NEAR(found[0].by, by, 1e-4);
    }

    std::vector<Part> parts{box_part("a", "oak", {40, 20}, 3), box_part("b", "oak", {40, 20}, 6)};
    std::vector<shop::Sheet> sheets{sheet("s", "oak", {200, 100})};
    LayoutOptions options{.edge = 5, .clamp_room = 6};
};

TEST_F(Clashes, NoneAtExactlyTheAskedDistances) {
    // edge + kerf: 8 for a, 11 for b; between them the larger kerf: 6.
    EXPECT_TRUE(of({{"a", "s", {8, 8, 0}}, {"b", "s", {54, 11, 0}}}).empty());
}

TEST_F(Clashes, NeighboursNeedTheLargerKerf) {
    expect_one({{"a", "s", {8, 12, 0}}, {"b", "s", {52, 12, 0}}}, "a", "b", 2);
}

TEST_F(Clashes, DistanceIsMeasuredAcrossCorners) {
    // Corner to corner by 3 and 4: 5 mm apart.
    expect_one({{"a", "s", {20, 12, 0}}, {"b", "s", {63, 36, 0}}}, "a", "b", 1);
}

TEST_F(Clashes, CrossingPartsWhoseCornersAreFarApart) {
    parts = {box_part("a", "oak", {100, 10}), box_part("b", "oak", {10, 70})};
    expect_one({{"a", "s", {40, 45, 0}}, {"b", "s", {85, 15, 0}}}, "a", "b", 3);
}

TEST_F(Clashes, OnePartWithinAnother) {
    parts = {box_part("a", "oak", {100, 60}), box_part("b", "oak", {10, 10})};
    expect_one({{"a", "s", {40, 20, 0}}, {"b", "s", {80, 45, 0}}}, "a", "b", 3);
}

TEST_F(Clashes, APartInTheHoleOfAnotherMayLieThere) {
    parts = {box_part("a", "oak", {100, 60}), box_part("b", "oak", {10, 10})};
    parts[0].outline.holes.push_back(plane::reversed(plane::rectangle({20, 20}, {60, 40})));
    EXPECT_TRUE(of({{"a", "s", {40, 20, 0}}, {"b", "s", {75, 45, 0}}}).empty());
    expect_one({{"a", "s", {40, 20, 0}}, {"b", "s", {61, 45, 0}}}, "a", "b", 2);
}

TEST_F(Clashes, EdgeAndClamp) {
    sheets[0].clamps.push_back({{100, 40}, {30, 20}, 25});
    expect_one({{"a", "s", {7.5, 20, 0}}}, "a", "edge", 0.5);
    expect_one({{"a", "s", {-4, 20, 0}}}, "a", "edge", 12);
    expect_one({{"a", "s", {52, 40, 0}}}, "a", "clamp 1", 1);
    EXPECT_TRUE(of({{"a", "s", {51, 40, 0}}}).empty());
}

TEST_F(Clashes, QuarterTurnPutsThePartToTheLeftOfItsOrigin) {
    EXPECT_TRUE(of({{"a", "s", {28, 8, 90}}}).empty());
    expect_one({{"a", "s", {26, 8, 90}}}, "a", "edge", 2);
}

TEST_F(Clashes, MaterialThicknessGrain) {
    parts[0].keep_grain = true;
    parts[0].grain_deg = 90;
    expect_one({{"a", "s", {60, 40, 0}}}, "a", "grain", 90);
    EXPECT_TRUE(of({{"a", "s", {60, 20, 90}}}).empty());
    EXPECT_TRUE(of({{"a", "s", {60, 70, -90}}}).empty());
    parts[0].keep_grain = false;
    parts[0].thickness = 6.2;
    expect_one({{"a", "s", {60, 40, 0}}}, "a", "thickness", 0.2);
    parts[0].material = "maple";
    expect_one({{"a", "s", {60, 40, 0}}}, "a", "material", 0);
}

TEST_F(Clashes, WhatIsNotThere) {
    expect_one({{"c", "s", {8, 8, 0}}}, "c", "part", 0);
    expect_one({{"a", "t", {8, 8, 0}}}, "a", "sheet", 0);
    expect_one({{"a", "s", {8, 8, 0}}, {"a", "s", {90, 8, 0}}}, "a", "a", 0);
}

} // namespace
} // namespace kerfwright::layout
