#include "papers/label_map.hpp"
#include "papers/picture.hpp"
#include "papers/sample.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <map>

namespace kerfwright::papers {
namespace {

using plane::Box;
using plane::Vec;

std::map<std::string, Text> texts(const Picture& picture) {
    std::map<std::string, Text> found;
    for (const Item& item : picture.items)
        if (const Text* text = std::get_if<Text>(&item)) found.emplace(text->text, *text);
    return found;
}

TEST(Picture, TakesTheLargestRoundScale) {
    const auto scale = [](double width, double height) {
        Drawn drawn;
        drawn.frame = {box({0, 0}, {width, height})};
        return compose(drawn, 180, 138).scale_text;
    };
    EXPECT_EQ(scale(10, 5), "10:1");
    EXPECT_EQ(scale(168, 100), "1:1");
    EXPECT_EQ(scale(168.5, 100), "1:2");
    EXPECT_EQ(scale(610, 305), "1:4");
    EXPECT_EQ(scale(400, 280), "1:2.5");
    EXPECT_EQ(scale(2440, 1220), "1:20");
    EXPECT_EQ(scale(20000, 20000), "1:200");
}

TEST(Picture, NeverLargerThanItsRoom) {
    const Picture picture = compose(sample_set(), 180, 138);
    EXPECT_LE(picture.width, 180);
    EXPECT_LE(picture.height, 138);
}

TEST(Picture, LabelsThatFitStandInTheirAreas) {
    const Picture picture = compose(sample_set(), 180, 138);
    const auto found = texts(picture);
    EXPECT_EQ(found.count("dyke-in-gneiss"), 0U);
    EXPECT_EQ(picture.key, (std::vector<std::string>{"1 dyke-in-gneiss", "2 western-reef"}));
    EXPECT_EQ(found.count("1"), 1U);
    EXPECT_EQ(found.count("2"), 1U);
    EXPECT_EQ(found.count("basalt"), 1U);
    EXPECT_TRUE(found.contains("277.2") && found.contains("181.2")); // overall sizes
}

TEST(Picture, ASmallPartOnASheetIsLabelledBesideIt) {
    const Picture picture = compose(sample_setup(), 180, 138);
    EXPECT_TRUE(picture.key.empty());
    EXPECT_TRUE(texts(picture).contains("skerry-small"));
}

TEST(Picture, ALineToALabelCrossesNoOtherArea) {
    // A small area walled in by another one has no way out: it gets a number.
    Drawn drawn;
    plane::Polygon wall = box({100, 100}, {140, 140});
    wall.holes.push_back(plane::reversed(plane::rectangle({115, 115}, {125, 125})));
    drawn.areas.push_back({{wall}, "wall", Fill::lines, false});
    drawn.areas.push_back({{box({117, 117}, {123, 123})}, "walled-in-part", Fill::light, false});
    drawn.frame = {box({0, 0}, {600, 300})};
    EXPECT_EQ(compose(drawn, 180, 138).key, (std::vector<std::string>{"1 walled-in-part"}));
    drawn.areas.erase(drawn.areas.begin());
    EXPECT_TRUE(compose(drawn, 180, 138).key.empty());
}

RC_GTEST_PROP(Picture, LabelsDoNotRunIntoEachOther, (std::uint64_t seed)) {
    Random random(seed);
    Drawn drawn;
    drawn.frame = {box({0, 0}, {600, 300})};
    for (int i = 0; i < 12; ++i)
        drawn.areas.push_back({{blob(random, {60 + (i % 6) * 95.0, 80 + (i / 6) * 140.0}, random.uniform(3, 45))},
                               "part-number-" + std::to_string(i),
                               Fill::lines,
                               false});
    const Picture picture = compose(drawn, 180, 138);
    std::vector<Box> boxes;
    for (const auto& [name, text] : texts(picture)) {
        if (name.rfind("part-number-", 0) != 0) continue;
        const Vec half{0.9 * text_width(name, text.size) / 2, 0.45 * text.size};
        boxes.push_back({text.at - half, text.at + half});
    }
    for (std::size_t a = 0; a < boxes.size(); ++a)
        for (std::size_t b = 0; b < a; ++b)
            RC_ASSERT(!plane::overlap(boxes[a], boxes[b]));
    RC_ASSERT(boxes.size() + picture.key.size() == 12U);
}

TEST(LabelMap, FindsTheNearestRoom) {
    LabelMap map(40, 20);
    map.claim(Box{{10, 5}, {30, 15}}, 7);
    const auto at = map.find(7, {0, 10}, 6, 4);
    ASSERT_TRUE(at);
    EXPECT_NEAR(at->x, 13, 0.5);
    EXPECT_NEAR(at->y, 10, 0.5);
    EXPECT_FALSE(map.find(7, {0, 10}, 21, 4));
    EXPECT_FALSE(map.find(7, {0, 10}, 6, 4, 5));
    map.claim(Box{{10, 5}, {20, 15}}, -1);
    EXPECT_NEAR(map.find(7, {0, 10}, 6, 4)->x, 23, 0.5);
}

TEST(CleanText, MendsWhatIsNoText) {
    EXPECT_EQ(clean_text("Tuff–1 °C 日本 🪵"), "Tuff–1 °C 日本 🪵");
    EXPECT_EQ(clean_text("a\nb\tc\x7f"), "a b c ");
    const std::string bad = "\xEF\xBF\xBD";
    EXPECT_EQ(clean_text("\xff"), bad);
    EXPECT_EQ(clean_text("\xc3"), bad);
    EXPECT_EQ(clean_text("\xc0\xaf"), bad + bad);           // overlong
    EXPECT_EQ(clean_text("\xed\xa0\x80"), bad + bad + bad); // surrogate
    EXPECT_EQ(clean_text("\xf4\x90\x80\x80"), bad + bad + bad + bad);
    EXPECT_EQ(clean_text("\xef\xbf\xbe"), bad); // no character in XML
    EXPECT_EQ(clean_text(std::string("a\0b", 3)), "a b");
}

} // namespace
} // namespace kerfwright::papers
