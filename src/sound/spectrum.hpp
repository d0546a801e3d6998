#pragma once
// Spectra of recordings. Private to sound/.

#include <complex>
#include <cstddef>
#include <vector>

namespace kerfwright::sound {

/// Power at evenly spaced frequencies, one-sided: the sum over all bins times `step` is the mean square.
struct PowerDensity {
    double step = 0;           ///< Hz between bins
    std::vector<double> power; ///< per Hz
    int averages = 0;          ///< segments that were averaged
    double freedom = 0;        ///< degrees of freedom of a bin: power ~ chi-square / freedom
    [[nodiscard]] double frequency(std::size_t bin) const { return step * static_cast<double>(bin); }
    [[nodiscard]] std::size_t bin(double frequency) const; ///< the nearest one, clamped
};

/// Averaged over segments of `length` samples that overlap by half, each under a Hann window (Welch 1967).
/// REQUIRES: `samples` holds at least one segment; `length` is even.
[[nodiscard]] PowerDensity welch(const std::vector<double>& samples, double rate, std::size_t length);

/// |X|² of `count` samples from `begin`, without a window, zero-padded to `length`; per Hz as above.
[[nodiscard]] PowerDensity periodogram(const std::vector<double>& samples, double rate, std::size_t begin,
                                       std::size_t count, std::size_t length);

/// The noise under the lines: a running median over `share` of each frequency to both sides, at least `least` Hz. The
/// median of averaged noise is a little less than its mean; the factor is in.
[[nodiscard]] std::vector<double> noise_floor(const PowerDensity& density, double share, double least);

/// Second-order high-pass (Butterworth), run forwards: free vibrations keep their frequency and damping under it.
[[nodiscard]] std::vector<double> high_passed(const std::vector<double>& samples, double rate, double corner);

/// The smallest power of two that is at least `n`.
[[nodiscard]] std::size_t power_of_two(double n);

} // namespace kerfwright::sound
