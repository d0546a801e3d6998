// prove: programs from their text, with a plan, a job's setup, or a stock given by hand.

#include "app/commands.hpp"
#include "app/proof_text.hpp"
#include "base/text_table.hpp"
#include "job/foreign.hpp"
#include "job/job_file.hpp"
#include "job/output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace kerfwright::app {
namespace fs = std::filesystem;

std::string clock(double seconds) {
    const auto whole = std::lround(seconds);
    return fmt::format("{}:{:02}:{:02}", whole / 3600, whole % 3600 / 60, whole % 60);
}

std::string findings_text(const job::Proof& proof) {
    TextTable table{{"setup", "program", "line", "finding", "at", "what"}, {}};
    for (const proof::SetupProof& setup : proof.setups)
        for (const proof::Finding& finding : setup.findings)
            table.rows.push_back(
                {setup.name, finding.program,
                 finding.column > 0 ? fmt::format("{}:{}", finding.line, finding.column) : std::to_string(finding.line),
                 to_string(finding.kind),
                 fmt::format("{:.2f}, {:.2f}, {:.2f}", finding.at[0], finding.at[1], finding.at[2]), finding.text});
    if (table.rows.empty()) return "";
    return to_string(table) + "\n";
}

std::string programs_text(const job::Proof& proof) {
    TextTable table{{"setup", "program", "time", "at least", "at most", "cut m", "removed cm3"}, {}};
    for (const proof::SetupProof& setup : proof.setups)
        for (const proof::ProgramProof& program : setup.programs)
            table.rows.push_back({setup.name, program.file, clock(program.time), clock(program.fastest),
                                  clock(program.slowest), fmt::format("{:.2f}", program.cut_length / 1e3),
                                  fmt::format("{:.2f}", program.removed_volume / 1e3)});
    return to_string(table) + "\n";
}

std::string freed_text(const job::Proof& proof) {
    TextTable table{{"setup", "parted", "mm2", "at", "by", "held by"}, {}};
    for (const proof::SetupProof& setup : proof.setups)
        for (const proof::FreedPart& freed : setup.freed) {
            const char* scrap = freed.loose_scrap ? "loose scrap" : "scrap";
            table.rows.push_back({setup.name, freed.id.empty() ? scrap : freed.id, fmt::format("{:.0f}", freed.area),
                                  fmt::format("{:.1f} {:.1f}", freed.at[0], freed.at[1]),
                                  fmt::format("{}:{}", freed.program, freed.line), to_string(freed.held_by)});
        }
    return table.rows.empty() ? "" : to_string(table) + "\n";
}

namespace {

int report_proof(const Console& console, const job::Proof& proof, const std::vector<std::string>& notes = {}) {
    progress_done(console);
    say(console, programs_text(proof));
    say(console, freed_text(proof));
    for (const std::string& note : notes)
        say(console, "note: " + note + "\n");
    say(console, findings_text(proof));
    say(console, fmt::format("verdict: {}\n", proof.proven() ? "proven" : "findings"));
    auto json = nlohmann::ordered_json::parse(job::to_json(proof));
    for (const std::string& note : notes)
        json["notes"].push_back(note);
    print(console, json);
    return proof.proven() ? Exit::done : Exit::findings;
}

Result<std::vector<job::GivenText>> texts_of(const std::vector<std::string>& files) {
    std::vector<job::GivenText> texts;
    for (const std::string& file : files) {
        auto text = job::read_file(file);
        if (!text) return text.problem();
        texts.push_back({file, std::move(text).value()});
    }
    return texts;
}

job::Proof proof_of(const Console& console, const proof::SetupToProve& setup) {
    progress(console, "proof");
    job::Proof proof;
    proof.setups.push_back(proof::prove(setup, {.threads = console.threads}));
    return proof;
}

/// Programs on a stock given by hand.
int prove_foreign(const Console& console, const ProveArguments& arguments) {
    std::vector<std::string> files{arguments.target};
    files.insert(files.end(), arguments.programs.begin(), arguments.programs.end());
    auto texts = texts_of(files);
    if (!texts) return fail(console, texts.problem());
    auto foreign = job::foreign_setup(arguments.foreign, texts.value(), shop::shipped());
    if (!foreign) return fail(console, foreign.problem());
    const job::Proof proof = proof_of(console, foreign.value().setup);
    std::vector<std::string> notes = foreign.value().notes;
    for (const proof::ProgramProof& program : proof.setups.front().programs)
        if (program.removed_volume <= 0)
            notes.push_back(program.file + " removes nothing: check where its zero is (--zero)");
    return report_proof(console, proof, notes);
}

int prove_output(const Console& console, const std::string& folder) {
    auto plan = job::read_output(folder);
    if (!plan) return fail(console, plan.problem());
    progress(console, "proof");
    return report_proof(console, job::prove_plan(plan.value(), console.threads));
}

/// Tools of a job: those of the command line, else the shop's cutters numbered from 1 in the order of the job file.
Result<std::map<int, std::string>> tools_of(const job::Job& job, const std::string& cutters) {
    if (!cutters.empty()) return job::tools_from(cutters, job.library);
    std::map<int, std::string> tools;
    for (const shop::Cutter& cutter : job.cutters)
        tools.emplace(static_cast<int>(tools.size()) + 1, cutter.name);
    return tools;
}

/// The named setup of the job, with the given programs in the place of its own.
Result<proof::SetupToProve> setup_of(const job::Job& job, const job::Plan& plan, const ProveArguments& arguments,
                                     const std::vector<job::GivenText>& texts) {
    const auto& setups = plan.setups;
    const auto planned =
        std::find_if(setups.begin(), setups.end(), [&](const auto& s) { return s.name == arguments.setup; });
    if (planned == setups.end()) {
        std::string names;
        for (const job::PlannedSetup& s : setups)
            names += (names.empty() ? "" : ", ") + s.name;
        return Problem{arguments.target, 0, 0, "there is no setup \"" + arguments.setup + "\"",
                       "name one of " + names + " with --setup"};
    }
    proof::SetupToProve setup = job::setup_to_prove(plan, *planned);
    auto tools = tools_of(job, arguments.foreign.cutters);
    if (!tools) return tools.problem();
    std::vector<std::string> in_order;
    for (const job::PlannedProgram& program : planned->programs)
        in_order.push_back(program.cutter);
    auto programs = job::with_cutters(texts, tools.value(), in_order);
    if (!programs) return programs.problem();
    setup.programs = std::move(programs).value();
    for (const auto& [number, name] : tools.value())
        if (std::none_of(setup.cutters.begin(), setup.cutters.end(),
                         [&cutter = name](const auto& c) { return c.name == cutter; }))
            setup.cutters.push_back(*find_cutter(job.library, name));
    return setup;
}

int prove_setup(const Console& console, const ProveArguments& arguments) {
    auto job = job::load_job(arguments.target);
    if (!job) return fail(console, job.problem());
    if (arguments.programs.empty())
        return fail(console, {arguments.target, 0, 0, "no program is named", "name the program files after the job"});
    auto texts = texts_of(arguments.programs);
    if (!texts) return fail(console, texts.problem());
    auto drawing = job::load_drawing(job.value());
    if (!drawing) return fail(console, drawing.problem());
    auto plan = job::make_plan(job.value(), drawing.value(), {.threads = console.threads});
    if (!plan) return fail(console, plan.problem());
    const auto setup = setup_of(job.value(), plan.value(), arguments, texts.value());
    if (!setup) return fail(console, setup.problem());
    return report_proof(console, proof_of(console, setup.value()));
}

} // namespace

int run_prove(const Console& console, const ProveArguments& arguments) {
    const bool is_job = fs::path(arguments.target).extension() == ".toml";
    if (!arguments.foreign.stock.empty()) {
        if (is_job || !arguments.setup.empty())
            return fail(console, {"--stock", 0, 0, "a job's setup has its own stock", "leave out --stock, or the job"});
        if (arguments.foreign.cutters.empty())
            return fail(console, {"--cutters", 0, 0, "which cutters the programs use is not said",
                                  "write it like \"1=flat-6,2=flat-3\""});
        return prove_foreign(console, arguments);
    }
    if (is_job) return prove_setup(console, arguments);
    std::error_code error;
    if (!arguments.setup.empty() || !arguments.programs.empty() || fs::is_regular_file(arguments.target, error))
        return fail(console, {arguments.target, 0, 0, "a program by itself does not say what it cuts",
                              "give --stock and --cutters, or name a job file and --setup before it"});
    return prove_output(console, arguments.target);
}

} // namespace kerfwright::app
