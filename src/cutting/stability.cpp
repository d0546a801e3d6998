#include "cutting/stability.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

using Complex = std::complex<double>;
using std::numbers::pi;

constexpr int kMostLobes = 200;
constexpr int kEnvelope = 700; ///< speeds of an envelope that is searched for pockets
constexpr int kEnvelopeScan = 3000;
constexpr int kScan = 6000; ///< frequencies, evenly spaced in the logarithm

/// Directional coefficients, averaged over a revolution.
struct Directions {
    double xx = 0, xy = 0, yx = 0, yy = 0;
};

Directions directions(const MillingSystem& s) {
    const auto at = [kr = s.kr](double p) {
        const double c = std::cos(2 * p), d = std::sin(2 * p);
        return Directions{(c - 2 * kr * p + kr * d) / 2, (-d - 2 * p + kr * c) / 2, (-d + 2 * p + kr * c) / 2,
                          (-c - 2 * kr * p - kr * d) / 2};
    };
    const Directions a = at(s.entry), b = at(s.exit);
    return {b.xx - a.xx, b.xy - a.xy, b.yx - a.yx, b.yy - a.yy};
}

struct Border {
    bool exists = false;
    double depth = 0; ///< mm
    double phase = 0; ///< ε, rad, in (0, 2π)
    Complex root;     ///< Λ: what tells the two solutions apart from one frequency to the next
};

/// The two solutions of the characteristic equation a0 Λ² + a1 Λ + 1 = 0 at one frequency.
std::array<Border, 2> borders(const MillingSystem& s, const Directions& d, double frequency) {
    const Complex x = receptance(s.x, frequency), y = receptance(s.y, frequency);
    const Complex a0 = x * y * (d.xx * d.yy - d.xy * d.yx), a1 = d.xx * x + d.yy * y;
    std::array<Complex, 2> roots{};
    int count = 0;
    if (std::abs(a0) > 1e-12 * std::norm(a1)) {
        const Complex root = std::sqrt(a1 * a1 - 4.0 * a0);
        roots = {-(a1 + root) / (2.0 * a0), -(a1 - root) / (2.0 * a0)};
        count = 2;
    } else if (std::abs(a1) > 0) {
        roots[0] = -1.0 / a1;
        count = 1;
    }
    std::array<Border, 2> found;
    for (int i = 0; i < count; ++i) {
        const Complex root = roots[static_cast<std::size_t>(i)];
        const double kappa = root.imag() / root.real();
        const double depth = -2 * pi * root.real() / (s.teeth * s.ktc * 1e6) * (1 + kappa * kappa) * 1000;
        Border& border = found[static_cast<std::size_t>(i)];
        border.root = root;
        if (!(depth > 0) || !std::isfinite(depth)) continue;
        border = {true, depth, pi - 2 * std::atan(kappa), root};
    }
    return found;
}

double speed_of(const MillingSystem& s, double frequency, double phase, int lobe) {
    return 60 * 2 * pi * frequency / (s.teeth * (phase + 2 * pi * lobe));
}

/// Frequencies from 0.2 of the lowest mode to 4 times the highest.
struct Span {
    double low = 0, high = 0;
    [[nodiscard]] double at(int i, int of = kScan) const {
        return low * std::pow(high / low, static_cast<double>(i) / of);
    }
};

Span span_of(const MillingSystem& s) {
    Span span{1e300, 0};
    for (const Modes* modes : {&s.x, &s.y})
        for (const Mode& mode : *modes) {
            span.low = std::min(span.low, 0.2 * mode.frequency);
            span.high = std::max(span.high, 4 * mode.frequency);
        }
    span.low = std::max(span.low, s.frequency_from);
    return span;
}

/// The solutions in the order of those at the frequency before.
std::array<Border, 2> followed(const std::array<Border, 2>& last, std::array<Border, 2> now) {
    const double straight = std::abs(now[0].root - last[0].root) + std::abs(now[1].root - last[1].root);
    const double crossed = std::abs(now[1].root - last[0].root) + std::abs(now[0].root - last[1].root);
    if (crossed < straight) std::swap(now[0], now[1]);
    return now;
}

Border nearest_to(const Complex& root, const std::array<Border, 2>& both) {
    return std::abs(both[0].root - root) <= std::abs(both[1].root - root) ? both[0] : both[1];
}

/// A solution at a frequency.
struct Sample {
    double frequency = 0;
    Border border;
};

/// The stretch between two samples on which a depth exists; where it begins or ends, depth grows without bound.
std::pair<Sample, Sample> clipped(const MillingSystem& s, const Directions& d, Sample a, Sample b) {
    if (a.border.exists == b.border.exists) return {a, b};
    const bool from_a = a.border.exists;
    Sample inside = from_a ? a : b, outside = from_a ? b : a;
    for (int i = 0; i < 40; ++i) {
        const double mid = (inside.frequency + outside.frequency) / 2;
        const Sample sample{mid, nearest_to(inside.border.root, borders(s, d, mid))};
        (sample.border.exists ? inside : outside) = sample;
    }
    return from_a ? std::pair{a, inside} : std::pair{inside, b};
}

/// Where a stretch of the border has a whole number of waves between teeth at the speed n: 60 f/(N n) = k + ε/2π.
void take_crossings(const MillingSystem& s, const Directions& d, const std::pair<Sample, Sample>& stretch, double n,
                    LobePoint& least) {
    const auto& [a, b] = stretch;
    if (!a.border.exists || !b.border.exists || std::abs(a.border.phase - b.border.phase) > 1) return;
    const auto excess = [&](const Sample& at) {
        return 60 * at.frequency / (s.teeth * n) - at.border.phase / (2 * pi);
    };
    const double from = excess(a), to = excess(b);
    for (double k = std::max(0.0, std::ceil(std::min(from, to))); k <= std::max(from, to) && k < kMostLobes; ++k) {
        const double t = to == from ? 0.5 : (k - from) / (to - from), f = a.frequency + t * (b.frequency - a.frequency);
        const Border at = nearest_to(a.border.root, borders(s, d, f));
        if (at.exists && at.depth < least.depth) least = {n, at.depth, f, static_cast<int>(k)};
    }
}

/// The least depth over all lobes at many speeds at once.
struct Envelope {
    int teeth;
    double low, ratio; ///< the first speed, and that of neighbours
    std::vector<LobePoint> points;

    Envelope(int number_of_teeth, double n_low, double n_high, int count)
        : teeth(number_of_teeth), low(n_low), ratio(std::log(n_high / n_low) / (count - 1)) {
        for (int i = 0; i < count; ++i)
            points.push_back({n_low * std::exp(ratio * i), 1e300, 0, 0});
    }

    /// Each lobe of a stretch of the border lies over a few speeds; depth is drawn straight between the stretch's ends.
    void take(const std::pair<Sample, Sample>& stretch) {
        const auto& [a, b] = stretch;
        if (!a.border.exists || !b.border.exists || std::abs(a.border.phase - b.border.phase) > 1) return;
        for (int k = 0; k < kMostLobes; ++k) {
            const auto speed = [&](const Sample& at) {
                return 60 * 2 * pi * at.frequency / (teeth * (at.border.phase + 2 * pi * k));
            };
            const double n = speed(a), change = speed(b) / n - 1; // small: stretches are short
            if (n * (1 + std::abs(change)) < low) return;         // all further lobes are slower still
            const double from = std::log(n / low) / ratio, to = from + (change - change * change / 2) / ratio;
            const double first = std::max(0.0, std::ceil(std::min(from, to)));
            for (double i = first; i <= std::max(from, to) && i < static_cast<double>(points.size()); ++i) {
                const double t = to == from ? 0.5 : (i - from) / (to - from);
                const double depth = a.border.depth + t * (b.border.depth - a.border.depth);
                LobePoint& point = points[static_cast<std::size_t>(i)];
                if (depth >= point.depth) continue;
                point.depth = depth;
                point.frequency = a.frequency + t * (b.frequency - a.frequency);
                point.lobe = k;
            }
        }
    }
};

} // namespace

Mode mode_of_stiffness(double frequency, double damping, double stiffness, double share) {
    const double omega = 2 * pi * frequency;
    return {frequency, damping, share * omega * omega / stiffness, 0};
}

Mode mode_of_residue(double frequency, double damping, Complex residue) {
    const double omega = 2 * pi * frequency, damped = omega * std::sqrt(1 - damping * damping);
    return {frequency, damping, 2 * (damping * omega * residue.real() - damped * residue.imag()), 2 * residue.real()};
}

Complex receptance(const Modes& modes, double frequency) {
    const Complex s(0, 2 * pi * frequency);
    Complex sum = 0;
    for (const Mode& mode : modes) {
        const double omega = 2 * pi * mode.frequency;
        sum += (mode.a + mode.b * s) / (s * s + 2 * mode.damping * omega * s + omega * omega);
    }
    return sum;
}

LobePoint stability_floor(const MillingSystem& s) {
    const Span span = span_of(s);
    if (span.high <= span.low) return {};
    const Directions d = directions(s);
    LobePoint least{0, 1e300, 0, 0};
    const auto try_at = [&](double frequency) {
        for (const Border& border : borders(s, d, frequency))
            if (border.exists && border.depth < least.depth)
                least = {speed_of(s, frequency, border.phase, 0), border.depth, frequency, 0};
    };
    for (int i = 0; i <= kScan; ++i)
        try_at(span.at(i));
    // Refine around the best of the scan.
    const double ratio = span.at(1) / span.at(0), centre = least.frequency;
    for (int i = -200; i <= 200 && centre > 0; ++i)
        try_at(centre * std::pow(ratio, i / 100.0));
    return centre > 0 ? least : LobePoint{};
}

LobePoint depth_limit(const MillingSystem& s, double n) {
    const Span span = span_of(s);
    if (span.high <= 0 || !(n > 0)) return {n, 0, 0, 0};
    LobePoint least{n, 1e300, 0, 0};
    const Directions d = directions(s);
    double f0 = span.at(0);
    std::array<Border, 2> last = borders(s, d, f0);
    for (int i = 1; i <= kScan; ++i) {
        const double f1 = span.at(i);
        const std::array<Border, 2> now = followed(last, borders(s, d, f1));
        for (std::size_t branch = 0; branch < 2; ++branch)
            take_crossings(s, d, clipped(s, d, {f0, last[branch]}, {f1, now[branch]}), n, least);
        last = now;
        f0 = f1;
    }
    return least;
}

std::vector<LobePoint> lobe_envelope(const MillingSystem& s, double n_low, double n_high, int count) {
    const Span span = span_of(s);
    if (count < 2 || !(n_low > 0) || !(n_high > n_low)) return {};
    Envelope envelope(s.teeth, n_low, n_high, count);
    if (span.high <= span.low) return envelope.points;
    const Directions d = directions(s);
    double f0 = span.at(0, kEnvelopeScan);
    std::array<Border, 2> last = borders(s, d, f0);
    for (int i = 1; i <= kEnvelopeScan; ++i) {
        const double f1 = span.at(i, kEnvelopeScan);
        const std::array<Border, 2> now = followed(last, borders(s, d, f1));
        for (std::size_t branch = 0; branch < 2; ++branch)
            envelope.take(clipped(s, d, {f0, last[branch]}, {f1, now[branch]}));
        last = now;
        f0 = f1;
    }
    return envelope.points;
}

std::vector<LobePoint> quiet_speeds(const MillingSystem& s, double n_low, double n_high, int count) {
    const std::vector<LobePoint> points = lobe_envelope(s, n_low, n_high, kEnvelope);
    std::vector<LobePoint> peaks;
    if (points.empty()) return peaks;
    for (std::size_t i = 1; i + 1 < points.size(); ++i)
        if (points[i].depth >= points[i - 1].depth && points[i].depth > points[i + 1].depth) peaks.push_back(points[i]);
    for (const LobePoint& end : {points.front(), points.back()})
        peaks.push_back(end);
    std::stable_sort(peaks.begin(), peaks.end(),
                     [](const LobePoint& a, const LobePoint& b) { return a.depth > b.depth; });
    std::vector<LobePoint> chosen;
    for (const LobePoint& peak : peaks) {
        const bool apart = std::all_of(chosen.begin(), chosen.end(),
                                       [&](const LobePoint& other) { return std::abs(peak.n / other.n - 1) > 0.03; });
        if (apart && static_cast<int>(chosen.size()) < count) chosen.push_back(peak);
    }
    return chosen;
}

LobePoint turning_floor(const Modes& oriented, double kf) {
    MillingSystem only;
    only.x = oriented;
    const Span span = span_of(only);
    if (span.high <= span.low) return {};
    LobePoint least{0, 1e300, 0, 0};
    double most = 0;
    const auto try_at = [&](double frequency) {
        const double real = receptance(oriented, frequency).real();
        if (real >= most) return;
        most = real;
        least = {60 * frequency / (turning_phase(oriented, frequency) / (2 * pi)), -1 / (2 * kf * 1e6 * real) * 1000,
                 frequency, 0};
    };
    for (int i = 0; i <= kScan; ++i)
        try_at(span.at(i));
    const double ratio = span.at(1) / span.at(0), centre = least.frequency;
    for (int i = -200; i <= 200 && centre > 0; ++i)
        try_at(centre * std::pow(ratio, i / 100.0));
    return centre > 0 ? least : LobePoint{};
}

double turning_phase(const Modes& oriented, double frequency) {
    const Complex g = receptance(oriented, frequency);
    const double psi = std::atan2(g.imag(), g.real()); // in (-π, -π/2) where G < 0
    return 3 * pi + 2 * psi;
}

ChatterSign chatter_sign(double frequency, int teeth, double n) {
    const double passing = teeth * n / 60, waves = frequency / passing, whole = std::floor(waves);
    return {passing, static_cast<int>(std::min(whole, 1e9)), 2 * pi * (waves - whole)};
}

} // namespace kerfwright::cutting
