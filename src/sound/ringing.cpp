#include "sound/ringing.hpp"

#include "sound/spectrum.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace kerfwright::sound {
namespace {

using std::numbers::pi;
using Vector = std::array<double, 4>;
using Matrix = std::array<Vector, 4>;

constexpr double kClear = 6;     ///< a ring's amplitude stands out by so many deviations; noise alone reaches 4.5
constexpr double kOverFloor = 6; ///< a peak of a spectrum worth a fit, over the middle of what is around it
constexpr int kMostFailures = 3;
constexpr double kMostError = 0.4; ///< of the decay: a ring whose damping is less sure is no ring
constexpr double kLeastDamping = 3e-4, kMostDamping = 0.35;
constexpr double kTimeConstants = 5; ///< of ringing that are fitted: later there is only noise
constexpr double kLeastPeriods = 8;
constexpr int kRounds = 3;

/// e^(-decay t) cos ωt and sin ωt at each sample in turn.
class Turning {
  public:
    Turning(const Decay& d, double rate)
        : cosine_(std::exp(-d.rate / rate) * std::cos(d.omega / rate)),
          sine_(std::exp(-d.rate / rate) * std::sin(d.omega / rate)) {}
    void next() {
        const double c = c_ * cosine_ - s_ * sine_;
        s_ = c_ * sine_ + s_ * cosine_;
        c_ = c;
    }
    [[nodiscard]] double c() const { return c_; }
    [[nodiscard]] double s() const { return s_; }

  private:
    double cosine_, sine_, c_ = 1, s_ = 0;
};

/// Solves A x = b by elimination with pivots; false where A is singular.
bool solve(Matrix a, Vector b, Vector& x) {
    for (std::size_t i = 0; i < 4; ++i) {
        std::size_t pivot = i;
        for (std::size_t r = i + 1; r < 4; ++r)
            if (std::abs(a[r][i]) > std::abs(a[pivot][i])) pivot = r;
        if (!(std::abs(a[pivot][i]) > 1e-300)) return false;
        std::swap(a[i], a[pivot]);
        std::swap(b[i], b[pivot]);
        for (std::size_t r = i + 1; r < 4; ++r) {
            const double f = a[r][i] / a[i][i];
            for (std::size_t c = i; c < 4; ++c)
                a[r][c] -= f * a[i][c];
            b[r] -= f * b[i];
        }
    }
    for (std::size_t i = 4; i-- > 0;) {
        double sum = b[i];
        for (std::size_t c = i + 1; c < 4; ++c)
            sum -= a[i][c] * x[c];
        x[i] = sum / a[i][i];
    }
    return true;
}

/// Normal equations of one decay: parameters cosine, sine, rate, omega, the last two in units of `scale`.
struct Normal {
    Matrix a{};
    Vector b{};
    double squares = 0; ///< of what the decay leaves
};

Normal normal_of(const std::vector<double>& samples, std::size_t count, double rate, const Decay& d, double scale) {
    Normal n;
    Turning z(d, rate);
    for (std::size_t i = 0; i < count; ++i, z.next()) {
        const double c = z.c(), s = z.s(), t = static_cast<double>(i) / rate * scale;
        const double model = d.cosine * c + d.sine * s;
        const Vector j{c, s, -t * model, t * (d.sine * c - d.cosine * s)};
        const double left = samples[i] - model;
        n.squares += left * left;
        for (std::size_t r = 0; r < 4; ++r) {
            n.b[r] += j[r] * left;
            for (std::size_t k = r; k < 4; ++k)
                n.a[r][k] += j[r] * j[k];
        }
    }
    for (std::size_t r = 1; r < 4; ++r)
        for (std::size_t k = 0; k < r; ++k)
            n.a[r][k] = n.a[k][r];
    return n;
}

/// The best cosine and sine for a given omega and rate.
void set_amplitudes(const std::vector<double>& samples, std::size_t count, double rate, Decay& d) {
    d.cosine = d.sine = 0;
    const Normal n = normal_of(samples, count, rate, d, 1);
    const double det = n.a[0][0] * n.a[1][1] - n.a[0][1] * n.a[0][1];
    if (!(std::abs(det) > 0)) return;
    d.cosine = (n.b[0] * n.a[1][1] - n.b[1] * n.a[0][1]) / det;
    d.sine = (n.b[1] * n.a[0][0] - n.b[0] * n.a[0][1]) / det;
}

std::size_t length_of(const Decay& d, double rate, std::size_t available) {
    const double seconds = std::max(kTimeConstants / d.rate, kLeastPeriods * 2 * pi / d.omega);
    return std::min(available, static_cast<std::size_t>(seconds * rate) + 1);
}

/// Steps that lower the sum of squares until they no longer matter.
void settle(const std::vector<double>& samples, std::size_t count, double rate, Decay& d) {
    const double scale = d.rate;
    double damp = 1e-3;
    Normal now = normal_of(samples, count, rate, d, scale);
    for (int i = 0; i < 25; ++i) {
        Matrix a = now.a;
        for (std::size_t k = 0; k < 4; ++k)
            a[k][k] *= 1 + damp;
        Vector step{};
        if (!solve(a, now.b, step)) return;
        Decay next = d;
        next.cosine += step[0], next.sine += step[1], next.rate += step[2] * scale, next.omega += step[3] * scale;
        if (!(next.rate > 0) || !(next.omega > 0)) {
            damp *= 10;
            continue;
        }
        const Normal then = normal_of(samples, count, rate, next, scale);
        if (then.squares > now.squares) {
            damp *= 10;
            if (damp > 1e9) return;
            continue;
        }
        const bool settled = now.squares - then.squares <= 1e-9 * now.squares;
        d = next;
        now = then;
        damp = std::max(1e-9, damp / 10);
        if (settled) return;
    }
}

/// Mean square per sample of what is left near a frequency: a tenth of it to both sides, some bins at least.
double noise_near(const std::vector<double>& left, double rate, double frequency) {
    const std::size_t length = power_of_two(static_cast<double>(left.size()));
    const PowerDensity density = periodogram(left, rate, 0, left.size(), length);
    const double reach = std::max(0.1 * frequency, 6 * rate / static_cast<double>(left.size()));
    double sum = 0, bins = 0;
    for (std::size_t i = density.bin(frequency - reach); i <= density.bin(frequency + reach); ++i)
        sum += density.power[i], ++bins;
    // The fit has taken its four parameters' share of the noise: two of the independent bins.
    const double independent = 2 * reach * static_cast<double>(left.size()) / rate;
    return sum / bins * rate / 2 * independent / (independent - 2);
}

void set_errors(const std::vector<double>& samples, std::size_t count, double rate, Decay& d) {
    std::vector<double> left(count);
    Turning z(d, rate);
    for (std::size_t i = 0; i < count; ++i, z.next())
        left[i] = samples[i] - d.cosine * z.c() - d.sine * z.s();
    d.noise = noise_near(left, rate, d.omega / (2 * pi));
    const Normal n = normal_of(samples, count, rate, d, d.rate);
    const auto deviation = [&](std::size_t k) {
        Vector unit{}, column{};
        unit[k] = 1;
        return solve(n.a, unit, column) ? std::sqrt(std::max(0.0, column[k]) * d.noise) : 1e300;
    };
    d.amplitude_error = std::max(deviation(0), deviation(1));
    d.rate_error = deviation(2) * d.rate;
    d.omega_error = deviation(3) * d.rate;
}

bool stands_out(const Decay& d) {
    return d.damping() > kLeastDamping && d.damping() < kMostDamping && d.amplitude() > kClear * d.amplitude_error &&
           d.rate_error < kMostError * d.rate;
}

/// Where the spectrum of the samples stands out most, as a first guess; rate 0 when nowhere. Left out: what lies within
/// 5 % of `failed` frequencies, Hz.
Decay strongest(const std::vector<double>& samples, double rate, double from, double to,
                const std::vector<double>& failed) {
    const std::size_t length = 2 * power_of_two(static_cast<double>(samples.size()));
    const PowerDensity density = periodogram(samples, rate, 0, samples.size(), length);
    const std::vector<double> floor = noise_floor(density, 1, 100);
    std::size_t peak = 0;
    double most = kOverFloor;
    for (std::size_t i = density.bin(from); i <= density.bin(std::min(to, 0.45 * rate)); ++i) {
        if (density.power[i] <= most * floor[i]) continue;
        const double f = density.frequency(i);
        if (std::any_of(failed.begin(), failed.end(), [&](double g) { return std::abs(f / g - 1) < 0.05; })) continue;
        peak = i;
        most = density.power[i] / floor[i];
    }
    Decay guess;
    if (peak == 0) return guess;
    std::size_t low = peak, high = peak;
    while (low > 1 && density.power[low] > density.power[peak] / 2)
        --low;
    while (high + 1 < density.power.size() && density.power[high] > density.power[peak] / 2)
        ++high;
    guess.omega = 2 * pi * density.frequency(peak);
    // Half power is as wide as decay/π; a short stretch makes every line wider than that.
    guess.rate = pi * density.step * static_cast<double>(high - low) / 2;
    guess.rate = std::clamp(guess.rate, 1e-3 * guess.omega, 0.3 * guess.omega);
    return guess;
}

void add(std::vector<double>& samples, double rate, const Decay& d, double sign) {
    Turning z(d, rate);
    for (double& s : samples) {
        s += sign * (d.cosine * z.c() + d.sine * z.s());
        z.next();
    }
}

bool same(const Decay& a, const Decay& b) {
    return std::abs(a.omega - b.omega) < std::max(a.rate, b.rate);
}

} // namespace

double Decay::amplitude() const {
    return std::hypot(cosine, sine);
}
double Decay::natural() const {
    return std::hypot(omega, rate) / (2 * pi);
}
double Decay::damping() const {
    return rate / std::hypot(omega, rate);
}

std::optional<Decay> fitted(const std::vector<double>& samples, double rate, Decay guess) {
    std::size_t count = 0;
    for (int pass = 0; pass < 3; ++pass) { // the window follows the decay
        const std::size_t now = length_of(guess, rate, samples.size());
        if (now < 16) return {};
        if (pass > 0 && std::abs(static_cast<double>(now) / static_cast<double>(count) - 1) < 0.05) break;
        count = now;
        set_amplitudes(samples, count, rate, guess);
        settle(samples, count, rate, guess);
        const double omega = guess.omega;
        if (!std::isfinite(omega) || !std::isfinite(guess.rate) || omega > 0.9 * pi * rate ||
            guess.rate < 0.5 * kLeastDamping * omega || guess.rate > 2 * kMostDamping * omega)
            return {};
    }
    set_errors(samples, count, rate, guess);
    return guess;
}

std::vector<Decay> decays_of(std::vector<double> samples, double rate, double from, double to, int most) {
    std::vector<Decay> found;
    if (samples.size() < 64) return found;
    std::vector<double> failed;
    while (static_cast<int>(found.size()) < most && failed.size() < kMostFailures) {
        const Decay guess = strongest(samples, rate, from, to, failed);
        if (guess.rate <= 0) break;
        const auto decay = fitted(samples, rate, guess);
        const bool again =
            decay && std::any_of(found.begin(), found.end(), [&](const Decay& d) { return same(d, *decay); });
        if (!decay || !stands_out(*decay) || again) {
            failed.push_back(guess.omega / (2 * pi));
            continue;
        }
        found.push_back(*decay);
        add(samples, rate, *decay, -1);
    }
    for (int round = 0; round < kRounds && found.size() > 1; ++round)
        for (Decay& d : found) {
            add(samples, rate, d, 1);
            if (const auto again = fitted(samples, rate, d)) d = *again;
            add(samples, rate, d, -1);
        }
    std::erase_if(found, [&](const Decay& d) {
        const double f = d.omega / (2 * pi);
        return !stands_out(d) || f < from || f > to;
    });
    std::stable_sort(found.begin(), found.end(),
                     [](const Decay& a, const Decay& b) { return a.amplitude() > b.amplitude(); });
    return found;
}

} // namespace kerfwright::sound
