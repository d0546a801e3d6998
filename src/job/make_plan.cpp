#include "job/make_plan.hpp"

#include "job/assembly_stage.hpp"
#include "job/choose_cutters.hpp"
#include "job/kept_stages.hpp"
#include "job/price.hpp"
#include "job/setups.hpp"
#include "layout/layout.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::job {
namespace {

constexpr double kWeb = 1.0; // mm; common practice

const shop::Sheet& sheet_named(const Job& job, const std::string& name) {
    return *std::find_if(job.sheets.begin(), job.sheets.end(), [&](const auto& sheet) { return sheet.name == name; });
}

const shop::Cutter& cutter_named(const Job& job, const std::string& name) {
    return *std::find_if(job.cutters.begin(), job.cutters.end(),
                         [&](const auto& cutter) { return cutter.name == name; });
}

/// What the pieces may be cut from, and how wide the slots become there.
struct Shelf {
    std::vector<shop::Sheet> sheets;
    std::map<std::string, double> kerf; ///< material -> mm
    std::vector<std::string> notes;     ///< on sheets that were left out
};

/// The sheets of the pieces' materials (the tray's own left out) that the chosen cutters can cut through. Room around a
/// piece is the slot its cutter makes (roughing stands off by the finishing allowance) and a web to the next part.
Result<Shelf> shelf_for(const Job& job, const std::vector<PlannedPiece>& pieces) {
    Shelf shelf;
    std::map<std::string, Problem> refused;
    for (const shop::Sheet& sheet : job.sheets) {
        const auto piece =
            std::find_if(pieces.begin(), pieces.end(), [&](const auto& p) { return p.material == sheet.material; });
        if (piece == pieces.end() || (job.tray && sheet.name == job.tray->sheet)) continue;
        const shop::Cutter& cutter = cutter_named(job, piece->cutter);
        cutting::Task task;
        task.depth = sheet.thickness;
        auto feeds = cutting::plan_feeds(*find_material(job.library, sheet.material), cutter, job.machine, task);
        if (!feeds) {
            refused.emplace(sheet.material,
                            Problem{job.file, sheet.line, 1, "sheet " + sheet.name + ": " + feeds.problem().what,
                                    feeds.problem().remedy});
            shelf.notes.push_back("sheet " + sheet.name + " is left out: " + cutter.name + " cannot cut through it");
            continue;
        }
        const double slot = std::max(cutter.DC, feeds.value().setting.slot_width) + kFinishAllowance + kWeb;
        shelf.kerf[sheet.material] = std::max(shelf.kerf[sheet.material], slot);
        shelf.sheets.push_back(sheet);
    }
    for (const auto& [material, problem] : refused)
        if (!shelf.kerf.contains(material)) return problem;
    return shelf;
}

/// Room around clamps beyond a part's own, mm: for the widest turning thing that reaches down to a clamp.
double clamp_room(const Job& job, const std::vector<PlannedPiece>& pieces) {
    double room = 0;
    for (const PlannedPiece& piece : pieces)
        for (const shop::Sheet& sheet : job.sheets)
            if (sheet.material == piece.material && !sheet.clamps.empty())
                room = std::max(room, room_for_spindle(sheet, cutter_named(job, piece.cutter), job.machine, 0));
    return room;
}

/// Pieces that a person put in their place.
Result<std::vector<layout::Placed>> fixed_places(const Job& job, const std::vector<PlannedPiece>& pieces) {
    std::vector<layout::Placed> fixed;
    for (const PlacedWish& wish : job.placed) {
        const auto problem = [&](const std::string& what, const std::string& remedy) {
            return Problem{job.file, wish.line, 1, "[[placed]]: " + what, remedy};
        };
        const auto is = [&](const auto& piece) { return piece.id == wish.piece; };
        if (std::none_of(pieces.begin(), pieces.end(), is))
            return problem("there is no piece \"" + wish.piece + "\"", "take the table out, or mend the name");
        if (std::any_of(fixed.begin(), fixed.end(), [&](const auto& placed) { return placed.id == wish.piece; }))
            return problem("\"" + wish.piece + "\" is placed twice", "keep one of the tables");
        fixed.push_back({wish.piece, wish.sheet, wish.placement, true});
    }
    return fixed;
}

Result<layout::Layout> layout_stage(const Job& job, const Shelf& shelf, const std::vector<PlannedPiece>& pieces,
                                    int threads) {
    std::vector<layout::Part> parts;
    for (const PlannedPiece& piece : pieces) {
        layout::Part part;
        part.id = piece.id;
        part.outline = piece.outline;
        part.material = piece.material;
        part.kerf = shelf.kerf.at(piece.material);
        part.keep_grain = find_material(job.library, piece.material)->grain;
        parts.push_back(std::move(part));
    }
    auto fixed = fixed_places(job, pieces);
    if (!fixed) return fixed.problem();
    layout::LayoutOptions options;
    options.threads = threads;
    options.clamp_room = clamp_room(job, pieces);
    auto placed = layout::place_parts(parts, shelf.sheets, fixed.value(), options);
    if (placed) return placed;
    Problem problem = placed.problem();
    if (problem.file.empty()) problem.file = job.file;
    return problem;
}

void take_places(const Job& job, Plan& plan, const layout::Layout& layout) {
    for (const layout::Placed& place : layout.placed) {
        const auto piece =
            std::find_if(plan.pieces.begin(), plan.pieces.end(), [&](const auto& p) { return p.id == place.id; });
        piece->sheet = place.sheet;
        piece->setup = place.sheet;
        piece->placement = place.placement;
        piece->thickness = sheet_named(job, place.sheet).thickness;
    }
}

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

/// Setups of all sheets with pieces on them, in the order of the job file.
Result<Done> piece_setups(const Job& job, Plan& plan, const PlanOptions& options, KeptStages& kept) {
    std::map<std::string, Kept<PieceSetup>> setups;
    for (const shop::Sheet& sheet : job.sheets) {
        std::vector<PlannedPiece*> on_it;
        for (PlannedPiece& piece : plan.pieces)
            if (piece.sheet == sheet.name) on_it.push_back(&piece);
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
    plan.machine = job.machine;
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

    auto shelf = shelf_for(job, plan.pieces);
    if (!shelf) return shelf.problem();
    for (const std::string& note : shelf.value().notes)
        plan.notes.push_back(note);
    input = layout_input(job, plan.pieces);
    if (!begin("layout", is(kept.layout, input))) return stopped();
    auto layout = kept_or_made(kept.layout, std::move(input),
                               [&] { return layout_stage(job, shelf.value(), plan.pieces, options.threads); });
    if (!layout) return layout.problem();
    take_places(job, plan, layout.value());

    if (!begin("setups", false)) return stopped();
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
    plan.price = price_of(job, plan);
    return plan;
}

} // namespace kerfwright::job
