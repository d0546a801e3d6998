#include "toolpath/shapes.hpp"
#include "toolpath/track.hpp"

#include <gtest/gtest.h>

namespace kerfwright::toolpath {
namespace {

using plane::Vec;

/// Two straight sides of 20 mm and two half circles of 5 mm.
Track racetrack() {
    return Track(plane::Path{{{{0, -5}, 0}, {{20, -5}, 1}, {{20, 5}, 0}, {{0, 5}, 1}}, true});
}

TEST(Track, positions_measure_along_lines_and_arcs) {
    const Track track = racetrack();
    EXPECT_NEAR(track.length(), 40 + 10 * std::numbers::pi, 1e-9);
    const Vec tip = track.at(20 + 2.5 * std::numbers::pi);
    EXPECT_NEAR(tip.x, 25, 1e-9);
    EXPECT_NEAR(tip.y, 0, 1e-9);
    EXPECT_NEAR(track.direction(20 + 2.5 * std::numbers::pi).y, 1, 1e-9);
    EXPECT_NEAR(track.at(-1).x, track.at(track.length() - 1).x, 1e-9);
    for (const double s : {0.5, 19.0, 22.0, 30.0, 50.0, 60.0})
        EXPECT_NEAR(track.nearest(track.at(s)), s, 1e-6);
}

TEST(Track, parts_join_and_have_the_length_asked) {
    const Track track = racetrack();
    for (const double from : {0.0, 10.0, 25.0, 70.0}) {
        for (const double way : {0.5, 30.0, 71.4, 200.0}) {
            const auto spans = track.between(from, from + way);
            double length = 0;
            for (std::size_t i = 0; i < spans.size(); ++i) {
                length += spans[i].length;
                EXPECT_TRUE(i == 0 || distance(spans[i - 1].to, spans[i].from) < 1e-9);
            }
            EXPECT_NEAR(length, way, 1e-6);
            EXPECT_LT(distance(spans.front().from, track.at(from)), 1e-9);
            EXPECT_LT(distance(spans.back().to, track.at(from + way)), 1e-6);
        }
    }
}

TEST(Track, higher_of_two_heights_has_their_crossings) {
    const Heights ramp{{0, 5}, {10, 0}};
    const Heights bump{{2, 0}, {6, 4}, {8, 4}, {12, 0}};
    const Heights both = higher_of(ramp, bump, 0, 20);
    for (double s = 0; s <= 20; s += 0.01)
        EXPECT_NEAR(height_at(both, s), std::max(height_at(ramp, s), height_at(bump, s)), 1e-9) << s;
}

TEST(Track, a_ring_no_larger_than_a_few_micrometres_is_still_a_way) {
    const auto track = track_along(samples::circle({5, 5}, 0.002), 0.005);
    ASSERT_TRUE(track);
    EXPECT_LT(track->length(), 0.02);
    EXPECT_LT(distance(track->at(0), {5, 5}), 0.003);
    EXPECT_FALSE(track_along({{0, 0}, {0, 0}, {0, 0}}, 0.005));
}

} // namespace
} // namespace kerfwright::toolpath
