#include "base/quantity.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace kerfwright {
namespace {

double read(std::string_view text, Dimension dimension, std::string_view bare = "") {
    const auto result = parse_quantity(text, dimension, bare);
    EXPECT_TRUE(result.ok()) << text << ": " << (result.ok() ? "" : to_string(result.problem()));
    return result.ok() ? result.value() : -1e300;
}

TEST(Quantity, LengthsInTheUnitsOfTheTrade) {
    EXPECT_DOUBLE_EQ(read("6.35 mm", Dimension::length), 6.35);
    EXPECT_DOUBLE_EQ(read("1/4 in", Dimension::length), 6.35);
    EXPECT_DOUBLE_EQ(read("3 1/8 in", Dimension::length), 79.375);
    EXPECT_DOUBLE_EQ(read("-1 1/2\"", Dimension::length), -38.1);
    EXPECT_DOUBLE_EQ(read("0.5", Dimension::length, "in"), 12.7);
    EXPECT_DOUBLE_EQ(read(" +12 ", Dimension::length), 12);
    EXPECT_DOUBLE_EQ(read("250 µm", Dimension::length), 0.25);
}

TEST(Quantity, OtherDimensions) {
    EXPECT_DOUBLE_EQ(read("30 in/min", Dimension::feed), 762);
    EXPECT_DOUBLE_EQ(read("18000 rpm", Dimension::speed), 18000);
    EXPECT_DOUBLE_EQ(read("0.004 in/tooth", Dimension::feed_per_tooth), 0.1016);
    EXPECT_DOUBLE_EQ(read("68 F", Dimension::temperature), 20);
    EXPECT_DOUBLE_EQ(read("40 %", Dimension::ratio), 0.4);
    EXPECT_DOUBLE_EQ(read("1.5 kW", Dimension::power), 1500);
}

TEST(Quantity, WhatIsWrongIsNamed) {
    for (const char* bad :
         {"", "mm", "1/0 in", "6 parsec", "1 2", "nan", "inf mm", "1e999", "6 mm mm", "1//2 in", "0x10"})
        EXPECT_FALSE(parse_quantity(bad, Dimension::length, "mm").ok()) << bad;
    EXPECT_FALSE(parse_quantity("30 mm", Dimension::feed).ok()) << "a length is no feed";
    EXPECT_NE(parse_quantity("6 parsec", Dimension::length).problem().what.find("parsec"), std::string::npos);
}

RC_GTEST_PROP(Quantity, NeverCrashes, (const std::string& text)) {
    (void)parse_quantity(text, Dimension::length, "mm");
}

RC_GTEST_PROP(Quantity, MillimetresComeBackAsTheyWere, ()) {
    const double value = *rc::gen::inRange(-1000000, 1000000) / 1000.0;
    RC_ASSERT(parse_quantity(std::to_string(value) + " mm", Dimension::length).value() == value);
}

} // namespace
} // namespace kerfwright
