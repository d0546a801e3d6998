// Seeded faults: programs and setups are edited, an independent oracle says which edits do harm, and the proof is
// measured by what it finds of those. The score is printed.

#include "edits.hpp"

#include "base/parallel.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>

using namespace kerfwright;
using faults::Case;

namespace {

constexpr int kPlaces = 40;
constexpr std::uint64_t kSeed = 20240607;

struct Judged {
    bool edited = false;
    oracle::Verdict verdict = oracle::Verdict::unclear;
    std::string why;
    bool found = false;
    bool right_line = false;
    std::string told, program;
};

/// A finding counts for an edited line when it names that line or one just after it; for edits outside the text, any.
bool names_line(const proof::SetupProof& proof, int line, int last) {
    return std::any_of(proof.findings.begin(), proof.findings.end(), [&](const proof::Finding& finding) {
        return line == 0 || (finding.line >= line - 1 && finding.line <= last + 12);
    });
}

Judged judge(const faults::Edit& edit, std::uint64_t seed) {
    Random random(seed);
    Judged judged;
    Case c = faults::any_case(random);
    for (int attempt = 0; attempt < 10 && !judged.edited; ++attempt) {
        c = faults::any_case(random);
        judged.edited = edit.apply(c, random);
    }
    if (!judged.edited) return judged;
    const std::string text = c.job.program.text();
    const oracle::Outcome outcome = oracle::Simulation(c.world).run(text);
    judged.verdict = oracle::verdict(outcome, c.world, &judged.why);
    const proof::SetupProof proof = c.job.prove(1);
    judged.found = !proof.findings.empty();
    judged.right_line = names_line(proof, c.line, c.line + c.more);
    judged.told = fmt::format(
        "line {}: {}\n{}", c.line,
        c.line > 0 && c.line <= static_cast<int>(c.job.program.lines.size()) ? c.job.program.at(c.line) : "",
        kit::told(proof));
    judged.program = text;
    return judged;
}

std::vector<Judged> judge_all(const std::vector<faults::Edit>& edits) {
    std::vector<Judged> all(edits.size() * kPlaces);
    parallel_for(all.size(), 0, [&](std::size_t i) { all[i] = judge(edits[i / kPlaces], kSeed + i * 7919); });
    return all;
}

} // namespace

TEST(Oracle, FindsTheCleanProgramsHarmless) {
    for (const Case& c : {faults::profile_case(), faults::pocket_case(), faults::skin_case()}) {
        std::string why;
        const oracle::Outcome outcome = oracle::Simulation(c.world).run(c.job.program.text());
        EXPECT_EQ(oracle::verdict(outcome, c.world, &why), oracle::Verdict::harmless) << why;
    }
}

TEST(Faults, EveryHarmfulEditIsFound) {
    const std::vector<faults::Edit> edits = faults::harmful_edits();
    const std::vector<Judged> all = judge_all(edits);
    std::string elsewhere; // what was found at other lines only
    int harmful = 0, found = 0, lines = 0, unclear = 0, harmless = 0, alarms = 0;
    std::string table = fmt::format("{:<28} {:>8} {:>6} {:>10} {:>9} {:>7} {:>7}\n", "edit", "harmful", "found",
                                    "right line", "harmless", "alarms", "unclear");
    for (std::size_t e = 0; e < edits.size(); ++e) {
        int h = 0, f = 0, l = 0, u = 0, ok = 0, a = 0;
        for (std::size_t i = e * kPlaces; i < (e + 1) * kPlaces; ++i) {
            const Judged& judged = all[i];
            if (!judged.edited) continue;
            if (judged.verdict == oracle::Verdict::unclear) {
                ++u;
            } else if (judged.verdict == oracle::Verdict::harmful) {
                ++h;
                f += judged.found;
                l += judged.found && judged.right_line;
                if (judged.found && !judged.right_line) elsewhere += edits[e].name + " " + judged.told + judged.program;
                EXPECT_TRUE(judged.found)
                    << edits[e].name << " (" << judged.why << ") " << judged.told << judged.program;
            } else {
                ++ok;
                a += judged.found;
                EXPECT_FALSE(judged.found) << edits[e].name << ": harmless, but " << judged.told << judged.program;
            }
        }
        table += fmt::format("{:<28} {:>8} {:>6} {:>10} {:>9} {:>7} {:>7}\n", edits[e].name, h, f, l, ok, a, u);
        harmful += h, found += f, lines += l, harmless += ok, alarms += a, unclear += u;
    }
    const std::string score =
        fmt::format("proof: {} of {} harmful edits found, {} of them at the right line; {} false alarms in {} harmless "
                    "ones; {} too near a bound for the oracle ({} kinds, {} places each, seed {})\n",
                    found, harmful, lines, alarms, harmless, unclear, edits.size(), kPlaces, kSeed);
    std::fputs((table + score).c_str(), stdout);
    std::ofstream(KERFWRIGHT_BINARY_DIR "/proof-score.txt") << score; // ./dev test prints it
    EXPECT_GE(edits.size(), 25u);
    EXPECT_GT(harmful, 500);
    EXPECT_EQ(lines, found) << elsewhere;
}

TEST(Faults, EditsThatChangeNothingMakeNoFinding) {
    const std::vector<faults::Edit> edits = faults::free_edits();
    const std::vector<Judged> all = judge_all(edits);
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].edited) continue;
        EXPECT_EQ(all[i].verdict, oracle::Verdict::harmless)
            << edits[i / kPlaces].name << " " << all[i].why << all[i].program;
        EXPECT_FALSE(all[i].found) << edits[i / kPlaces].name << ": " << all[i].told << all[i].program;
    }
}
