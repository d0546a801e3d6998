#include "prove.hpp"

#include "checks.hpp"
#include "contact.hpp"
#include "edges.hpp"
#include "findings.hpp"
#include "floors.hpp"
#include "freed.hpp"
#include "loads.hpp"
#include "removal.hpp"
#include "slots.hpp"
#include "timeline.hpp"
#include "zones.hpp"

#include "base/parallel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

namespace kerfwright::proof {

namespace {

constexpr double kScratch = 0.02; ///< mm below the stock's top that is a cut

void add(std::vector<Finding>& to, std::vector<Finding> from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

/// The height field sees a gouge of an edge again, as a depth: only what the edges do not tell is kept.
std::vector<Finding> not_yet_in(const std::vector<Finding>& known, std::vector<Finding> more) {
    std::erase_if(more, [&](const Finding& finding) {
        return std::any_of(known.begin(), known.end(), [&](const Finding& other) {
            return other.kind == finding.kind && other.program == finding.program && same_lines(other, finding);
        });
    });
    return more;
}

/// Rapids that leave their straight line when the machine's axes finish independently.
std::vector<std::uint8_t> boxed_moves(const SetupToProve& setup, const Sequence& sequence) {
    std::vector<std::uint8_t> boxed(sequence.moves.size());
    for (std::size_t i = 0; i < boxed.size() && !setup.straight_rapids; ++i) {
        const motion::Move& move = sequence.moves[i];
        const int axes = (move.from.x != move.to.x) + (move.from.y != move.to.y) + (move.from.z != move.to.z);
        boxed[i] = move.kind == motion::MoveKind::rapid && axes > 1;
    }
    return boxed;
}

std::vector<FreedPart> told(const SetupToProve& setup, const Sequence& sequence, const std::vector<FreePiece>& pieces) {
    std::vector<FreedPart> parts;
    for (const FreePiece& piece : pieces) {
        const Run& run = sequence.run_of_move(piece.move);
        const bool scrap = piece.part == FreePiece::kNoPart;
        const double cutter_area = std::numbers::pi * run.body.radius() * run.body.radius();
        parts.push_back({scrap ? "" : setup.parts[piece.part].id,
                         piece.area,
                         {piece.at.x, piece.at.y},
                         run.file,
                         sequence.moves[piece.move].line,
                         piece.held,
                         scrap && piece.held == HeldBy::nothing && piece.area > cutter_area});
    }
    return parts;
}

void measure_programs(const Sequence& sequence, const Removal& removal, const Timeline& timeline, SetupProof& proof) {
    ProgramProof all;
    for (std::size_t index = 0; index < sequence.runs.size(); ++index) {
        const Run& run = sequence.runs[index];
        if (index == 0 || run.text != sequence.runs[index - 1].text) proof.programs.push_back({run.file});
        ProgramProof program;
        program.time = timeline.run_time[index];
        for (std::size_t i = run.first_move; i < run.last_move; ++i) {
            const motion::Move& move = sequence.moves[i];
            if (move.kind == motion::MoveKind::line || move.kind == motion::MoveKind::arc)
                program.cut_length += motion::length(move);
            program.removed_volume += removal.moves[i].volume;
        }
        for (ProgramProof* sum : {&proof.programs.back(), &all}) {
            sum->time += program.time;
            sum->fastest += timeline.run_bounds[index].fastest;
            sum->slowest += timeline.run_bounds[index].slowest;
            sum->cut_length += program.cut_length;
            sum->removed_volume += program.removed_volume;
        }
    }
    proof.time = all.time;
    proof.fastest = all.fastest;
    proof.slowest = all.slowest;
    proof.cut_length = all.cut_length;
    proof.removed_volume = all.removed_volume;
}

/// What the removal of every move tells: findings, loads, and the programs' measures. The clock and what each move took
/// are needed for nothing else.
std::vector<Finding> findings_of_cutting(const SetupToProve& setup, const Sequence& sequence, const Removal& removal,
                                         SetupProof& proof) {
    const Timeline timeline = timeline_of(sequence, setup.machine);
    measure_programs(sequence, removal, timeline, proof);
    std::vector<Finding> findings = rapid_findings(sequence, removal);
    add(findings, stack_findings(sequence, removal));
    add(findings, plunge_findings(sequence, removal));
    add(findings, spindle_findings(setup, sequence, removal));
    add(findings, feed_findings(setup, sequence, removal));
    proof.loads = loads_along(setup, sequence, removal, timeline);
    add(findings, overload_findings(setup, sequence, proof.loads));
    for (LoadStretch& load : proof.loads)
        load.program = sequence.runs[load.program].text;
    return findings;
}

} // namespace

Run run_for(const SetupToProve& setup, const ProgramText& program) {
    const auto cutter = std::find_if(setup.cutters.begin(), setup.cutters.end(),
                                     [&](const shop::Cutter& c) { return c.name == program.cutter; });
    const shop::Cutter used = cutter != setup.cutters.end() ? *cutter : shop::Cutter{};
    Run run{program.file, used, CutterBody(used), stack_above(used, setup.machine)};
    for (const auto& [name, feed] : setup.feed_max)
        if (name == program.cutter) run.feed_max = std::max(run.feed_max, feed);
    return run;
}

void prove_moves(const SetupToProve& setup, const Sequence& sequence, const ProveOptions& options, SetupProof& proof) {
    const std::vector<Zone> zones = zones_of(setup);
    RemovalTask task;
    task.stock = &setup.stock;
    task.sequence = &sequence;
    task.zones = &zones;
    task.ask_hit = moves_to_probe(sequence);
    task.boxed = boxed_moves(setup, sequence);
    task.cell = options.cell;
    task.threads = options.threads;
    task.by_stretches = setup.material.has_value();
    Removal removal = remove_material(task);
    std::vector<Finding> cut_findings = findings_of_cutting(setup, sequence, removal, proof);
    removal.moves = {}; // let go: the trees of the path take their room
    removal.taken = {};

    const double scratch = setup.stock.top - kScratch;
    const PathTree cutting = path_at_level(sequence, {scratch, setup.stock.top, false, true});
    EdgeProof edges = prove_edges(setup, sequence, cutting, options.threads);
    proof.parts = std::move(edges.parts);
    parallel_for(setup.parts.size(), options.threads, [&](std::size_t i) {
        for (PartProof& part : proof.parts)
            if (part.id == setup.parts[i].id) part.slot = slot_around(setup, setup.parts[i], sequence, cutting);
    });

    std::vector<Finding> findings = std::move(proof.findings);
    add(findings, std::move(edges.findings));
    for (const AskedPart& part : setup.parts)
        add(findings, tab_findings(setup, sequence, cutting, part));
    add(findings, not_yet_in(findings, zone_findings(setup, sequence, zones, removal, cutting)));
    FloorsProof floors = prove_floors(setup, sequence, cutting, options.threads);
    proof.floors = std::move(floors.floors);
    add(findings, not_yet_in(findings, std::move(floors.findings)));
    add(findings, std::move(cut_findings));
    add(findings, clamp_findings(setup, sequence));
    add(findings, table_findings(setup, sequence));
    add(findings, bed_findings(setup, sequence));
    const std::vector<FreePiece> free = free_pieces(setup, sequence, options.threads);
    add(findings, freed_part_findings(setup, sequence, cutting, free));
    proof.freed = told(setup, sequence, free);
    proof.findings = merged(std::move(findings), setup.programs);
}

} // namespace kerfwright::proof
