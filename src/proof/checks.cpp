#include "checks.hpp"

#include "findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::proof {

using motion::Move;
using motion::MoveKind;

namespace {

constexpr double kSteep = 0.5;        ///< degrees: flatter ways down are never a plunge
constexpr double kResolution = 0.002; ///< mm that rounding may add to a fall in Z
constexpr double kOverload = 1.15;    ///< share of the plan's largest feed
constexpr double kOverloadLength = 5; ///< mm for which it must be passed

bool feeds(const Move& move) {
    return move.kind == MoveKind::line || move.kind == MoveKind::arc;
}

Finding at_place(Finding finding, plane::Vec at) {
    finding.at[0] = at.x;
    finding.at[1] = at.y;
    return finding;
}

} // namespace

double descent_of(const Move& move) {
    const double fall = move.from.z - move.to.z - kResolution;
    if (fall <= 0) return 0;
    const double way = motion::length(move);
    const double drop = move.from.z - move.to.z;
    const double run = std::sqrt(std::max(0.0, way * way - drop * drop));
    return std::atan2(fall, run) * 180 / std::numbers::pi;
}

std::vector<std::uint8_t> moves_to_probe(const Sequence& sequence) {
    std::vector<std::uint8_t> ask(sequence.moves.size());
    for (std::size_t i = 0; i < ask.size(); ++i) {
        const Move& move = sequence.moves[i];
        ask[i] = move.kind == MoveKind::rapid || (feeds(move) && (move.spindle <= 0 || descent_of(move) > kSteep));
    }
    return ask;
}

std::vector<Finding> rapid_findings(const Sequence& sequence, const Removal& removal) {
    std::vector<Finding> findings;
    for (std::size_t i = 0; i < sequence.moves.size(); ++i) {
        const MoveWork& work = removal.moves[i];
        if (sequence.moves[i].kind != MoveKind::rapid || work.hit <= 0) continue;
        Finding finding = at_place(finding_at(sequence, FindingKind::rapid_in_material, i), work.hit_at);
        finding.value = work.hit;
        finding.text = fmt::format("a rapid goes through material that stands {} mm high in its way", mm(work.hit));
        findings.push_back(std::move(finding));
    }
    return findings;
}

std::vector<Finding> stack_findings(const Sequence& sequence, const Removal& removal) {
    std::vector<Finding> findings;
    for (std::size_t i = 0; i < sequence.moves.size(); ++i) {
        const MoveWork& work = removal.moves[i];
        if (work.stack <= 0) continue;
        Finding finding = at_place(finding_at(sequence, FindingKind::holder_contact, i), work.stack_at);
        finding.value = work.stack;
        finding.text =
            fmt::format("the {} goes {} mm into standing stock",
                        sequence.run_of_move(i).stack[static_cast<std::size_t>(work.stack_part)].name, mm(work.stack));
        findings.push_back(std::move(finding));
    }
    return findings;
}

std::vector<Finding> plunge_findings(const Sequence& sequence, const Removal& removal) {
    std::vector<Finding> findings;
    for (std::size_t i = 0; i < sequence.moves.size(); ++i) {
        const Move& move = sequence.moves[i];
        const MoveWork& work = removal.moves[i];
        if (!feeds(move) || work.hit <= 0) continue;
        const shop::Cutter& cutter = sequence.run_of_move(i).cutter;
        const double angle = descent_of(move);
        const bool straight_down = angle > 85;
        const double bound = straight_down && cutter.centre_cutting ? 90 : cutter.max_ramp;
        if (angle <= bound + kSteep) continue;
        Finding finding = finding_at(sequence, FindingKind::plunge, i);
        finding.value = angle;
        finding.bound = bound;
        finding.text =
            straight_down
                ? fmt::format("plunges straight into material with {}, which does not cut at its centre", cutter.name)
                : fmt::format("ramps down at {} degrees; {} stands {}", mm(angle), cutter.name, mm(bound));
        findings.push_back(std::move(finding));
    }
    return findings;
}

namespace {

/// Calls f(first, last) for every unbroken range of a run's moves with the same non-zero state. Moves with state 0 that
/// `bridge` allows do not break a range.
template <class State, class Bridge, class F>
void ranges(const Run& run, State&& state, Bridge&& bridge, F&& f) {
    std::size_t first = run.last_move, last = run.last_move;
    for (std::size_t i = run.first_move; i < run.last_move; ++i) {
        const auto s = state(i);
        if (s != 0 && first != run.last_move && s == state(first)) {
            last = i;
        } else if (s != 0 || !bridge(i)) {
            if (first != run.last_move) f(first, last);
            first = s != 0 ? i : run.last_move;
            last = first;
        }
    }
    if (first != run.last_move) f(first, last);
}

void speed_ranges(const SetupToProve& setup, const Sequence& sequence, const Run& run, std::vector<Finding>& findings) {
    const shop::Spindle& spindle = setup.machine.spindle;
    const double most = std::min(spindle.n_max, run.cutter.n_max);
    const auto out_of_range = [&](std::size_t i) {
        const double n = std::abs(sequence.moves[i].spindle);
        return n > 0 && (n > most + 0.5 || n < spindle.n_min - 0.5) ? n : 0.0;
    };
    const auto turns = [](std::size_t) { return false; };
    ranges(run, out_of_range, turns, [&](std::size_t first, std::size_t) {
        const double n = out_of_range(first);
        Finding finding = finding_at(sequence, FindingKind::speed_range, first);
        finding.value = n;
        finding.bound = n > most ? most : spindle.n_min;
        finding.text =
            n > spindle.n_max ? fmt::format("{:.0f} rev/min; the spindle turns {:.0f} at most", n, spindle.n_max)
            : n < spindle.n_min
                ? fmt::format("{:.0f} rev/min; the spindle turns {:.0f} at least", n, spindle.n_min)
                : fmt::format("{:.0f} rev/min; {} is marked for {:.0f} at most", n, run.cutter.name, run.cutter.n_max);
        findings.push_back(std::move(finding));
    });
}

} // namespace

std::vector<Finding> spindle_findings(const SetupToProve& setup, const Sequence& sequence, const Removal& removal) {
    std::vector<Finding> findings;
    for (const Run& run : sequence.runs) {
        const auto stands = [&](std::size_t i) {
            const Move& move = sequence.moves[i];
            if (!feeds(move) || move.spindle > 0 || removal.moves[i].hit <= 0 || removal.moves[i].volume < kCutting)
                return 0;
            return move.spindle < 0 ? 2 : 1;
        };
        const auto still = [&](std::size_t i) { return sequence.moves[i].spindle <= 0; };
        ranges(run, stands, still, [&](std::size_t first, std::size_t last) {
            Finding finding = finding_at(sequence, FindingKind::spindle_off, first);
            finding.value = sequence.moves[first].spindle;
            finding.text = fmt::format("cuts with the spindle {}, to line {}",
                                       finding.value < 0 ? "turning counter-clockwise" : "standing still",
                                       sequence.moves[last].line);
            findings.push_back(std::move(finding));
        });
        speed_ranges(setup, sequence, run, findings);
    }
    return findings;
}

namespace {

void fast_feeds(const Sequence& sequence, const Removal& removal, const Run& run, std::vector<Finding>& findings) {
    if (run.feed_max <= 0) return;
    const double bound = run.feed_max * kOverload;
    const auto too_fast = [&](std::size_t i) {
        const Move& move = sequence.moves[i];
        return feeds(move) && move.feed > bound && removal.moves[i].volume >= kCutting ? move.feed : 0.0;
    };
    const auto any = [](std::size_t) { return true; };
    ranges(run, too_fast, any, [&](std::size_t first, std::size_t last) {
        double way = 0;
        for (std::size_t i = first; i <= last; ++i)
            way += too_fast(i) > 0 ? motion::length(sequence.moves[i]) : 0;
        if (way <= kOverloadLength) return;
        Finding finding = finding_at(sequence, FindingKind::overload, first);
        finding.value = sequence.moves[first].feed;
        finding.bound = bound;
        finding.text = fmt::format("cuts at {:.0f} mm/min over {} mm, to line {}; the plan's largest feed is {:.0f}",
                                   finding.value, mm(way), sequence.moves[last].line, run.feed_max);
        findings.push_back(std::move(finding));
    });
}

} // namespace

std::vector<Finding> feed_findings(const SetupToProve& setup, const Sequence& sequence, const Removal& removal) {
    static_cast<void>(setup);
    std::vector<Finding> findings;
    for (const Run& run : sequence.runs) {
        const auto missing = [&](std::size_t i) {
            const Move& move = sequence.moves[i];
            return feeds(move) && move.feed <= 0 && move.seconds <= 0 ? 1 : 0;
        };
        const auto any = [](std::size_t) { return true; };
        ranges(run, missing, any, [&](std::size_t first, std::size_t last) {
            Finding finding = finding_at(sequence, FindingKind::no_feed, first);
            finding.text = fmt::format("a feed move without a feed, to line {}", sequence.moves[last].line);
            findings.push_back(std::move(finding));
        });
        fast_feeds(sequence, removal, run, findings);
    }
    return findings;
}

namespace {

FindingKind kind_of(program::Fault::Kind kind) {
    switch (kind) {
    case program::Fault::Kind::arc:
        return FindingKind::arc;
    case program::Fault::Kind::units:
        return FindingKind::units;
    case program::Fault::Kind::no_feed:
        return FindingKind::no_feed;
    case program::Fault::Kind::spindle:
        return FindingKind::spindle_off;
    default:
        return FindingKind::syntax;
    }
}

Finding text_finding(const std::string& file, FindingKind kind, int line, std::string text) {
    Finding finding;
    finding.kind = kind;
    finding.program = file;
    finding.line = line;
    finding.text = std::move(text);
    return finding;
}

/// The first arc, and the first helix, where the machine reads none.
void unknown_arcs(const std::string& file, const program::Reading& reading, const shop::Abilities& abilities,
                  std::vector<Finding>& findings) {
    for (const Move& move : reading.moves) {
        if (move.kind != MoveKind::arc) continue;
        const bool helix = move.normal == motion::Normal::z && move.from.z != move.to.z;
        if (abilities.arcs && (abilities.helical_arcs || !helix)) continue;
        findings.push_back(text_finding(file, FindingKind::arc, move.line,
                                        abilities.arcs ? "the machine does not read helical arcs"
                                                       : "the machine does not read G2 and G3"));
        return;
    }
}

} // namespace

std::vector<Finding> reading_findings(const std::string& file, const program::Reading& reading,
                                      const shop::Machine& machine) {
    using Kind = program::Event::Kind;
    std::vector<Finding> findings;
    for (const program::Fault& fault : reading.faults) {
        findings.push_back(text_finding(file, kind_of(fault.kind), fault.line, fault.text));
        findings.back().column = fault.column;
    }
    for (const program::Event& event : reading.events) {
        const bool inch = event.kind == Kind::units_inch;
        if ((inch || event.kind == Kind::units_mm) && inch != machine.abilities.inches)
            findings.push_back(text_finding(file, FindingKind::units, event.line,
                                            inch ? "G20: inches, but this machine's programs are in millimetres"
                                                 : "G21: millimetres, but this machine's programs are in inches"));
        if (event.kind == Kind::tool_change && !machine.abilities.tool_change)
            findings.push_back(
                text_finding(file, FindingKind::syntax, event.line, "a tool change, and the machine has no changer"));
    }
    unknown_arcs(file, reading, machine.abilities, findings);
    if (!reading.ended)
        findings.push_back(text_finding(file, FindingKind::syntax,
                                        reading.moves.empty() ? 1 : reading.moves.back().line,
                                        "the program does not end with M2 or M30: it may be cut short"));
    return findings;
}

} // namespace kerfwright::proof
