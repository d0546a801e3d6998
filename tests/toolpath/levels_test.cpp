#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"
#include "toolpath/levels.hpp"
#include "toolpath/shapes.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace kerfwright::toolpath {
namespace {

std::size_t depth_of(const std::vector<Level>& levels, std::size_t i) {
    std::size_t depth = 0;
    for (; levels[i].parent != Level::kNone; i = levels[i].parent)
        ++depth;
    return depth;
}

/// Every loop keeps its distance from the area's border, lies in its parent, and none is missing: the areas agree with
/// offsets taken from the border.
void expect_true(const plane::Shape& area, double stepover, double within) {
    const Levels made = levels_of(area, stepover);
    EXPECT_TRUE(made.notes.empty()) << made.notes.front();
    const plane::EdgeIndex border(area);
    std::vector<double> areas;
    for (std::size_t i = 0; i < made.levels.size(); ++i) {
        const Level& level = made.levels[i];
        const std::size_t depth = depth_of(made.levels, i);
        if (areas.size() <= depth) areas.resize(depth + 1, 0);
        areas[depth] += plane::area(level.area);
        const double asked = static_cast<double>(depth) * stepover;
        for (const plane::Ring& ring : rings_of(plane::Shape{level.area}))
            for (const plane::Vec p : plane::sampled(ring, 0.5))
                ASSERT_NEAR(border.nearest(p)->distance, asked, within) << "level " << depth;
        if (level.parent == Level::kNone) continue;
        EXPECT_TRUE(plane::contains({made.levels[level.parent].area}, level.area.outer.front()));
    }
    for (std::size_t depth = 0; depth < areas.size(); ++depth) {
        const plane::Shape asked = plane::offset(area, -static_cast<double>(depth) * stepover);
        EXPECT_NEAR(areas[depth], plane::area(asked), within * (plane::perimeter(asked) + 1)) << "level " << depth;
    }
}

plane::Shape blob_with_hole(std::uint64_t seed, double size) {
    return plane::subtract(plane::normal({samples::blob(seed, {60, 60}, size)}),
                           plane::normal({samples::blob(seed + 1, {55, 62}, size / 4)}));
}

/// More levels than kManyLevels: none drifts.
TEST(Levels, ManyAreAllTaken) {
    const plane::Shape area = blob_with_hole(7, 40);
    const plane::Box box = bounds(area);
    ASSERT_GE(std::min(box.width(), box.height()), 2 * kManyLevels * 0.8);
    expect_true(area, 0.8, 0.004); // thinned within 2 µm, chords and the diagram within 1 µm
}

/// The two ways give the same levels but for their drift.
RC_GTEST_PROP(Levels, few_and_many_agree_with_offsets_from_the_border, ()) {
    const auto seed = *rc::gen::inRange<std::uint64_t>(0, 1'000'000);
    const double stepover = *rc::gen::element(0.7, 1.1, 4.0);
    expect_true(blob_with_hole(seed, *rc::gen::inRange(20, 40)), stepover, 0.04);
}

} // namespace
} // namespace kerfwright::toolpath
