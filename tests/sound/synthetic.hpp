#pragma once
// Recordings made up for tests: taps, cuts, noise, and WAV files of every kind.

#include "sound/recording.hpp"

#include "base/random.hpp"

#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>
#include <vector>

namespace kerfwright::sound {

using std::numbers::pi;

inline Recording silence(double seconds, double rate = 48'000) {
    return {rate, std::vector<double>(static_cast<std::size_t>(seconds * rate), 0.0), 0};
}

/// Free vibration from `at` on: natural frequency, damping ratio.
inline void add_ringing(Recording& r, double at, double frequency, double damping, double amplitude,
                        double phase = 0.7) {
    const double omega = 2 * pi * frequency, ringing = omega * std::sqrt(1 - damping * damping);
    for (auto i = static_cast<std::size_t>(std::ceil(at * r.rate)); i < r.samples.size(); ++i) {
        const double t = static_cast<double>(i) / r.rate - at;
        r.samples[i] += amplitude * std::exp(-damping * omega * t) * std::cos(ringing * t + phase);
    }
}

/// The hammer's contact: a broad knock of a millisecond.
inline void add_knock(Recording& r, double at, double amplitude, Random& random) {
    const auto begin = static_cast<std::size_t>(at * r.rate);
    for (std::size_t i = begin; i < begin + static_cast<std::size_t>(0.001 * r.rate) && i < r.samples.size(); ++i)
        r.samples[i] += amplitude * random.normal() / 2;
}

inline void add_line(Recording& r, double frequency, double amplitude, double phase = 0) {
    for (std::size_t i = 0; i < r.samples.size(); ++i)
        r.samples[i] += amplitude * std::sin(2 * pi * frequency * static_cast<double>(i) / r.rate + phase);
}

inline void add_noise(Recording& r, double rms, Random& random) {
    for (double& s : r.samples)
        s += rms * random.normal();
}

/// Noise that falls with frequency, by a one-pole filter at `corner`.
inline void add_dull_noise(Recording& r, double rms, double corner, Random& random) {
    const double keep = std::exp(-2 * pi * corner / r.rate), gain = std::sqrt(1 - keep * keep);
    double y = 0;
    for (double& s : r.samples) {
        y = keep * y + gain * random.normal();
        s += rms * y;
    }
}

enum class Samples { u8, s16, s24, s32, f32, f64 };

inline void put(std::string& out, std::uint64_t value, int bytes) {
    for (int i = 0; i < bytes; ++i)
        out += static_cast<char>((value >> (8 * i)) & 0xff);
}

/// A WAV file (little-endian, plain header) of some channels of equal length.
inline std::string wav(const std::vector<std::vector<double>>& channels, std::uint32_t rate, Samples kind) {
    const int bytes = kind == Samples::u8    ? 1
                      : kind == Samples::s16 ? 2
                      : kind == Samples::s24 ? 3
                      : kind == Samples::f64 ? 8
                                             : 4;
    std::string data;
    for (std::size_t i = 0; i < channels[0].size(); ++i)
        for (const auto& channel : channels) {
            const double s = channel[i];
            const auto scaled = [&](double full) {
                return static_cast<std::uint64_t>(static_cast<std::int64_t>(std::llround(s * full)));
            };
            if (kind == Samples::u8) put(data, static_cast<std::uint64_t>(128 + std::llround(s * 127)), 1);
            if (kind == Samples::s16) put(data, scaled(32767), 2);
            if (kind == Samples::s24) put(data, scaled(8388607), 3);
            if (kind == Samples::s32) put(data, scaled(2147483647), 4);
            if (kind == Samples::f32) {
                const auto f = static_cast<float>(s);
                data.append(reinterpret_cast<const char*>(&f), 4);
            }
            if (kind == Samples::f64) data.append(reinterpret_cast<const char*>(&s), 8);
        }
    const auto count = static_cast<std::uint32_t>(channels.size());
    const bool floating = kind == Samples::f32 || kind == Samples::f64;
    std::string out = "RIFF";
    put(out, 36 + data.size(), 4);
    out += "WAVEfmt ";
    put(out, 16, 4);
    put(out, floating ? 3 : 1, 2);
    put(out, count, 2);
    put(out, rate, 4);
    put(out, rate * count * static_cast<std::uint32_t>(bytes), 4);
    put(out, count * static_cast<std::uint32_t>(bytes), 2);
    put(out, static_cast<std::uint64_t>(bytes) * 8, 2);
    out += "data";
    put(out, data.size(), 4);
    return out + data;
}

} // namespace kerfwright::sound
