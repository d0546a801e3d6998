#include "job/assembly_stage.hpp"

#include "fit/assembly.hpp"
#include "fit/movement.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace kerfwright::job {
namespace {

// What a well-kept gantry router holds (common practice): standard deviations.
constexpr double kCutterRadius = 0.010; // mm, wear and regrinding of one cutter
constexpr double kEdge = 0.010;         // mm, of one part alone: deflection, run-out
constexpr double kScale = 1e-4;         // strain, of one setup: the machine's screws and its squareness
constexpr int kSamples = 400;
constexpr std::uint64_t kSeed = 1;

/// Strains of a sheet of the material that was cut in one climate and lives in another. What is cut in one setup had
/// one air; afterwards all is in one room.
void add_movement(fit::Errors& errors, const shop::Material& material, const std::string& setup, double grain_deg,
                  const fit::ClimateRange& cut, const fit::ClimateRange& lives) {
    const fit::MovementSpread spread = fit::movement_spread_of(material, cut, lives);
    const auto growth = [&](const fit::Movement& m) { return fit::growth_of_grain(m.along, m.across, grain_deg); };
    errors.growth = growth(spread.mean);
    errors.swings = {{"humidity when cutting " + setup, growth(spread.humidity_before)},
                     {"temperature when cutting " + setup, growth(spread.temperature_before)},
                     {"humidity", growth(spread.humidity_after)},
                     {"temperature", growth(spread.temperature_after)}};
}

const PlannedSetup& setup_named(const Plan& plan, const std::string& name) {
    return *std::find_if(plan.setups.begin(), plan.setups.end(), [&](const auto& s) { return s.name == name; });
}

/// Errors of a body that was cut with `cutter` in `setup`; `placement` turns it from the drawing's frame to the
/// sheet's.
fit::Errors errors_of(const Job& job, const PlannedSetup& setup, const std::string& cutter,
                      const plane::Placement& placement, const fit::ClimateRange& lives) {
    fit::Errors errors;
    errors.cutter = cutter;
    errors.cutter_radius_sd = kCutterRadius;
    errors.edge_sd = kEdge;
    errors.setup = setup.name;
    errors.scale_sd = kScale;
    add_movement(errors, *find_material(job.library, setup.sheet.material), setup.name,
                 setup.sheet.grain_deg - placement.angle_deg, job.climate.shop, lives);
    return errors;
}

struct Bodies {
    std::vector<fit::AssemblyPiece> pieces;
    fit::AssemblyWall wall;
};

/// The as-cut outlines with `coating` on the edges of the pieces.
Bodies bodies_of(const Plan& plan, double coating) {
    Bodies bodies;
    for (const PlannedPiece& piece : plan.pieces) {
        const plane::Polygon coated =
            coating > 0 ? plane::largest(plane::offset({piece.as_cut}, coating, {0.0005})) : piece.as_cut;
        bodies.pieces.push_back({piece.id, coated, {}});
    }
    if (plan.has_tray) bodies.wall.as_cut = plan.tray.wall_as_cut;
    return bodies;
}

/// The rings of a proof, which are in program coordinates, in the drawing's frame.
plane::Shape as_drawn(const proof::PartProof& part, const plane::Placement& placement) {
    const plane::Shape shape = plane::normal(part.as_cut, plane::FillRule::even_odd);
    return plane::placed(plane::placed(shape, {-placement.x, -placement.y, 0}), {0, 0, -placement.angle_deg});
}

/// Gaps up to three times of what was asked for are looked at.
fit::AssemblyOptions options_for(const Plan& plan, int threads) {
    fit::AssemblyOptions options;
    for (const PlannedSeam& seam : plan.seams)
        options.reach = std::max(options.reach, 3 * seam.asked);
    options.threads = threads;
    return options;
}

} // namespace

Result<Assembly> assembly_stage(const Job& job, const Plan& plan, int threads) {
    Bodies bodies = bodies_of(plan, job.climate.coating);
    fit::AssemblyOptions options = options_for(plan, threads);
    options.samples = kSamples;
    options.seed = kSeed; // the same draws of all that is not climate
    const auto solved_in = [&](const fit::ClimateRange& lives) {
        for (std::size_t i = 0; i < plan.pieces.size(); ++i) {
            const PlannedPiece& piece = plan.pieces[i];
            bodies.pieces[i].errors =
                errors_of(job, setup_named(plan, piece.setup), piece.cutter, piece.placement, lives);
        }
        if (plan.has_tray) {
            const PlannedSetup& setup = setup_named(plan, plan.tray.setup);
            bodies.wall.errors = errors_of(job, setup, setup.programs.back().cutter, plan.tray.placement, lives);
        }
        return fit::assemble(bodies.pieces, bodies.wall, options);
    };
    const auto chance = [](const fit::Assembly& a) { return Chance{a.chance, a.chance_low, a.chance_high}; };
    auto solved = solved_in(job.climate.shop);
    if (!solved) return solved.problem();
    auto away = solved_in(job.climate.customer);
    if (!away) return away.problem();
    Assembly assembly;
    assembly.slack = solved.value().slack;
    assembly.goes_together = solved.value().goes_together;
    assembly.shop = chance(solved.value());
    assembly.customer = chance(away.value());
    assembly.samples = solved.value().samples;
    assembly.seed = solved.value().seed;
    assembly.coating = job.climate.coating;
    for (const fit::TightSeam& seam : solved.value().tight)
        assembly.tight.push_back(seam.a + " / " + seam.b);
    return assembly;
}

void check_assembly(Proof& proof, Plan plan, int threads) {
    if (plan.assembly.samples == 0) return; // a piece alone, or a coupon
    std::map<std::string, const proof::PartProof*> proven;
    for (const proof::SetupProof& setup : proof.setups)
        for (const proof::PartProof& part : setup.parts)
            if (!part.as_cut.empty()) proven.emplace(part.id, &part);
    for (PlannedPiece& piece : plan.pieces) {
        const auto part = proven.find(piece.id);
        if (part == proven.end()) return;
        piece.as_cut = plane::largest(as_drawn(*part->second, piece.placement));
    }
    if (plan.has_tray) {
        const auto wall = proven.find("wall");
        if (wall == proven.end()) return;
        plan.tray.wall_as_cut = as_drawn(*wall->second, plan.tray.placement);
    }
    const Bodies bodies = bodies_of(plan, plan.assembly.coating);
    auto solved = fit::assemble(bodies.pieces, bodies.wall, options_for(plan, threads));
    if (!solved) {
        proof.notes.push_back("assembly: " + to_string(solved.problem()));
        return;
    }
    proof.assembly = {solved.value().slack, plan.assembly.slack};
    if (!proof.assembly->agrees())
        proof.notes.push_back(
            fmt::format("assembly: put together as the programs leave them, the pieces have a slack of {:.3f} mm; the "
                        "plan says {:.3f} mm",
                        proof.assembly->slack, proof.assembly->planned));
}

} // namespace kerfwright::job
