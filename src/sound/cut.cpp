#include "sound/cut.hpp"

#include "sound/spectrum.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::sound {
namespace {

constexpr double kLowest = 60, kHighest = 8000; ///< Hz, where tips ring
constexpr double kSag = 0.06, kOver = 0.02;     ///< of the speed set
constexpr int kLeastAverages = 7;
constexpr double kWobble = 0.0015;   ///< of a frequency: a spindle's speed is no steadier
constexpr double kFalseLine = 1e-3;  ///< chance that noise makes a line somewhere in a recording
constexpr double kStandsOut = 10;    ///< dB over the noise
constexpr double kBesideTeeth = -10; ///< dB
constexpr double kShare = 0.01;
constexpr double kHeard = 8;     ///< dB over the noise, of the lines that tell the spindle's rate
constexpr double kMainsTo = 420; ///< Hz
constexpr std::size_t kMostLines = 40;

/// How far averaged noise exceeds its mean in one bin with chance `p`: chi-square by Wilson and Hilferty (1931), the
/// normal quantile by Abramowitz and Stegun 26.2.23.
double noise_quantile(double freedom, double p) {
    const double t = std::sqrt(-2 * std::log(p));
    const double z =
        t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    const double v = 2 / (9 * freedom);
    return std::pow(1 - v + z * std::sqrt(v), 3);
}

struct Spectrum {
    PowerDensity density;
    std::vector<double> floor;
};

/// Segments short enough that many are averaged, long enough that the spindle's multiples lie apart; 0 when there is
/// no such length.
std::size_t segment_length(const Recording& recording, double spindle) {
    const double longest = recording.seconds() / ((kLeastAverages + 1) / 2.0); // s, for the least averages
    const double wanted = std::min(1.5, std::max(0.25, 12 / spindle));         // s: 12 bins between multiples
    std::size_t length = power_of_two(wanted * recording.rate);
    while (static_cast<double>(length) > longest * recording.rate)
        length /= 2;
    const double step = recording.rate / static_cast<double>(length);
    return step <= spindle / 9 && length >= 64 ? length : 0;
}

/// How well the lines fit multiples of a rate: of the teeth, and the first of the spindle.
double comb_score(const std::vector<Line>& lines, double rate, int teeth, double step) {
    double sum = 0;
    for (const Line& line : lines) {
        const double h = std::round(line.frequency / rate);
        if (h < 1 || h > 3 * teeth) continue;
        const bool tooth = static_cast<int>(h) % teeth == 0;
        if (!tooth && h > 1) continue;
        const double off = (line.frequency - h * rate) / (0.5 * step);
        sum += (tooth ? 1 : 0.5) * std::min(40.0, line.above) * std::exp(-off * off);
    }
    return sum;
}

/// The rate that fits the lines near its multiples best, by least squares; ever higher ones as it gets surer.
double refined(const std::vector<Line>& lines, double rate, int teeth, double step) {
    for (const int most : {3 * teeth, 6 * teeth, 12 * teeth}) {
        double sum = 0, squares = 0;
        for (const Line& line : lines) {
            const double h = std::round(line.frequency / rate);
            if (h < 1 || h > most || std::abs(line.frequency - h * rate) > step) continue;
            const double weight = std::min(40.0, line.above);
            sum += weight * h * line.frequency;
            squares += weight * h * h;
        }
        if (squares > 0) rate = sum / squares;
    }
    return rate;
}

/// The spindle's rate near the one that was set.
double heard_rate(const std::vector<Line>& lines, double set, int teeth, double step, bool& heard) {
    double best = set, most = 0;
    const double pace = 0.1 * step / (3 * teeth) / set;
    for (double share = -kSag; share <= kOver; share += pace) {
        const double here = comb_score(lines, set * (1 + share), teeth, step);
        if (here > most) most = here, best = set * (1 + share);
    }
    heard = most >= kHeard;
    return heard ? refined(lines, best, teeth, step) : set;
}

void classify(Line& line, double spindle, int teeth, double step) {
    const double tolerance = std::max(1.2 * step, kWobble * line.frequency);
    const double multiple = std::round(line.frequency / spindle);
    if (multiple >= 1 && std::abs(line.frequency - multiple * spindle) <= tolerance) {
        const int h = static_cast<int>(multiple);
        line.kind = h % teeth == 0 ? Line::Kind::teeth : Line::Kind::spindle;
        line.multiple = h % teeth == 0 ? h / teeth : h;
        return;
    }
    for (const double mains : {50.0, 60.0}) {
        const double h = std::round(line.frequency / mains);
        if (line.frequency > kMainsTo || h < 1 || std::abs(line.frequency - h * mains) > step) continue;
        line.kind = Line::Kind::mains;
        line.multiple = static_cast<int>(h);
    }
}

/// Lines: local maxima that noise does not reach, each with the power of its main lobe.
std::vector<Line> lines_of(const Spectrum& spectrum) {
    const PowerDensity& d = spectrum.density;
    const std::size_t from = d.bin(kLowest / 3), to = d.bin(std::min(kHighest, d.frequency(d.power.size() - 4)));
    const double limit = noise_quantile(d.freedom, kFalseLine / static_cast<double>(to - from + 1));
    std::vector<Line> lines;
    for (std::size_t i = std::max<std::size_t>(from, 3); i <= to; ++i) {
        const double p = d.power[i];
        if (p < limit * spectrum.floor[i] || p < d.power[i - 1] || p <= d.power[i + 1]) continue;
        if (p < d.power[i - 2] || p < d.power[i + 2]) continue; // a side of a stronger one
        const double a = std::log(d.power[i - 1]), b = std::log(p), c = std::log(d.power[i + 1]);
        const double bend = a - 2 * b + c, shift = bend < 0 ? 0.5 * (a - c) / bend : 0;
        Line line;
        line.frequency = d.frequency(i) + shift * d.step;
        for (std::size_t j = i - 2; j <= i + 2; ++j)
            line.power += std::max(0.0, d.power[j] - spectrum.floor[j]) * d.step;
        line.above = 10 * std::log10(p / spectrum.floor[i]);
        lines.push_back(line);
    }
    std::stable_sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) { return a.power > b.power; });
    return lines;
}

double band_power(const PowerDensity& d) {
    double sum = 0;
    for (std::size_t i = d.bin(kLowest); i <= d.bin(kHighest); ++i)
        sum += d.power[i] * d.step;
    return sum;
}

} // namespace

const char* to_string(Line::Kind kind) {
    switch (kind) {
    case Line::Kind::teeth:
        return "teeth";
    case Line::Kind::spindle:
        return "spindle";
    case Line::Kind::mains:
        return "mains";
    case Line::Kind::other:
        return "other";
    }
    return "";
}

Result<CutSound> hear_cut(const Recording& recording, double n, int teeth, const std::string& file) {
    if (!std::isfinite(n) || n < 300 || n > 200'000 || teeth < 1 || teeth > 20)
        return Problem{file, 0, 0, "the speed or the number of teeth cannot be a router's",
                       "give --n between 300 and 200,000 rev/min"};
    const std::size_t length = segment_length(recording, n / 60);
    if (length == 0)
        return Problem{file, 0, 0, fmt::format("{:.1f} s are too short to tell lines apart", recording.seconds()),
                       fmt::format("record {:.0f} s of an even cut", std::max(2.0, std::ceil(8 * 12 / (n / 60))))};
    Spectrum spectrum{welch(recording.samples, recording.rate, length), {}};
    const double total = band_power(spectrum.density);
    if (!(total > 1e-14))
        return Problem{file, 0, 0, "the recording is silent", "record again, the microphone near the cut"};
    spectrum.floor = noise_floor(spectrum.density, 0.08, 12 * spectrum.density.step);
    for (double& f : spectrum.floor)
        f = std::max(f, 1e-9 * total / kHighest); // digital silence between lines
    CutSound sound;
    sound.lines = lines_of(spectrum);
    const double step = spectrum.density.step, spindle = heard_rate(sound.lines, n / 60, teeth, step, sound.n_heard);
    sound.n = spindle * 60;
    for (Line& line : sound.lines)
        classify(line, spindle, teeth, step);
    double forced = 0;
    const Line* loudest = nullptr;
    for (const Line& line : sound.lines) {
        if (line.kind == Line::Kind::teeth || line.kind == Line::Kind::spindle) forced = std::max(forced, line.power);
        if (line.kind == Line::Kind::other && line.frequency >= kLowest && !loudest) loudest = &line;
    }
    if (loudest) {
        sound.frequency = loudest->frequency;
        sound.share = loudest->power / total;
        sound.against_teeth = forced > 0 ? 10 * std::log10(loudest->power / forced) : 100;
        sound.chatter = loudest->above >= kStandsOut && sound.against_teeth >= kBesideTeeth && sound.share >= kShare;
    }
    if (sound.lines.size() > kMostLines) sound.lines.resize(kMostLines);
    return sound;
}

} // namespace kerfwright::sound
