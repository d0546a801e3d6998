#include "fit/fit.hpp"
#include "job/choose_cutters.hpp"
#include "job/make_plan.hpp"

namespace kerfwright::job {

Result<FitStage> fit_stage(const Job& job, const drawing::Drawing& drawing, int threads) {
    auto materials = materials_of(job, drawing);
    if (!materials) return materials.problem();
    auto cutters = choose_piece_cutters(job, drawing, materials.value());
    if (!cutters) return cutters.problem();

    fit::FitRules rules = fit_rules(job);
    rules.threads = threads;
    if (job.tray) {
        auto tray_cutters = choose_tray_cutters(job, drawing);
        if (!tray_cutters) return tray_cutters.problem();
        rules.tray_cutter_radius = tray_cutters.value().back().radius();
    }
    std::vector<fit::RegionToFit> regions;
    std::map<std::string, const shop::Material*> material_of;
    for (std::size_t i = 0; i < drawing.regions.size(); ++i) {
        const shop::Material* material = materials.value()[i];
        regions.push_back(
            {drawing.regions[i].name, drawing.regions[i].shape, cutters.value().at(material->name).radius()});
        material_of[drawing.regions[i].name] = material;
    }
    auto fitted = fit::fit_regions(regions, rules);
    if (!fitted) {
        Problem problem = fitted.problem();
        if (problem.file.empty()) problem.file = job.file;
        return problem;
    }

    FitStage stage;
    for (fit::Piece& piece : fitted.value().pieces) {
        PlannedPiece planned;
        planned.id = piece.id;
        planned.region = piece.region;
        planned.material = material_of.at(piece.region)->name;
        planned.cutter = cutters.value().at(planned.material).name;
        planned.outline = std::move(piece.outline);
        planned.as_cut = std::move(piece.as_cut);
        stage.pieces.push_back(std::move(planned));
    }
    for (const fit::SeamFit& seam : fitted.value().seams) {
        PlannedSeam planned{seam.a,        seam.b,       seam.length,    seam.asked,      seam.gap_min,
                            seam.gap_mean, seam.gap_max, seam.moved_max, seam.moved_mean, {}};
        for (const fit::Spot& spot : seam.spots)
            planned.spots.push_back({spot.why, spot.box});
        stage.seams.push_back(std::move(planned));
    }
    stage.wall = std::move(fitted.value().wall);
    stage.wall_as_cut = std::move(fitted.value().wall_as_cut);
    stage.notes = std::move(fitted.value().notes);
    return stage;
}

} // namespace kerfwright::job
