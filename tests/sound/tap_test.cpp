// Taps made up with known frequency and damping, in noise. SNR: the ringing's first amplitude over the noise's RMS.

#include "sound/tap.hpp"
#include "synthetic.hpp"

#include <gtest/gtest.h>

namespace kerfwright::sound {
namespace {

struct Known {
    double frequency, damping, snr; ///< Hz, ratio, dB
    int taps;
    double rate = 24'000;
};

Recording tapped(const Known& k, Random& random) {
    Recording r = silence(0.9 + 0.9 * k.taps, k.rate);
    for (int i = 0; i < k.taps; ++i) {
        const double at = 0.5 + 0.9 * i + random.uniform(0, 0.1), loud = random.uniform(0.3, 0.6);
        add_ringing(r, at, k.frequency, k.damping, loud, random.uniform(0, 2 * pi));
        add_knock(r, at, loud, random);
    }
    add_noise(r, 0.4 * std::pow(10, -k.snr / 20), random);
    return r;
}

/// How often a tap is heard, how far it is off, and how often the truth lies inside the stated interval.
struct Score {
    int heard = 0, wrong = 0, inside_f = 0, inside_z = 0;
    double worst_f = 0, worst_z = 0; ///< relative
};

Score score_of(const Known& k, int trials) {
    Score score;
    for (int i = 0; i < trials; ++i) {
        Random random(static_cast<std::uint64_t>(i) * 7919 + 3);
        Known one = k;
        if (one.frequency == 0) one.frequency = 150 * std::pow(20, random.uniform()); // 150 to 3000 Hz
        if (one.taps == 0) one.taps = 1 + static_cast<int>(random.below(3));
        const auto heard = hear_tap(tapped(one, random), "tap.wav");
        if (!heard.ok()) continue;
        const Ring& ring = heard.value().rings.front();
        if (std::abs(ring.frequency / one.frequency - 1) > 0.04) {
            ++score.wrong;
            continue;
        }
        ++score.heard;
        score.inside_f += std::abs(ring.frequency - one.frequency) <= ring.frequency_error ? 1 : 0;
        score.inside_z += std::abs(ring.damping - one.damping) <= ring.damping_error ? 1 : 0;
        score.worst_f = std::max(score.worst_f, std::abs(ring.frequency / one.frequency - 1));
        score.worst_z = std::max(score.worst_z, std::abs(ring.damping / one.damping - 1));
    }
    return score;
}

TEST(Tap, ACleanTapIsReadExactly) {
    Random random(1);
    const auto heard = hear_tap(tapped({922, 0.011, 50, 3}, random), "tap.wav");
    ASSERT_TRUE(heard.ok());
    EXPECT_EQ(heard.value().taps, 3);
    const Ring& ring = heard.value().rings.front();
    EXPECT_NEAR(ring.frequency, 922, 0.1);
    EXPECT_NEAR(ring.damping, 0.011, 0.0002);
    EXPECT_EQ(ring.taps, 3);
    EXPECT_LT(ring.frequency_error, 1);
    EXPECT_LT(ring.damping_error, 0.0005);
}

// Misses and wrong answers over frequencies from 150 to 3000 Hz and one to three taps.
TEST(Tap, MissesAreRareAndWrongAnswersRarer) {
    constexpr int kTrials = 9;
    for (const double damping : {0.004, 0.012, 0.03, 0.06}) {
        for (const double snr : {25.0, 35.0, 45.0}) {
            const Score s = score_of({0, damping, snr, 0}, kTrials);
            EXPECT_GE(s.heard, kTrials - 1) << damping << " at " << snr << " dB";
            EXPECT_EQ(s.wrong, 0) << damping << " at " << snr << " dB";
            EXPECT_LT(s.worst_f, 0.015) << damping << " at " << snr << " dB";
            EXPECT_LT(s.worst_z, snr > 30 ? 0.2 : 0.35) << damping << " at " << snr << " dB";
        }
    }
    // Heavily damped: it has rung out in three periods.
    const Score dead = score_of({0, 0.12, 40, 3}, kTrials);
    EXPECT_GE(dead.heard, kTrials * 3 / 4);
    EXPECT_LE(dead.wrong, 1);
}

// It has rung out in two milliseconds: heard mostly by listening from when the hammer came, not from the loudest
// moment.
TEST(Tap, WhatDiesFastIsHeardEarly) {
    constexpr int kTrials = 12;
    const Score s = score_of({2100, 0.12, 40, 1}, kTrials);
    EXPECT_GE(s.heard, kTrials - 2);
    EXPECT_EQ(s.wrong, 0);
    EXPECT_GE(s.inside_z, s.heard - 1);
}

TEST(Tap, StatedErrorsHoldTheTruth) {
    int heard = 0, inside_f = 0, inside_z = 0;
    for (const double damping : {0.006, 0.02, 0.05})
        for (const double snr : {22.0, 40.0}) {
            const Score s = score_of({0, damping, snr, 0}, 14);
            heard += s.heard, inside_f += s.inside_f, inside_z += s.inside_z;
        }
    EXPECT_GE(inside_f, 0.88 * heard);
    EXPECT_GE(inside_z, 0.88 * heard);
}

TEST(Tap, MoreNoiseMeansAWiderInterval) {
    Random a(5), b(5);
    const Ring quiet = hear_tap(tapped({700, 0.02, 50, 1}, a), "").value().rings[0];
    const Ring loud = hear_tap(tapped({700, 0.02, 22, 1}, b), "").value().rings[0];
    EXPECT_GT(loud.damping_error, 2 * quiet.damping_error);
    EXPECT_GT(quiet.snr, loud.snr + 10);
}

TEST(Tap, AnySampleRateWillDo) {
    for (const double rate : {8000.0, 16'000.0, 22'050.0, 44'100.0, 96'000.0, 192'000.0}) {
        Random random(9);
        const auto heard = hear_tap(tapped({1240, 0.015, 35, 2, rate}, random), "tap.wav");
        ASSERT_TRUE(heard.ok()) << rate;
        EXPECT_NEAR(heard.value().rings[0].frequency, 1240, 3) << rate;
        EXPECT_NEAR(heard.value().rings[0].damping, 0.015, 0.0015) << rate;
    }
}

TEST(Tap, TwoWaysOfRingingAreToldApart) {
    int both = 0;
    constexpr int kTrials = 20;
    for (int i = 0; i < kTrials; ++i) {
        Random random(static_cast<std::uint64_t>(i) + 5);
        const double f1 = random.uniform(300, 900), f2 = f1 * random.uniform(1.2, 4);
        const double z1 = random.uniform(0.01, 0.05), z2 = random.uniform(0.01, 0.05);
        Recording r = silence(3);
        for (const double at : {0.5, 1.5, 2.3}) {
            add_knock(r, at, 0.3, random);
            add_ringing(r, at, f1, z1, 0.4);
            add_ringing(r, at, f2, z2, 0.25, 1.5);
        }
        add_noise(r, 0.004, random);
        const auto heard = hear_tap(r, "tap.wav");
        if (!heard.ok()) continue;
        const auto found = [&](double f, double z) {
            for (const Ring& ring : heard.value().rings)
                if (std::abs(ring.frequency / f - 1) < 0.01 && std::abs(ring.damping / z - 1) < 0.15) return true;
            return false;
        };
        both += found(f1, z1) && found(f2, z2) ? 1 : 0;
    }
    EXPECT_GE(both, kTrials - 2);
}

TEST(Tap, AClippedBeginningIsLeftOut) {
    Recording r = silence(1.5);
    Random random(3);
    add_ringing(r, 0.5, 640, 0.02, 3.0);
    add_noise(r, 0.003, random);
    for (double& s : r.samples)
        s = std::clamp(s, -1.0, 1.0);
    const auto heard = hear_tap(r, "tap.wav");
    ASSERT_TRUE(heard.ok());
    EXPECT_NEAR(heard.value().rings[0].frequency, 640, 2);
    EXPECT_NEAR(heard.value().rings[0].damping, 0.02, 0.001);
}

// False alarms: what does not ring is not said to.
TEST(Tap, NoiseHumAndKnocksAreNoRinging) {
    for (int i = 0; i < 25; ++i) {
        Random random(static_cast<std::uint64_t>(i) + 77);
        Recording white = silence(2), dull = silence(2), hum = silence(2), knocks = silence(2.5), still = silence(2);
        add_noise(white, 0.1, random);
        add_dull_noise(dull, 0.1, 200, random);
        add_line(hum, 50, 0.3);
        add_line(hum, 150, 0.1);
        add_noise(hum, 0.02, random);
        add_knock(knocks, 0.6, 0.5, random);
        add_knock(knocks, 1.6, 0.5, random);
        add_noise(knocks, 0.01, random);
        for (const Recording* r : {&white, &dull, &hum, &knocks, &still}) {
            const auto heard = hear_tap(*r, "tap.wav");
            EXPECT_FALSE(heard.ok()) << i;
            EXPECT_TRUE(heard.ok() || !heard.problem().remedy.empty());
        }
    }
    EXPECT_FALSE(hear_tap(silence(0.001), "").ok());
    EXPECT_FALSE(hear_tap(Recording{}, "").ok());
}

} // namespace
} // namespace kerfwright::sound
