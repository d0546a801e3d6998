#include "sound/tap.hpp"

#include "sound/ringing.hpp"
#include "sound/spectrum.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::sound {
namespace {

constexpr double kCorner = 12;      ///< Hz; slower is the room's and the microphone's
constexpr double kBlock = 0.002;    ///< s, of the envelope
constexpr double kOverNoise = 4;    ///< a tap, over the middle of the envelope
constexpr double kRise = 2.5;       ///< over what went before it
constexpr double kApart = 0.08;     ///< s between taps
constexpr double kContact = 0.0015; ///< s from the loudest block, when the hammer has left
constexpr double kOnset = 0.3;      ///< of the loudest sample: there the hammer has come
constexpr double kLongest = 0.6;    ///< s of ringing that are looked at
constexpr double kShortest = 0.01;  ///< s of ringing that say something
constexpr std::size_t kMostTaps = 8;
constexpr double kSameRing = 0.04; ///< of the frequency: the same ring in two taps
constexpr int kMostRings = 4;

std::vector<double> envelope_of(const std::vector<double>& samples, std::size_t block) {
    std::vector<double> envelope;
    for (std::size_t i = 0; i + block <= samples.size(); i += block) {
        double sum = 0;
        for (std::size_t j = i; j < i + block; ++j)
            sum += samples[j] * samples[j];
        envelope.push_back(std::sqrt(sum / static_cast<double>(block)));
    }
    return envelope;
}

/// Blocks in which a tap is loudest: far above the noise, after a sudden rise, louder than all near it.
std::vector<std::size_t> taps_in(const std::vector<double>& envelope) {
    std::vector<double> sorted = envelope;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    const double loudest = *std::max_element(envelope.begin(), envelope.end());
    const double least = std::max({kOverNoise * *middle, 0.02 * loudest, 1e-7});
    const auto apart = static_cast<std::size_t>(kApart / kBlock);
    std::vector<std::size_t> taps;
    for (std::size_t i = 0; i < envelope.size(); ++i) {
        if (envelope[i] < least) continue;
        const std::size_t from = i > apart ? i - apart : 0, to = std::min(envelope.size(), i + apart + 1);
        bool most = true;
        for (std::size_t j = from; j < to; ++j)
            most = most && (j < i ? envelope[j] < envelope[i] : envelope[j] <= envelope[i]);
        double before = 0;
        for (std::size_t j = from; j + 4 < i; ++j)
            before += envelope[j] / static_cast<double>(i - 4 - from);
        if (most && envelope[i] > kRise * before) taps.push_back(i);
    }
    return taps;
}

/// The sample at which the hammer comes, near the middle of the loudest block.
std::size_t onset_of(const std::vector<double>& samples, std::size_t loudest, std::size_t block) {
    const std::size_t from = loudest > 2 * block ? loudest - 2 * block : 0;
    const std::size_t to = std::min(samples.size(), loudest + block);
    double most = 0;
    for (std::size_t i = from; i < to; ++i)
        most = std::max(most, std::abs(samples[i]));
    for (std::size_t i = from; i < to; ++i)
        if (std::abs(samples[i]) >= kOnset * most) return i;
    return loudest;
}

/// The ringing of one tap, from when the hammer has left and nothing is clipped, to the next tap.
std::vector<double> ringing_of(const Recording& raw, const std::vector<double>& samples, std::size_t loudest,
                               std::size_t next) {
    auto begin = loudest + static_cast<std::size_t>(kContact * raw.rate);
    const auto look = std::min(next, loudest + static_cast<std::size_t>(0.05 * raw.rate));
    for (std::size_t i = begin; i < look; ++i)
        if (std::abs(raw.samples[i]) >= 0.999) begin = i + 1;
    const auto end = std::min({next, samples.size(), begin + static_cast<std::size_t>(kLongest * raw.rate)});
    if (begin >= end) return {};
    return {samples.begin() + static_cast<std::ptrdiff_t>(begin), samples.begin() + static_cast<std::ptrdiff_t>(end)};
}

/// 0.975 quantile of Student's distribution.
double student(std::size_t freedom) {
    constexpr double table[] = {12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36};
    return freedom >= 1 && freedom <= 7 ? table[freedom - 1] : 2.3;
}

struct Estimate {
    double value = 0, error = 0;
};

/// Weighted mean of the taps' values with its 95 % half width: from their own errors, or from their spread where that
/// is larger.
Estimate combined(const std::vector<Estimate>& values) {
    double weights = 0, sum = 0, spread = 0;
    for (const Estimate& v : values) {
        const double weight = 1 / (v.error * v.error);
        weights += weight;
        sum += weight * v.value;
    }
    const double mean = sum / weights, n = static_cast<double>(values.size());
    for (const Estimate& v : values)
        spread += (v.value - mean) * (v.value - mean) / (v.error * v.error);
    double error = 1.96 / std::sqrt(weights);
    // Chi-square beyond two of its deviations: the taps differ by more than noise.
    if (values.size() > 1 && spread > n - 1 + 2 * std::sqrt(2 * (n - 1)))
        error = std::max(error, student(values.size() - 1) * std::sqrt(spread / (n - 1) / weights));
    return {mean, error};
}

/// What the method itself may be off, of the damping: the high-pass rings too for a moment, which tells where a ring
/// dies as fast. Found on synthetic taps.
double method_error(double damping) {
    return 0.01 + 0.6 * damping;
}

Ring ring_of(const std::vector<Decay>& same) {
    std::vector<Estimate> frequencies, dampings;
    Ring ring;
    for (const Decay& d : same) {
        const double natural = d.natural(), omega_n = 2 * std::numbers::pi * natural;
        frequencies.push_back({natural, std::max(d.omega_error / (2 * std::numbers::pi), 1e-9 * natural)});
        dampings.push_back({d.damping(), std::max(d.rate_error / omega_n, 1e-9)});
        ring.amplitude = std::max(ring.amplitude, d.amplitude());
        const double ringing = d.amplitude() * d.amplitude() / (4 * d.rate); // ∫ of the square over time
        const double noise = std::max(1e-300, d.noise / d.rate);             // over one time constant
        ring.snr = std::max(ring.snr, 10 * std::log10(ringing / noise));
    }
    const Estimate f = combined(frequencies), z = combined(dampings);
    ring.frequency = f.value, ring.frequency_error = std::hypot(f.error, method_error(z.value) * z.value * f.value);
    ring.damping = z.value, ring.damping_error = std::hypot(z.error, method_error(z.value) * z.value);
    ring.taps = static_cast<int>(same.size());
    return ring;
}

} // namespace

Result<TapSound> hear_tap(const Recording& recording, const std::string& file, const TapOptions& options) {
    const std::vector<double> samples = high_passed(recording.samples, recording.rate, kCorner);
    const auto block = static_cast<std::size_t>(std::max(8.0, std::round(kBlock * recording.rate)));
    const std::vector<double> envelope = envelope_of(samples, block);
    const Problem unheard{file, 0, 0, "no tap is heard above the noise",
                          "record one to five taps, a second apart, with the microphone near the tip and all else off"};
    if (envelope.size() < 10) return unheard;
    std::vector<std::size_t> taps = taps_in(envelope);
    if (taps.empty()) return unheard;
    TapSound sound;
    sound.taps = static_cast<int>(taps.size());

    // The loudest taps, each up to the next one heard.
    std::vector<std::vector<Decay>> rings;
    std::vector<std::size_t> order(taps.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return envelope[taps[a]] > envelope[taps[b]]; });
    if (order.size() > kMostTaps) order.resize(kMostTaps);
    for (const std::size_t i : order) {
        const std::size_t next = i + 1 < taps.size() ? (taps[i + 1] - 1) * block : samples.size();
        const std::size_t loudest = taps[i] * block + block / 2, onset = onset_of(samples, loudest, block);
        // What dies fast is heard from as early as can be: the contact counted from the hammer's coming.
        for (const std::size_t from : {loudest, std::min(onset, loudest)}) {
            const auto ringing = ringing_of(recording, samples, from, next);
            if (static_cast<double>(ringing.size()) < kShortest * recording.rate) break;
            auto decays = decays_of(ringing, recording.rate, options.frequency_from, options.frequency_to, kMostRings);
            if (decays.empty()) continue;
            rings.push_back(std::move(decays));
            break;
        }
    }
    for (std::size_t first = 0; first < rings.size(); ++first)
        for (const Decay& d : rings[first]) {
            const auto like = [&](double frequency) { return std::abs(frequency / d.natural() - 1) < kSameRing; };
            if (std::any_of(sound.rings.begin(), sound.rings.end(), [&](const Ring& r) { return like(r.frequency); }))
                continue;
            std::vector<Decay> same;
            for (const auto& other : rings)
                for (const Decay& e : other)
                    if (like(e.natural())) {
                        same.push_back(e);
                        break;
                    }
            if (2 * same.size() >= rings.size()) sound.rings.push_back(ring_of(same)); // in half of the taps at least
        }
    std::stable_sort(sound.rings.begin(), sound.rings.end(),
                     [](const Ring& a, const Ring& b) { return a.amplitude > b.amplitude; });
    if (sound.rings.size() > kMostRings) sound.rings.resize(kMostRings);
    if (sound.rings.empty())
        return Problem{file, 0, 0, "what is heard does not ring: no frequency stands out of it as it dies away",
                       "tap the cutter's tip itself, with something hard and light, and let it ring freely"};
    return sound;
}

} // namespace kerfwright::sound
