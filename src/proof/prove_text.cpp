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

void note_unknown_cutter(const SetupToProve& setup, const ProgramText& program, std::vector<Finding>& findings) {
    const bool known = std::any_of(setup.cutters.begin(), setup.cutters.end(),
                                   [&](const shop::Cutter& cutter) { return cutter.name == program.cutter; });
    if (known) return;
    Finding finding;
    finding.program = program.file;
    finding.line = 1;
    finding.text = fmt::format("no cutter is named \"{}\": nothing can be said of what it cuts", program.cutter);
    findings.push_back(std::move(finding));
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
        program::Reading reading = program::read_program(program.text, read);
        note_unknown_cutter(setup, program, findings);
        for (Finding& finding : reading_findings(program.file, reading, setup.machine))
            findings.push_back(std::move(finding));
        append_run(sequence, run_for(setup, program), std::move(reading.moves));
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
