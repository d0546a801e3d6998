#include "job/output.hpp"

#include "job/pages.hpp"
#include "papers/papers.hpp"

namespace kerfwright::job {

Result<std::vector<OutputFile>> output_files(const Job& job, const Plan& plan, const Proof& proof) {
    std::vector<OutputFile> files{{"plan.json", to_json(plan)}, {"proof.json", to_json(proof)}};
    for (const PlannedSetup& setup : plan.setups)
        for (const PlannedProgram& program : setup.programs)
            files.push_back({program.file, program.text});
    auto work = papers::write_pdf(work_paper(job, plan, proof));
    if (!work) return work.problem();
    files.push_back({"papers/job.pdf", std::move(work).value()});
    auto quote = papers::write_pdf(quote_paper(job, plan));
    if (!quote) return quote.problem();
    files.push_back({"papers/quote.pdf", std::move(quote).value()});
    for (auto& [name, drawn] : pictures_of(job, plan))
        files.push_back({"pictures/" + name + ".svg", papers::write_svg(drawn)});
    return files;
}

Result<Plan> read_output(const std::filesystem::path& folder) {
    constexpr std::size_t kLargestPlan = 512u << 20;
    const std::filesystem::path file = folder / "plan.json";
    auto text = read_file(file, kLargestPlan);
    if (!text) return text.problem();
    auto plan = plan_from_json(text.value(), file.string());
    if (!plan) return plan;
    for (PlannedSetup& setup : plan.value().setups) {
        for (PlannedProgram& program : setup.programs) {
            auto bytes = read_file(folder / program.file, kLargestPlan);
            if (!bytes) return bytes.problem();
            program.text = std::move(bytes).value();
        }
    }
    return plan;
}

} // namespace kerfwright::job
