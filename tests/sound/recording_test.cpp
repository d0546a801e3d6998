#include "sound/recording.hpp"
#include "synthetic.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace kerfwright::sound {
namespace {

std::vector<double> tune(std::size_t count = 2000) {
    std::vector<double> samples;
    for (std::size_t i = 0; i < count; ++i)
        samples.push_back(0.5 * std::sin(0.1 * static_cast<double>(i)) + 0.2 * std::sin(0.37 * static_cast<double>(i)));
    return samples;
}

std::string fault(const std::string& bytes) {
    const auto result = read_recording(bytes, "tap.wav");
    if (result.ok()) return "";
    EXPECT_EQ(result.problem().file, "tap.wav");
    EXPECT_FALSE(result.problem().remedy.empty());
    return result.problem().what;
}

TEST(Recording, EveryUncompressedKindIsRead) {
    const std::vector<double> samples = tune();
    for (const auto& [kind, error] : {std::pair{Samples::u8, 0.012},
                                      {Samples::s16, 1e-4},
                                      {Samples::s24, 1e-6},
                                      {Samples::s32, 1e-8},
                                      {Samples::f32, 1e-6},
                                      {Samples::f64, 1e-12}})
        for (const std::uint32_t rate : {8000u, 22'050u, 44'100u, 48'000u, 96'000u, 192'000u}) {
            const auto read = read_recording(wav({samples}, rate, kind), "a.wav");
            ASSERT_TRUE(read.ok()) << to_string(read.problem());
            EXPECT_EQ(read.value().rate, rate);
            ASSERT_EQ(read.value().samples.size(), samples.size());
            for (std::size_t i = 0; i < samples.size(); ++i)
                ASSERT_NEAR(read.value().samples[i], samples[i], error) << i;
        }
}

TEST(Recording, OfTwoChannelsTheLouderIsTaken) {
    std::vector<double> loud = tune(), faint = loud;
    for (double& s : faint)
        s *= -0.5; // a mean of both would nearly cancel
    const auto read = read_recording(wav({faint, loud}, 44'100, Samples::s16), "a.wav");
    ASSERT_TRUE(read.ok());
    EXPECT_NEAR(read.value().samples[100], loud[100], 1e-4);
}

TEST(Recording, ClippingIsNoticed) {
    std::vector<double> samples = tune(1000);
    for (std::size_t i = 0; i < 50; ++i)
        samples[i] = 1;
    EXPECT_NEAR(read_recording(wav({samples}, 44'100, Samples::s16), "a.wav").value().clipped, 0.05, 1e-9);
}

TEST(Recording, BadFilesSayWhatIsWrong) {
    const std::string good = wav({tune()}, 44'100, Samples::s16);
    EXPECT_NE(fault("").find("no WAV"), std::string::npos);
    EXPECT_NE(fault("ID3 some other music").find("no WAV"), std::string::npos);
    EXPECT_NE(fault("fLaC" + good.substr(4)).find("no WAV"), std::string::npos);
    EXPECT_NE(fault(good.substr(0, 30)), "");
    EXPECT_NE(fault(wav({tune()}, 1000, Samples::s16)).find("too few"), std::string::npos);
    EXPECT_NE(fault(wav({std::vector<double>{}}, 44'100, Samples::s16)), "");
    std::string compressed = good;
    compressed[20] = 7; // µ-law
    compressed[34] = 8;
    EXPECT_NE(fault(compressed).find("compressed"), std::string::npos) << fault(compressed);
    EXPECT_NE(fault(wav(std::vector<std::vector<double>>(9, tune(10)), 44'100, Samples::s16)).find("channels"),
              std::string::npos);
    std::vector<double> nan = tune();
    nan[7] = std::nan("");
    EXPECT_NE(fault(wav({nan}, 44'100, Samples::f32)).find("no numbers"), std::string::npos);
    nan[7] = HUGE_VAL;
    EXPECT_NE(fault(wav({nan}, 44'100, Samples::f64)).find("no numbers"), std::string::npos);
    EXPECT_NE(fault(wav({std::vector<double>(301 * 4000, 0.1)}, 4000, Samples::u8)).find("longer"), std::string::npos);
}

TEST(Recording, AHeaderThatPromisesMoreThanThereIsCostsNothing) {
    std::string bytes = wav({tune()}, 44'100, Samples::s16);
    for (const std::size_t at : {4u, 40u})
        bytes.replace(at, 4, "\xff\xff\xff\x7f");
    const auto read = read_recording(bytes, "a.wav");
    EXPECT_TRUE(!read.ok() || read.value().samples.size() <= 2000);
}

RC_GTEST_PROP(Recording, DamageIsNoCrash, ()) {
    static const std::string good = wav({tune(300), tune(300)}, 44'100, Samples::s24);
    std::string bytes = good;
    for (int i = *rc::gen::inRange(1, 8); i > 0; --i)
        bytes[*rc::gen::inRange<std::size_t>(0, i % 2 == 0 ? 44 : bytes.size())] = *rc::gen::arbitrary<char>();
    bytes.resize(*rc::gen::inRange<std::size_t>(0, bytes.size() + 1));
    const auto read = read_recording(bytes, "a.wav");
    if (!read.ok()) return;
    RC_ASSERT(!read.value().samples.empty());
    for (const double s : read.value().samples)
        RC_ASSERT(std::isfinite(s));
}

} // namespace
} // namespace kerfwright::sound
