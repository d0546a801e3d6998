#include "fit/disc_search.hpp"

#include <gtest/gtest.h>

namespace kerfwright::fit {
namespace {

using plane::Vec;

plane::EdgeIndex index_of(const std::vector<Vec>& corners) {
    plane::Ring ring;
    for (const Vec corner : corners)
        ring.push_back(plane::to_grid(corner));
    return plane::EdgeIndex(std::vector<plane::Ring>{ring});
}

// Regression: a point whose nearest edge point is a vertex on a straight stretch was taken to be inside.
TEST(SignedDistance, AtVerticesOfAStraightStretch) {
    const auto index = index_of({{0, 0}, {5, 0}, {10, 0}, {10, 10}, {0, 10}});
    EXPECT_DOUBLE_EQ(signed_distance(index, {5, -0.3}), 0.3);
    EXPECT_DOUBLE_EQ(signed_distance(index, {5, 0.3}), -0.3);
}

TEST(SignedDistance, AtConvexAndReflexCorners) {
    const auto index = index_of({{0, 0}, {10, 0}, {10, 10}, {5, 5}, {0, 10}});
    EXPECT_GT(signed_distance(index, {-1, -1}), 0);
    EXPECT_GT(signed_distance(index, {5, 6}), 0) << "in the notch";
    EXPECT_LT(signed_distance(index, {5, 4.5}), 0) << "under the notch";
    EXPECT_LT(signed_distance(index, {1, 1}), 0);
}

} // namespace
} // namespace kerfwright::fit
