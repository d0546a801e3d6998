#include "cutting/chatter.hpp"

#include "cutting/chatter_bound.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/tool.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::cutting {
namespace {

// The theory's floor is true to about 13 %, its pockets to 35 % and worse (checked against time-domain simulation), and
// a tap's frequency and the spindle's speed are known to a percent or two.
constexpr double kOfFloor = 0.7;
constexpr double kOfPocket = 0.5;
constexpr double kSpeedError = 0.02;
constexpr double kSameStickOut = 0.5; ///< mm
constexpr int kLobePoints = 600;
constexpr int kPockets = 4;

/// Slope of the tangential force over chip thickness, N/mm²: what the waves of the last cut modulate; edge forces they
/// do not. Kienzle's law is taken at the thin end of the chip-load window, where it is steepest.
double slope(const Situation& at) {
    if (at.law.m == 0) return at.law.kt;
    const double h = at.fz_low * mean_chip_ratio(std::min(at.ae, at.cutter->DC), at.cutter->DC);
    return (1 - at.law.m) * at.law.kt * std::pow(std::max(h, 1e-4), -at.law.m);
}

double stick_out(const shop::TipMode& mode, const shop::Cutter& cutter) {
    return mode.LPR > 0 ? mode.LPR : cutter.LPR;
}

/// The mode as it is at the cutter's own stick-out: stiffness by the cantilever's, frequency with its root.
shop::TipMode at_stick_out(shop::TipMode mode, const shop::Cutter& cutter, const shop::Machine& machine) {
    shop::Cutter measured = cutter;
    measured.LPR = stick_out(mode, cutter);
    measured.APMX = std::min(cutter.APMX, measured.LPR);
    const double stiffness = 1 / chain_compliance(cutter, machine);
    if (mode.stiffness <= 0) mode.stiffness = 1 / chain_compliance(measured, machine);
    const double ratio = stiffness * chain_compliance(measured, machine);
    mode.stiffness *= ratio;
    mode.frequency *= std::sqrt(ratio);
    mode.LPR = cutter.LPR;
    return mode;
}

} // namespace

ChatterOutlook outlook_of(const Situation& at) {
    ChatterOutlook outlook;
    for (const shop::TipMode& mode : at.machine->modes) {
        if (mode.cutter != at.cutter->name || at.drilling()) continue;
        outlook.stiffness_assumed = outlook.stiffness_assumed || mode.stiffness <= 0;
        outlook.scaled = outlook.scaled || std::abs(stick_out(mode, *at.cutter) - at.cutter->LPR) > kSameStickOut;
        outlook.modes.push_back(at_stick_out(mode, *at.cutter, *at.machine));
    }
    const SpeedRange range = speed_range(at);
    outlook.n_low = range.low, outlook.n_high = range.high;
    if (outlook.modes.empty()) return outlook;
    MillingSystem& system = outlook.system;
    system.teeth = at.cutter->ZEFP;
    system.ktc = slope(at);
    system.kr = at.law.kr / at.law.kt;
    system.entry = at.cut.entry, system.exit = at.cut.exit;
    for (const shop::TipMode& mode : outlook.modes) {
        const Mode one = mode_of_stiffness(mode.frequency, mode.damping, mode.stiffness * 1000);
        if (mode.x) system.x.push_back(one);
        if (mode.y) system.y.push_back(one);
    }
    outlook.floor = stability_floor(system);
    outlook.safe_depth = kOfFloor * outlook.floor.depth;
    if (range.low < range.high && !outlook.scaled)
        outlook.lobes = lobe_envelope(system, range.low, range.high, kLobePoints);
    return outlook;
}

ChatterBound chatter_bound(const Situation& at) {
    ChatterOutlook outlook = outlook_of(at);
    return {!outlook.modes.empty(), outlook.floor.depth, std::move(outlook.lobes)};
}

double ChatterBound::at(double n, Side side) const {
    if (!known) return 1e300;
    const bool cautious = side == Side::cautious;
    const double everywhere = cautious ? kOfFloor * floor : floor;
    if (lobes.empty() || n < lobes.front().n * (1 - kSpeedError) || n > lobes.back().n * (1 + kSpeedError))
        return everywhere;
    // Speeds are evenly spaced in the logarithm.
    const double last = static_cast<double>(lobes.size() - 1), pace = std::log(lobes.back().n / lobes.front().n) / last;
    const double middle = std::log(n / lobes.front().n) / pace, reach = kSpeedError / pace;
    double least = 1e300;
    for (double i = std::max(0.0, std::floor(middle - reach)); i <= std::min(last, middle + reach + 1); ++i)
        least = std::min(least, lobes[static_cast<std::size_t>(i)].depth);
    return std::max(everywhere, (cautious ? kOfPocket : 1) * least);
}

std::vector<double> ChatterBound::pockets() const {
    std::vector<LobePoint> peaks;
    for (std::size_t i = 1; i + 1 < lobes.size(); ++i)
        if (lobes[i].depth >= lobes[i - 1].depth && lobes[i].depth > lobes[i + 1].depth) peaks.push_back(lobes[i]);
    std::stable_sort(peaks.begin(), peaks.end(), [](const auto& a, const auto& b) { return a.depth > b.depth; });
    std::vector<double> speeds;
    for (const LobePoint& peak : peaks)
        if (speeds.size() < 2 * kPockets) speeds.push_back(peak.n);
    return speeds;
}

std::string chatter_note(const Situation& at) {
    if (!at.chatter.known)
        return fmt::format("chatter is not ruled out: nobody has tapped {} in {}; listen to the first cut, or tap the "
                           "tip (kerfwright feeds --tap)",
                           at.cutter->name, at.machine->name);
    std::string rings;
    for (const shop::TipMode& mode : at.machine->modes)
        if (mode.cutter == at.cutter->name)
            rings += fmt::format("{}{:.0f} Hz", rings.empty() ? "" : ", ", mode.frequency);
    return fmt::format(
        "chatter: the tip rings at {}; no speed chatters below {:.2f} mm, and the plan keeps to {:.0f} % "
        "of that or to half the depth of a pocket{}",
        rings, at.chatter.floor, 100 * kOfFloor,
        at.chatter.lobes.empty() ? " (measured at another stick-out: only the floor is used)" : "");
}

ChatterOutlook chatter_outlook(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine,
                               const Task& task) {
    ChatterOutlook outlook = outlook_of(situation(material, cutter, machine, task, Side::cautious, nullptr));
    if (!outlook.lobes.empty()) outlook.quiet = quiet_speeds(outlook.system, outlook.n_low, outlook.n_high, kPockets);
    return outlook;
}

std::vector<double> tuned_speeds(double frequency, int teeth, double n_low, double n_high) {
    std::vector<double> speeds;
    if (!(frequency > 0) || teeth < 1 || !(n_low > 0)) return speeds;
    for (int j = 1; j <= 200; ++j) {
        const double n = 60 * frequency / (teeth * j);
        if (n < n_low) break;
        if (n <= n_high) speeds.push_back(n);
    }
    return speeds;
}

} // namespace kerfwright::cutting
