#include "job/assembly_stage.hpp"

#include "fit/assembly.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

// What a well-kept gantry router holds (common practice): standard deviations.
constexpr double kCutterRadius = 0.010; // mm, wear and regrinding of one cutter
constexpr double kEdge = 0.010;         // mm, of one part alone: deflection, run-out
constexpr double kScale = 1e-4;         // strain, of one setup: the machine's screws and its squareness
constexpr int kSamples = 400;
constexpr std::uint64_t kSeed = 1;

fit::Errors errors_of(const std::string& cutter, const std::string& setup) {
    fit::Errors errors;
    errors.cutter = cutter;
    errors.cutter_radius_sd = kCutterRadius;
    errors.edge_sd = kEdge;
    errors.setup = setup;
    errors.scale_sd = kScale;
    return errors;
}

} // namespace

Result<Assembly> assembly_stage(const Job& job, const Plan& plan, int threads) {
    std::vector<fit::AssemblyPiece> pieces;
    for (const PlannedPiece& piece : plan.pieces)
        pieces.push_back({piece.id, piece.as_cut, errors_of(piece.cutter, piece.setup)});
    fit::AssemblyWall wall;
    fit::AssemblyOptions options;
    options.samples = kSamples;
    options.seed = kSeed;
    options.threads = threads;
    options.reach = std::max(1.2, 3 * std::max(job.clearance, job.tray_clearance));
    if (plan.has_tray) {
        const auto setup = std::find_if(plan.setups.begin(), plan.setups.end(),
                                        [&](const auto& s) { return s.name == plan.tray.setup; });
        wall = {plan.tray.wall_as_cut, errors_of(setup->programs.back().cutter, setup->name)};
    }
    auto solved = fit::assemble(pieces, wall, options);
    if (!solved) return solved.problem();
    Assembly assembly;
    assembly.slack = solved.value().slack;
    assembly.goes_together = solved.value().goes_together;
    assembly.chance = solved.value().chance;
    assembly.chance_low = solved.value().chance_low;
    assembly.chance_high = solved.value().chance_high;
    assembly.samples = solved.value().samples;
    assembly.seed = solved.value().seed;
    for (const fit::TightSeam& seam : solved.value().tight)
        assembly.tight.push_back(seam.a + " / " + seam.b);
    return assembly;
}

} // namespace kerfwright::job
