#include "sound/spectrum.hpp"

#include <kissfft/kissfft.hh>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::sound {
namespace {

using std::numbers::pi;
using Complex = std::complex<double>;

constexpr std::size_t kEnough = 1000; ///< values that a median of the floor needs

/// One-sided power of a real block of even length.
void add_power(const kissfft<double>& fft, const std::vector<double>& block, std::vector<Complex>& bins,
               std::vector<double>& power) {
    fft.transform_real(block.data(), bins.data()); // the value at half the rate stands in the imaginary part of bin 0
    const std::size_t half = bins.size();
    power[0] += bins[0].real() * bins[0].real();
    for (std::size_t i = 1; i < half; ++i)
        power[i] += 2 * std::norm(bins[i]);
}

/// Median over mean of a chi-square variable (Wilson and Hilferty 1931).
double median_share(double freedom) {
    return std::pow(1 - 2 / (9 * freedom), 3);
}

} // namespace

std::size_t PowerDensity::bin(double f) const {
    return static_cast<std::size_t>(std::clamp(std::round(f / step), 0.0, static_cast<double>(power.size() - 1)));
}

PowerDensity welch(const std::vector<double>& samples, double rate, std::size_t length) {
    const kissfft<double> fft(length / 2, false); // transform_real of 2 N values takes an FFT of N
    std::vector<double> window(length), block(length);
    double energy = 0;
    for (std::size_t i = 0; i < length; ++i) {
        window[i] = 0.5 - 0.5 * std::cos(2 * pi * static_cast<double>(i) / static_cast<double>(length));
        energy += window[i] * window[i];
    }
    PowerDensity density{rate / static_cast<double>(length), std::vector<double>(length / 2), 0, 0};
    std::vector<Complex> bins(length / 2);
    for (std::size_t begin = 0; begin + length <= samples.size(); begin += length / 2) {
        double mean = 0;
        for (std::size_t i = 0; i < length; ++i)
            mean += samples[begin + i] / static_cast<double>(length);
        for (std::size_t i = 0; i < length; ++i)
            block[i] = (samples[begin + i] - mean) * window[i];
        add_power(fft, block, bins, density.power);
        ++density.averages;
    }
    for (double& p : density.power)
        p /= rate * energy * density.averages;
    // Overlapping segments are not independent: under a Hann window each shares 1/6 of its power's deviation with its
    // neighbours (Welch 1967).
    const double k = density.averages;
    density.freedom = 2 * k / (1 + 2 * (k - 1) / k / 36);
    return density;
}

PowerDensity periodogram(const std::vector<double>& samples, double rate, std::size_t begin, std::size_t count,
                         std::size_t length) {
    const kissfft<double> fft(length / 2, false);
    std::vector<double> block(length, 0.0);
    for (std::size_t i = 0; i < count && i < length && begin + i < samples.size(); ++i)
        block[i] = samples[begin + i];
    PowerDensity density{rate / static_cast<double>(length), std::vector<double>(length / 2), 1, 2};
    std::vector<Complex> bins(length / 2);
    add_power(fft, block, bins, density.power);
    for (double& p : density.power)
        p /= rate * static_cast<double>(std::max<std::size_t>(1, count));
    return density;
}

std::vector<double> noise_floor(const PowerDensity& density, double share, double least) {
    const std::size_t n = density.power.size();
    std::vector<double> floor(n), around;
    // The floor is smooth: it is taken at every few bins and drawn straight between.
    std::size_t last = 0;
    for (std::size_t i = 0; i < n;) {
        const double reach = std::max(least, share * density.frequency(i));
        const auto bins = static_cast<std::size_t>(reach / density.step) + 2;
        const std::size_t from = i > bins ? i - bins : 0, to = std::min(n, i + bins + 1);
        around.clear();
        for (std::size_t j = from; j < to; j += 1 + (to - from) / kEnough)
            around.push_back(density.power[j]);
        const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
        std::nth_element(around.begin(), middle, around.end());
        floor[i] = *middle / median_share(density.freedom);
        for (std::size_t j = last + 1; j < i; ++j) {
            const double t = static_cast<double>(j - last) / static_cast<double>(i - last);
            floor[j] = floor[last] + t * (floor[i] - floor[last]);
        }
        last = i;
        if (i == n - 1) break;
        i = std::min(n - 1, i + std::max<std::size_t>(1, bins / 8));
    }
    return floor;
}

std::vector<double> high_passed(const std::vector<double>& samples, double rate, double corner) {
    const double k = std::tan(pi * std::min(corner, 0.4 * rate) / rate), q = std::numbers::sqrt2;
    const double norm = 1 / (1 + q * k + k * k);
    const double a1 = 2 * (k * k - 1) * norm, a2 = (1 - q * k + k * k) * norm;
    std::vector<double> out(samples.size());
    const double first = samples.empty() ? 0 : samples.front();
    double x1 = 0, x2 = 0, y1 = 0, y2 = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double x = samples[i] - first, y = norm * (x - 2 * x1 + x2) - a1 * y1 - a2 * y2;
        x2 = x1, x1 = x, y2 = y1, y1 = y;
        out[i] = y;
    }
    return out;
}

std::size_t power_of_two(double n) {
    std::size_t size = 2;
    while (static_cast<double>(size) < n && size < (std::size_t{1} << 30))
        size *= 2;
    return size;
}

} // namespace kerfwright::sound
