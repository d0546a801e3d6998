// find_seams on partitions made by hand.

#include "partition_support.hpp"

namespace kerfwright::drawing {
namespace {

using namespace testing;
using plane::Point;
using plane::Ring;

Region square(std::string name, std::int64_t x, std::int64_t y, std::int64_t size) {
    return {std::move(name), "", {{{{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}}, {}}}, 0};
}

TEST(Seams, FollowTheRegionOfLowerIndex) {
    const auto seams = find_seams({square("a", 0, 0, 100'000), square("b", 100'000, 0, 100'000)});
    ASSERT_EQ(seams.size(), 3U);
    EXPECT_EQ(seams[0].a, 0);
    EXPECT_EQ(seams[0].b, kOutside);
    EXPECT_DOUBLE_EQ(seams[0].length, 3);
    ASSERT_EQ(seams[0].chains.size(), 1U);
    EXPECT_EQ(seams[0].chains[0], (std::vector<Point>{{100'000, 100'000}, {0, 100'000}, {0, 0}, {100'000, 0}}));
    EXPECT_EQ(seams[1].b, 1);
    EXPECT_EQ(seams[1].chains[0], (std::vector<Point>{{100'000, 0}, {100'000, 100'000}})) << "\"a\" lies to the left";
    EXPECT_EQ(seams[2].a, 1);
    EXPECT_EQ(seams[2].b, kOutside);
}

TEST(Seams, AnIslandHasOneClosedChain) {
    Region sea = square("sea", 0, 0, 300'000);
    const Region island = square("island", 100'000, 100'000, 100'000);
    sea.shape[0].holes.push_back(plane::reversed(island.shape[0].outer));
    const auto seams = find_seams({island, sea});
    ASSERT_EQ(seams.size(), 2U);
    EXPECT_EQ(seams[0].a, 0);
    EXPECT_EQ(seams[0].b, 1);
    ASSERT_EQ(seams[0].chains.size(), 1U);
    EXPECT_EQ(seams[0].chains[0].size(), 5U);
    EXPECT_EQ(seams[0].chains[0].front(), seams[0].chains[0].back());
    EXPECT_DOUBLE_EQ(seams[0].length, 4);
    EXPECT_EQ(seams[1].a, 1);
    EXPECT_DOUBLE_EQ(seams[1].length, 12);
}

TEST(Seams, TwoStretchesAreTwoChains) {
    // "u" holds "b" between its arms; they meet on three sides, and "m" breaks the middle one.
    const Region u{
        "u",
        "",
        {{{{0, 0}, {30, 0}, {30, 20}, {20, 20}, {20, 10}, {18, 10}, {12, 10}, {10, 10}, {10, 20}, {0, 20}}, {}}},
        0};
    const Region m{"m", "", {{{{12, 10}, {18, 10}, {18, 12}, {12, 12}}, {}}}, 0};
    const Region b{
        "b", "", {{{{10, 10}, {12, 10}, {12, 12}, {18, 12}, {18, 10}, {20, 10}, {20, 20}, {10, 20}}, {}}}, 0};
    const auto seams = find_seams({b, m, u});
    const auto with_u = std::find_if(seams.begin(), seams.end(), [](const Seam& s) { return s.a == 0 && s.b == 2; });
    ASSERT_NE(with_u, seams.end());
    ASSERT_EQ(with_u->chains.size(), 2U);
    EXPECT_EQ(with_u->chains[0], (std::vector<Point>{{10, 20}, {10, 10}, {12, 10}}));
    EXPECT_EQ(with_u->chains[1], (std::vector<Point>{{18, 10}, {20, 10}, {20, 20}}));
}

TEST(Seams, RegionsThatTouchInAPointShareNone) {
    const auto seams = find_seams({square("a", 0, 0, 10), square("b", 10, 10, 10)});
    ASSERT_EQ(seams.size(), 2U);
    EXPECT_EQ(seams[0].b, kOutside);
    EXPECT_EQ(seams[0].chains[0].front(), seams[0].chains[0].back());
    EXPECT_TRUE(find_seams({}).empty());
}

} // namespace
} // namespace kerfwright::drawing
