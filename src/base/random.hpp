#pragma once
// Seeded random numbers that are the same on every machine (the standard distributions are not).

#include <cmath>
#include <cstdint>
#include <numbers>

namespace kerfwright {

/// SplitMix64 (Steele, Lea, Flood 2014): small, fast, and good enough for search and Monte Carlo.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    [[nodiscard]] std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ULL);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
        return z ^ (z >> 31);
    }
    /// Uniform in [0, 1).
    [[nodiscard]] double uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
    /// Uniform in [low, high).
    [[nodiscard]] double uniform(double low, double high) { return low + (high - low) * uniform(); }
    /// Uniform in {0, ..., count - 1}. REQUIRES: count > 0.
    [[nodiscard]] std::uint64_t below(std::uint64_t count) { return next() % count; }
    /// Normal with mean 0 and deviation 1 (Box and Muller 1958).
    [[nodiscard]] double normal() {
        const double radius = std::sqrt(-2 * std::log(1 - uniform()));
        return radius * std::cos(2 * std::numbers::pi * uniform());
    }

  private:
    std::uint64_t state_;
};

} // namespace kerfwright
