// feeds --tap and --listen: what a microphone says.

#include "sound/cut.hpp"
#include "sound/tap.hpp"

#include "app/feeds.hpp"
#include "base/text_table.hpp"
#include "job/files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::app {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kLinesShown = 10;
constexpr std::size_t kSpeedsShown = 4;

Result<sound::Recording> recording_in(const std::string& file) {
    auto bytes = job::read_file(file, sound::kMostBytes);
    if (!bytes) return bytes.problem();
    return sound::read_recording(bytes.value(), file);
}

std::string clipped_note(const sound::Recording& recording) {
    if (recording.clipped <= 0) return "";
    return fmt::format("note: {:.2g} % of the samples are clipped: record with less gain\n", 100 * recording.clipped);
}

/// A line for the machine file.
std::string mode_line(const FeedsSubject& s, const sound::Ring& ring, double stiffness) {
    return fmt::format("modes = [{{ cutter = \"{}\", LPR = {:g}, frequency = {:.1f}, damping = {:.4f}{} }}]",
                       s.cutter.name, s.cutter.LPR, ring.frequency, ring.damping,
                       stiffness > 0 ? fmt::format(", stiffness = {:g}", stiffness) : std::string());
}

std::string rings_table(const std::vector<sound::Ring>& rings) {
    TextTable table{{"rings at Hz", "+-", "damping %", "+-", "dB over noise", "in taps"}, {}};
    for (const sound::Ring& r : rings)
        table.rows.push_back({fmt::format("{:.1f}", r.frequency), fmt::format("{:.1f}", r.frequency_error),
                              fmt::format("{:.2f}", 100 * r.damping), fmt::format("{:.2f}", 100 * r.damping_error),
                              fmt::format("{:.0f}", r.snr), std::to_string(r.taps)});
    return to_string(table);
}

std::string outlook_text(const cutting::ChatterOutlook& o) {
    std::string text =
        fmt::format("\nNo speed chatters below {:.2f} mm of depth ({} and the cautious side of the force "
                    "range); keep to {:.2f} mm.\n",
                    o.floor.depth, o.stiffness_assumed ? "with the model's stiffness" : "as measured", o.safe_depth);
    if (o.quiet.empty()) return text;
    text += fmt::format("Speeds to try, from {} to {} rev/min:\n\n", plain(o.n_low), plain(o.n_high));
    TextTable table{{"n rev/min", "may cut mm deep", "times the floor"}, {}};
    for (const cutting::LobePoint& p : o.quiet)
        table.rows.push_back({plain(std::round(p.n / 10) * 10), fmt::format("{:.2f}", std::min(p.depth, 999.0)),
                              fmt::format("{:.1f}", std::min(p.depth / o.floor.depth, 999.0))});
    return text + to_string(table) +
           "\nThe theory is true to 13 % at the floor and to 35 % in the pockets: go deeper in steps, and listen.\n";
}

Json outlook_json(const cutting::ChatterOutlook& o) {
    const auto points = [](const std::vector<cutting::LobePoint>& from) {
        Json list = Json::array();
        for (const cutting::LobePoint& p : from)
            list.push_back({{"n", p.n}, {"depth", std::min(p.depth, 1e6)}, {"frequency", p.frequency}});
        return list;
    };
    return {{"floor", o.floor.depth},
            {"safe_depth", o.safe_depth},
            {"stiffness", o.modes.empty() ? 0 : o.modes.front().stiffness},
            {"stiffness_assumed", o.stiffness_assumed},
            {"n_low", o.n_low},
            {"n_high", o.n_high},
            {"speeds_to_try", points(o.quiet)},
            {"lobes", points(o.lobes)}};
}

struct QuietSpeed {
    double n = 0, depth = 0; ///< depth 0: not known
};

/// The nearest speeds that should be quiet: pockets of measured lobes, else where the teeth pass in step with the line.
std::vector<QuietSpeed> nearest_quiet(const cutting::ChatterOutlook& o, double frequency, int teeth, double n) {
    std::vector<QuietSpeed> speeds;
    if (!o.modes.empty() && !o.quiet.empty()) {
        for (const cutting::LobePoint& p : o.quiet)
            speeds.push_back({p.n, std::min(p.depth, 1e6)});
    } else {
        for (const double at : cutting::tuned_speeds(frequency, teeth, o.n_low, o.n_high))
            speeds.push_back({at, 0});
    }
    std::erase_if(speeds, [&](const QuietSpeed& s) { return std::abs(s.n / n - 1) < 0.005; });
    std::stable_sort(speeds.begin(), speeds.end(), [&](const QuietSpeed& a, const QuietSpeed& b) {
        return std::abs(std::log(a.n / n)) < std::abs(std::log(b.n / n));
    });
    if (speeds.size() > kSpeedsShown) speeds.resize(kSpeedsShown);
    return speeds;
}

std::string what_line_is(const sound::Line& line) {
    switch (line.kind) {
    case sound::Line::Kind::teeth:
        return fmt::format("{} x the teeth", line.multiple);
    case sound::Line::Kind::spindle:
        return fmt::format("{} x the spindle: run-out", line.multiple);
    case sound::Line::Kind::mains:
        return "mains hum";
    case sound::Line::Kind::other:
        return "none of the cut's own";
    }
    return "";
}

std::string lines_table(const sound::CutSound& sound) {
    TextTable table{{"line Hz", "dB over noise", "dB to the loudest", "what it is"}, {}};
    for (std::size_t i = 0; i < std::min(kLinesShown, sound.lines.size()); ++i) {
        const sound::Line& line = sound.lines[i];
        table.rows.push_back({fmt::format("{:.1f}", line.frequency), fmt::format("{:.0f}", line.above),
                              fmt::format("{:.0f}", 10 * std::log10(line.power / sound.lines.front().power)),
                              what_line_is(line)});
    }
    return to_string(table);
}

std::string verdict_text(const sound::CutSound& sound, int teeth, const std::vector<QuietSpeed>& quiet) {
    if (sound.frequency <= 0) return "\nNo chatter: every line is the cut's own.\n";
    if (!sound.chatter)
        return fmt::format(
            "\nNo chatter: the strongest line that is not the cut's own, {:.0f} Hz, is {:.0f} dB {} than "
            "the loudest of the cut's.\n",
            sound.frequency, std::abs(sound.against_teeth),
            sound.against_teeth < 0 ? "fainter" : "louder, but lost in the noise,");
    const cutting::ChatterSign sign = cutting::chatter_sign(sound.frequency, teeth, sound.n);
    std::string text = fmt::format(
        "\nChatter at {:.0f} Hz: a strong line that is no multiple of the spindle's rate. The teeth pass at {:.1f} Hz; "
        "each leaves {} waves and {:.0f} degrees for the next.\n",
        sound.frequency, sign.tooth_passing, sign.waves, sign.phase * 180 / std::numbers::pi);
    if (quiet.empty()) return text + "No quieter speed is in reach: cut less deep, or shorten the stick-out.\n";
    text += "Quiet speeds, the nearest first:";
    for (const QuietSpeed& s : quiet)
        text += fmt::format(" {:.0f}{}", std::round(s.n / 10) * 10,
                            s.depth > 0 ? fmt::format(" ({:.2f} mm)", s.depth) : std::string());
    return text + " rev/min. Try 1 to 2 % below each too; else cut less deep, or shorten the stick-out.\n";
}

} // namespace

Result<TapReport> report_tap(FeedsSubject& s, const std::string& file, double stiffness) {
    auto recording = recording_in(file);
    if (!recording) return recording.problem();
    auto heard = sound::hear_tap(recording.value(), file);
    if (!heard) return heard.problem();
    const sound::TapSound& sound = heard.value();
    const sound::Ring& ring = sound.rings.front();
    shop::TipMode mode;
    mode.cutter = s.cutter.name;
    mode.frequency = ring.frequency;
    mode.damping = ring.damping;
    mode.stiffness = stiffness;
    std::erase_if(s.machine.modes, [&](const shop::TipMode& m) { return m.cutter == s.cutter.name; });
    s.machine.modes.push_back(mode);
    const cutting::ChatterOutlook outlook = cutting::chatter_outlook(s.material, s.cutter, s.machine, s.task);

    TapReport report;
    report.text = fmt::format("{}: {} tap{} heard in {:.1f} s\n\n", file, sound.taps, sound.taps == 1 ? "" : "s",
                              recording.value().seconds());
    report.text += rings_table(sound.rings) + "\n+- holds the truth in 95 of 100 cases.\n";
    report.text += clipped_note(recording.value());
    if (sound.taps < 3) report.text += "note: tap three times or more, so that the spread between taps shows\n";
    if (sound.rings.size() > 1)
        report.text += "note: only the strongest ring is used; another one may set the limit at some speeds\n";
    report.text += outlook_text(outlook);
    report.text += fmt::format("\nFor the machine file: {}\n\n", mode_line(s, ring, stiffness));
    Json rings = Json::array();
    for (const sound::Ring& r : sound.rings)
        rings.push_back({{"frequency", r.frequency},
                         {"frequency_error", r.frequency_error},
                         {"damping", r.damping},
                         {"damping_error", r.damping_error},
                         {"snr", r.snr},
                         {"taps", r.taps}});
    report.json = {{"file", file}, {"taps", sound.taps}, {"rings", rings}, {"chatter", outlook_json(outlook)}};
    return report;
}

Result<CutReport> report_cut(const FeedsSubject& s, const std::string& file, double n) {
    auto recording = recording_in(file);
    if (!recording) return recording.problem();
    auto heard = sound::hear_cut(recording.value(), n, s.cutter.ZEFP, file);
    if (!heard) return heard.problem();
    const sound::CutSound& sound = heard.value();
    const cutting::ChatterOutlook outlook = cutting::chatter_outlook(s.material, s.cutter, s.machine, s.task);
    const std::vector<QuietSpeed> quiet =
        sound.chatter ? nearest_quiet(outlook, sound.frequency, s.cutter.ZEFP, sound.n) : std::vector<QuietSpeed>{};

    CutReport report;
    report.chatter = sound.chatter;
    report.text = fmt::format("{}: {:.1f} s, {} teeth, ", file, recording.value().seconds(), s.cutter.ZEFP);
    report.text += sound.n_heard ? fmt::format("{:.0f} rev/min by ear ({:.0f} set)\n\n", sound.n, n)
                                 : fmt::format("{:.0f} rev/min as set: no line tells the speed\n\n", n);
    report.text += lines_table(sound) + clipped_note(recording.value());
    report.text += verdict_text(sound, s.cutter.ZEFP, quiet);
    Json lines = Json::array();
    for (const sound::Line& line : sound.lines)
        lines.push_back({{"frequency", line.frequency},
                         {"above_noise_db", line.above},
                         {"power", line.power},
                         {"kind", to_string(line.kind)},
                         {"multiple", line.multiple}});
    Json speeds = Json::array();
    for (const QuietSpeed& q : quiet) {
        Json speed{{"n", q.n}};
        if (q.depth > 0) speed["depth"] = q.depth;
        speeds.push_back(std::move(speed));
    }
    report.json = {{"file", file},
                   {"n", sound.n},
                   {"n_heard", sound.n_heard},
                   {"chatter", sound.chatter},
                   {"frequency", sound.frequency},
                   {"against_teeth_db", sound.against_teeth},
                   {"quiet_speeds", speeds},
                   {"lines", lines}};
    return report;
}

} // namespace kerfwright::app
