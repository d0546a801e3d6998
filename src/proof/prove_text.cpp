#include "checks.hpp"
#include "prove.hpp"

#include "program/read.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace kerfwright::proof {

namespace {

/// Before a program the cutter stands over the zero, clear of stock and clamps.
motion::Vec3 start_of(const SetupToProve& setup) {
    double top = setup.stock.top;
    for (const shop::Clamp& clamp : setup.clamps)
        top = std::max(top, setup.stock.top + clamp.height);
    return {0, 0, top + setup.machine.clearance_height};
}

const shop::Cutter* cutter_of(const SetupToProve& setup, const std::string& name) {
    for (const shop::Cutter& cutter : setup.cutters)
        if (cutter.name == name) return &cutter;
    return nullptr;
}

void note_unknown_cutter(const SetupToProve& setup, const ProgramText& program, int line,
                         std::vector<Finding>& findings) {
    if (cutter_of(setup, program.cutter) != nullptr) return;
    Finding finding;
    finding.program = program.file;
    finding.line = line;
    finding.text = fmt::format("no cutter is named \"{}\": nothing can be said of what it cuts", program.cutter);
    findings.push_back(std::move(finding));
}

/// One run, or one from each change of the cutter to the next.
void append_runs(const SetupToProve& setup, const ProgramText& program, const program::Reading& reading,
                 Sequence& sequence, std::vector<Finding>& findings) {
    ProgramText part = program;
    std::size_t first = 0;
    int line = 1;
    const auto append = [&](std::size_t last) {
        if (last == first && !reading.moves.empty()) return;
        note_unknown_cutter(setup, part, line, findings);
        Run run = run_for(setup, part);
        run.text = static_cast<std::size_t>(&program - setup.programs.data());
        append_run(sequence, std::move(run), std::span(reading.moves).subspan(first, last - first));
        first = last;
    };
    for (const program::Event& event : reading.events) {
        if (event.kind != program::Event::Kind::tool_change || program.tools.empty()) continue;
        if (sequence.runs.size() + 1 >= std::numeric_limits<std::uint16_t>::max()) break;
        const auto tool = program.tools.find(static_cast<int>(event.value));
        append(event.move);
        part.cutter = tool != program.tools.end() ? tool->second : "";
        line = event.line;
    }
    append(reading.moves.size());
}

} // namespace

Sequence sequence_of(const SetupToProve& setup, std::vector<Finding>& findings) {
    Sequence sequence;
    for (const ProgramText& program : setup.programs) {
        if (sequence.runs.size() >= std::numeric_limits<std::uint16_t>::max()) break;
        program::ReadOptions read;
        read.start = start_of(setup);
        read.inches_at_start = setup.machine.abilities.inches;
        read.arc_tolerance_mm = setup.machine.abilities.arc_tolerance;
        if (const shop::Cutter* cutter = cutter_of(setup, program.cutter)) read.cutter_diameter = cutter->DC;
        for (const auto& [number, name] : program.tools)
            if (const shop::Cutter* cutter = cutter_of(setup, name)) read.tools[number].diameter = cutter->DC;
        const program::Reading reading = program::read_program(program.text, read);
        for (Finding& finding : reading_findings(program.file, reading, setup.machine))
            findings.push_back(std::move(finding));
        append_runs(setup, program, reading, sequence, findings);
    }
    return sequence;
}

SetupProof prove(const SetupToProve& setup, const ProveOptions& options) {
    SetupProof proof;
    proof.name = setup.name;
    const Sequence sequence = sequence_of(setup, proof.findings);
    prove_moves(setup, sequence, options, proof);
    return proof;
}

} // namespace kerfwright::proof
