#include "job/make_plan.hpp"

#include "job/assembly_stage.hpp"
#include "job/choose_cutters.hpp"
#include "job/kept_stages.hpp"
#include "job/layout_stage.hpp"
#include "job/price.hpp"
#include "job/setups.hpp"
#include "job/wear.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::job {
namespace {

Result<PieceSetup> piece_setup(const Job& job, const shop::Sheet& sheet, const std::vector<PlannedPiece*>& pieces,
                               const std::vector<PlannedSeam>& seams) {
    auto built = build_piece_setup(job, sheet, pieces, seams);
    if (!built) return built.problem();
    PieceSetup setup{std::move(built).value(), {}};
    for (const PlannedPiece* piece : pieces)
        setup.pieces.push_back({piece->skin, piece->margin, piece->tabs});
    return setup;
}

Result<TraySetup> tray_setup(const Job& job, const drawing::Drawing& drawing, const FitStage& fit,
                             const std::vector<PlannedPiece>& pieces) {
    auto cutters = choose_tray_cutters(job, drawing);
    if (!cutters) return cutters.problem();
    const shop::Sheet& sheet = sheet_named(job, job.tray->sheet);
    auto tray = plan_tray(job, sheet, fit.wall, fit.wall_as_cut, pieces, cutters.value());
    if (!tray) return tray.problem();
    auto built = build_tray_setup(job, sheet, tray.value(), cutters.value());
    if (!built) return built.problem();
    return TraySetup{std::move(tray).value(), std::move(built).value()};
}

void take(const Job& job, Plan& plan, BuiltSetup built) {
    for (const shop::Cutter& cutter : built.cutters) {
        const bool known =
            std::any_of(plan.cutters.begin(), plan.cutters.end(), [&](const auto& c) { return c.name == cutter.name; });
        if (!known) plan.cutters.push_back(cutter);
    }
    plan.feeds.insert(plan.feeds.end(), built.feeds.begin(), built.feeds.end());
    const auto has = [&](const auto& m) { return m.name == built.setup.sheet.material; };
    if (std::none_of(plan.materials.begin(), plan.materials.end(), has))
        plan.materials.push_back(*find_material(job.library, built.setup.sheet.material));
    int number = 1;
    for (const PlannedSetup& setup : plan.setups)
        number += static_cast<int>(setup.programs.size());
    for (PlannedProgram& program : built.setup.programs)
        program.file = fmt::format("programs/{:02}-{}", number++, program.file);
    plan.setups.push_back(std::move(built.setup));
}

std::vector<PlannedPiece*> pieces_on(Plan& plan, const shop::Sheet& sheet) {
    std::vector<PlannedPiece*> pieces;
    for (PlannedPiece& piece : plan.pieces)
        if (piece.sheet == sheet.name) pieces.push_back(&piece);
    return pieces;
}

/// Is every sheet's setup the one of last time?
bool all_setups_kept(const Job& job, Plan& plan, const KeptStages& kept) {
    return std::all_of(job.sheets.begin(), job.sheets.end(), [&](const shop::Sheet& sheet) {
        const auto pieces = pieces_on(plan, sheet);
        if (pieces.empty()) return true;
        const auto old = kept.setups.find(sheet.name);
        return old != kept.setups.end() && old->second.input == setup_input(job, sheet, pieces, plan.seams);
    });
}

/// Setups of all sheets with pieces on them, in the order of the job file.
Result<Done> piece_setups(const Job& job, Plan& plan, const PlanOptions& options, KeptStages& kept) {
    std::map<std::string, Kept<PieceSetup>> setups;
    for (const shop::Sheet& sheet : job.sheets) {
        const std::vector<PlannedPiece*> on_it = pieces_on(plan, sheet);
        if (on_it.empty()) continue;
        if (options.stop.stop_requested()) return stopped();
        std::optional<Kept<PieceSetup>> slot;
        if (const auto old = kept.setups.find(sheet.name); old != kept.setups.end()) slot = old->second;
        auto setup = kept_or_made(slot, setup_input(job, sheet, on_it, plan.seams),
                                  [&] { return piece_setup(job, sheet, on_it, plan.seams); });
        if (!setup) return setup.problem();
        for (std::size_t i = 0; i < on_it.size(); ++i) {
            const PieceHolding& holding = setup.value().pieces[i];
            on_it[i]->skin = holding.skin;
            on_it[i]->margin = holding.margin;
            on_it[i]->tabs = holding.tabs;
        }
        take(job, plan, std::move(setup.value().built));
        setups[sheet.name] = std::move(*slot);
    }
    kept.setups = std::move(setups);
    return Done{};
}

} // namespace

const std::vector<std::string>& stage_names() {
    static const std::vector<std::string> names{"fit", "layout", "setups", "tray", "assembly", "proof", "papers"};
    return names;
}

Result<Plan> make_plan(const Job& job, const drawing::Drawing& drawing, const PlanOptions& options) {
    KeptStages fresh;
    KeptStages& kept = options.kept != nullptr ? *options.kept : fresh;
    const auto begin = [&](const char* stage, bool same) {
        if (options.progress) options.progress(stage, same);
        return !options.stop.stop_requested();
    };
    const auto is = [](const auto& slot, const std::string& input) { return slot && slot->input == input; };
    Plan plan;
    plan.title = job.title;
    plan.job_revision = job.revision;
    plan.machine = job.machine;
    plan.notes = job.notes;
    for (const drawing::Note& note : drawing.notes)
        plan.notes.push_back("drawing: " + note.text);

    std::string input = fit_input(job, drawing);
    if (!begin("fit", is(kept.fit, input))) return stopped();
    auto fitted = kept_or_made(kept.fit, std::move(input), [&] { return fit_stage(job, drawing, options.threads); });
    if (!fitted) return fitted.problem();
    const FitStage& fit = fitted.value();
    plan.pieces = fit.pieces;
    plan.seams = fit.seams;
    for (const std::string& note : fit.notes)
        plan.notes.push_back("fit: " + note);

    auto task = layout_task(job, plan.pieces);
    if (!task) return task.problem();
    plan.notes.insert(plan.notes.end(), task.value().notes.begin(), task.value().notes.end());
    input = layout_input(job, plan.pieces);
    if (!begin("layout", is(kept.layout, input))) return stopped();
    auto layout =
        kept_or_made(kept.layout, std::move(input), [&] { return layout_stage(job, task.value(), options.threads); });
    if (!layout) return layout.problem();
    take_places(job, layout.value(), plan.pieces);

    if (!begin("setups", all_setups_kept(job, plan, kept))) return stopped();
    if (auto built = piece_setups(job, plan, options, kept); !built) return built.problem();

    if (job.tray) {
        input = tray_input(job, fit, plan.pieces);
        if (!begin("tray", is(kept.tray, input))) return stopped();
        auto tray =
            kept_or_made(kept.tray, std::move(input), [&] { return tray_setup(job, drawing, fit, plan.pieces); });
        if (!tray) return tray.problem();
        plan.has_tray = true;
        plan.tray = std::move(tray.value().tray);
        take(job, plan, std::move(tray.value().built));
    }

    input = assembly_input(job, plan);
    if (!begin("assembly", is(kept.assembly, input))) return stopped();
    auto assembly =
        kept_or_made(kept.assembly, std::move(input), [&] { return assembly_stage(job, plan, options.threads); });
    if (!assembly) return assembly.problem();
    plan.assembly = std::move(assembly).value();
    add_wear(job, plan);
    plan.price = price_of(job, plan);
    return plan;
}

Result<Plan> make_recut(const Job& job, const drawing::Drawing& drawing, const RecutWish& wish,
                        const PlanOptions& options) {
    const auto problem = [&](const std::string& what, const std::string& remedy) {
        return Problem{job.file, 0, 0, what, remedy};
    };
    const auto sheet =
        std::find_if(job.sheets.begin(), job.sheets.end(), [&](const shop::Sheet& s) { return s.name == wish.sheet; });
    if (sheet == job.sheets.end())
        return problem("there is no sheet \"" + wish.sheet + "\"", "add it as a [[sheet]], or name another one");
    if (options.progress) options.progress("fit", false);
    auto fitted = fit_stage(job, drawing, options.threads);
    if (!fitted) return fitted.problem();
    const auto piece = std::find_if(fitted.value().pieces.begin(), fitted.value().pieces.end(),
                                    [&](const PlannedPiece& p) { return p.id == wish.piece; });
    if (piece == fitted.value().pieces.end())
        return problem("there is no piece \"" + wish.piece + "\"", "`kerfwright look` lists them");
    if (piece->material != sheet->material)
        return problem("piece " + wish.piece + " is of " + piece->material + ", sheet " + wish.sheet + " of " +
                           sheet->material,
                       "name a sheet of " + piece->material + ": its neighbours are cut to fit its cutter");

    Job alone = job;
    alone.sheets = {*sheet};
    alone.tray.reset();
    alone.placed.clear();
    Plan plan;
    plan.title = job.title + ", " + wish.piece + " again";
    plan.job_revision = job.revision;
    plan.machine = job.machine;
    plan.pieces = {*piece};
    for (const PlannedSeam& seam : fitted.value().seams)
        if (seam.a == wish.piece || seam.b == wish.piece) plan.seams.push_back(seam);
    auto task = layout_task(alone, plan.pieces);
    if (!task) return task.problem();
    if (options.progress) options.progress("layout", false);
    auto layout = layout_stage(alone, task.value(), options.threads);
    if (!layout) return layout.problem();
    take_places(alone, layout.value(), plan.pieces);
    if (options.progress) options.progress("setups", false);
    KeptStages fresh;
    if (auto built = piece_setups(alone, plan, options, fresh); !built) return built.problem();
    add_wear(alone, plan);
    plan.price = price_of(alone, plan);
    return plan;
}

} // namespace kerfwright::job
