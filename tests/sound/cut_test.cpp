// Cuts made up: tooth and spindle lines, mains hum, dull and white noise, a speed that has sagged, and chatter.

#include "sound/cut.hpp"
#include "synthetic.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace kerfwright::sound {
namespace {

struct Made {
    Recording recording;
    double set = 0, real = 0; ///< rev/min
    int teeth = 2;
    [[nodiscard]] double spindle() const { return real / 60; }
};

Made cut(Random& random, double noise) {
    Made made;
    made.teeth = 1 + static_cast<int>(random.below(3));
    made.set = 3000 * std::pow(8, random.uniform()); // 3000 to 24,000
    made.real = made.set * (1 - random.uniform(0, 0.05));
    made.recording = silence(2.5, random.below(2) == 0 ? 44'100 : 48'000);
    for (int h = 1; h <= 10 * made.teeth && h * made.spindle() < 8000; ++h) {
        const double loud = (h % made.teeth == 0 ? 0.1 : 0.015) / (1 + 0.7 * h / made.teeth) * random.uniform(0.5, 1);
        add_line(made.recording, h * made.spindle(), loud, random.uniform(0, 2 * pi));
    }
    add_dull_noise(made.recording, noise, 1500, random);
    add_noise(made.recording, noise / 10, random);
    add_line(made.recording, 50, 0.02);
    add_line(made.recording, 100, 0.01);
    return made;
}

/// A frequency where a tip may ring, off the spindle's multiples.
double between_lines(const Made& made, Random& random) {
    for (;;) {
        const double f = 400 * std::pow(10, random.uniform()), m = f / made.spindle();
        if (std::abs(m - std::round(m)) * made.spindle() > std::max(8.0, 0.004 * f)) return f;
    }
}

TEST(Cut, FalseAlarmsAndMissesAreRare) {
    constexpr int kTrials = 30;
    int alarms = 0, misses = 0, right = 0, wrong_speed = 0;
    for (int i = 0; i < kTrials; ++i) {
        Random random(static_cast<std::uint64_t>(i) * 31 + 1);
        Made made = cut(random, i % 2 == 0 ? 0.02 : 0.1);
        const auto quiet = hear_cut(made.recording, made.set, made.teeth, "cut.wav");
        ASSERT_TRUE(quiet.ok()) << to_string(quiet.problem());
        alarms += quiet.value().chatter ? 1 : 0;
        wrong_speed += std::abs(quiet.value().n / made.real - 1) > 0.002 ? 1 : 0;
        const double f = between_lines(made, random);
        add_line(made.recording, f, 0.12, 1);
        if (i % 3 != 0) { // chatter is modulated by the teeth
            add_line(made.recording, f + made.teeth * made.spindle(), 0.05, 2);
            if (f > made.teeth * made.spindle() + 100)
                add_line(made.recording, f - made.teeth * made.spindle(), 0.05, 2);
        }
        const auto loud = hear_cut(made.recording, made.set, made.teeth, "cut.wav");
        ASSERT_TRUE(loud.ok());
        misses += loud.value().chatter ? 0 : 1;
        right += std::abs(loud.value().frequency - f) < 3 ? 1 : 0;
    }
    EXPECT_LE(alarms, 0);
    EXPECT_LE(misses, 1);
    EXPECT_GE(right, kTrials - 2);
    EXPECT_LE(wrong_speed, 1);
}

TEST(Cut, NoiseAloneIsNoChatter) {
    for (int i = 0; i < 25; ++i) {
        Random random(static_cast<std::uint64_t>(i) + 400);
        Recording white = silence(2), dull = silence(2);
        add_noise(white, 0.1, random);
        add_dull_noise(dull, 0.1, 800, random);
        for (const Recording* r : {&white, &dull}) {
            const auto heard = hear_cut(*r, 18'000, 2, "cut.wav");
            ASSERT_TRUE(heard.ok());
            EXPECT_FALSE(heard.value().chatter);
        }
    }
}

// The textbook's chatter line: 1448 Hz at 9500 rev/min and two teeth is 4.57 times the teeth's rate.
TEST(Cut, TheTextbooksLine) {
    Random random(2);
    Recording r = silence(2);
    for (int h = 1; h <= 6; ++h)
        add_line(r, h * 9500 / 30.0, 0.08 / h);
    add_noise(r, 0.01, random);
    EXPECT_FALSE(hear_cut(r, 9500, 2, "").value().chatter);
    add_line(r, 1448, 0.1);
    const CutSound heard = hear_cut(r, 9500, 2, "").value();
    EXPECT_TRUE(heard.chatter);
    EXPECT_NEAR(heard.frequency, 1448, 0.5);
    EXPECT_NEAR(heard.n, 9500, 2);
    EXPECT_EQ(heard.lines.front().kind, Line::Kind::other);
    const auto tooth = std::find_if(heard.lines.begin(), heard.lines.end(),
                                    [](const Line& l) { return l.kind == Line::Kind::teeth && l.multiple == 1; });
    ASSERT_NE(tooth, heard.lines.end());
    EXPECT_NEAR(tooth->frequency, 316.67, 0.5);
    EXPECT_NEAR(tooth->power, 0.08 * 0.08 / 2, 0.0003);
}

TEST(Cut, AFaintLineAndMainsHumAreNoChatter) {
    Random random(2);
    Recording r = silence(2);
    add_line(r, 600, 0.3);
    add_line(r, 1450, 0.02);
    for (const double hum : {50.0, 100.0, 150.0, 60.0, 120.0})
        add_line(r, hum, 0.25);
    add_noise(r, 0.01, random);
    const CutSound heard = hear_cut(r, 18'000, 2, "").value();
    EXPECT_FALSE(heard.chatter);
    EXPECT_NEAR(heard.frequency, 1450, 1);
    EXPECT_NEAR(heard.against_teeth, -23.5, 1);
}

TEST(Cut, WhatCannotBeJudgedIsRefused) {
    Recording r = silence(2);
    EXPECT_NE(hear_cut(r, 18'000, 2, "cut.wav").problem().what.find("silent"), std::string::npos);
    Random random(1);
    Recording brief = silence(0.1);
    add_noise(brief, 0.1, random);
    EXPECT_NE(hear_cut(brief, 18'000, 2, "cut.wav").problem().what.find("short"), std::string::npos);
    EXPECT_FALSE(hear_cut(brief, 1500, 2, "cut.wav").ok());
    for (const double n : {0.0, -5.0, 1e9, std::nan("")})
        EXPECT_FALSE(hear_cut(r, n, 2, "").ok());
    EXPECT_FALSE(hear_cut(r, 18'000, 0, "").ok());
    EXPECT_FALSE(hear_cut(Recording{}, 18'000, 2, "").ok());
}

} // namespace
} // namespace kerfwright::sound
