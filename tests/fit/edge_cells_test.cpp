#include "partitions.hpp"

#include "fit/edge_cells.hpp"

#include <gtest/gtest.h>

namespace kerfwright::fit {
namespace {

// Cells and tree are two ways to the same answers.
TEST(NearEdges, AnswersLikeTheTree) {
    Random random(5);
    for (const double finest : {0.3, 2.0, 40.0}) {
        const auto regions = test::voronoi(4, 60, test::coast(finest, 0.15), 1.5, 9);
        const plane::EdgeIndex tree(regions[1].shape);
        const NearEdges cells(regions[1].shape);
        for (int k = 0; k < 2000; ++k) {
            const plane::Vec p{random.uniform(-30, 90), random.uniform(-30, 90)};
            const double within = k % 2 == 0 ? 1e300 : random.uniform(0, 5);
            const auto expected = tree.nearest(p, within);
            const auto found = cells.nearest(p, within);
            ASSERT_EQ(found.has_value(), expected.has_value()) << p.x << ' ' << p.y << " within " << within;
            if (!found) continue;
            ASSERT_NEAR(found->distance, expected->distance, 1e-12);
            ASSERT_NEAR(plane::distance(found->at, expected->at), 0, 1e-9);
        }
    }
}

TEST(NearEdges, OfNothingIsNothing) {
    EXPECT_FALSE(NearEdges(plane::Shape{}).nearest({0, 0}));
}

} // namespace
} // namespace kerfwright::fit
