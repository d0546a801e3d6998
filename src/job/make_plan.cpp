#include "job/make_plan.hpp"

#include "job/assembly_stage.hpp"
#include "job/choose_cutters.hpp"
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

Result<Done> layout_stage(const Job& job, Plan& plan, const PlanOptions& options) {
    auto shelf = shelf_for(job, plan.pieces);
    if (!shelf) return shelf.problem();
    for (const std::string& note : shelf.value().notes)
        plan.notes.push_back(note);
    std::vector<layout::Part> parts;
    for (const PlannedPiece& piece : plan.pieces) {
        layout::Part part;
        part.id = piece.id;
        part.outline = piece.outline;
        part.material = piece.material;
        part.kerf = shelf.value().kerf[piece.material];
        part.keep_grain = find_material(job.library, piece.material)->grain;
        parts.push_back(std::move(part));
    }
    layout::LayoutOptions layout_options;
    layout_options.threads = options.threads;
    layout_options.clamp_room = clamp_room(job, plan.pieces);
    auto placed = layout::place_parts(parts, shelf.value().sheets, {}, layout_options);
    if (!placed) {
        Problem problem = placed.problem();
        if (problem.file.empty()) problem.file = job.file;
        return problem;
    }
    for (const layout::Placed& place : placed.value().placed) {
        const auto piece =
            std::find_if(plan.pieces.begin(), plan.pieces.end(), [&](const auto& p) { return p.id == place.id; });
        piece->sheet = place.sheet;
        piece->setup = place.sheet;
        piece->placement = place.placement;
        piece->thickness = sheet_named(job, place.sheet).thickness;
    }
    return Done{};
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

} // namespace

Result<Plan> make_plan(const Job& job, const drawing::Drawing& drawing, const PlanOptions& options) {
    const auto begin = [&](const char* stage) {
        if (options.progress) options.progress(stage);
    };
    Plan plan;
    plan.title = job.title;
    plan.machine = job.machine;
    for (const drawing::Note& note : drawing.notes)
        plan.notes.push_back("drawing: " + note.text);

    begin("fit");
    auto fitted = fit_stage(job, drawing, options.threads);
    if (!fitted) return fitted.problem();
    plan.pieces = std::move(fitted.value().pieces);
    plan.seams = std::move(fitted.value().seams);
    for (const std::string& note : fitted.value().notes)
        plan.notes.push_back("fit: " + note);

    begin("layout");
    if (auto laid = layout_stage(job, plan, options); !laid) return laid.problem();

    begin("feeds, holding and toolpaths");
    for (const shop::Sheet& sheet : job.sheets) {
        std::vector<PlannedPiece*> on_it;
        for (PlannedPiece& piece : plan.pieces)
            if (piece.sheet == sheet.name) on_it.push_back(&piece);
        if (on_it.empty()) continue;
        auto built = build_piece_setup(job, sheet, on_it, plan.seams);
        if (!built) return built.problem();
        take(job, plan, std::move(built).value());
    }
    if (job.tray) {
        auto cutters = choose_tray_cutters(job, drawing);
        if (!cutters) return cutters.problem();
        const shop::Sheet& sheet = sheet_named(job, job.tray->sheet);
        auto tray = plan_tray(job, sheet, std::move(fitted.value().wall), std::move(fitted.value().wall_as_cut),
                              plan.pieces, cutters.value());
        if (!tray) return tray.problem();
        plan.has_tray = true;
        plan.tray = std::move(tray).value();
        auto built = build_tray_setup(job, sheet, plan.tray, cutters.value());
        if (!built) return built.problem();
        take(job, plan, std::move(built).value());
    }
    begin("assembly");
    auto assembly = assembly_stage(job, plan, options.threads);
    if (!assembly) return assembly.problem();
    plan.assembly = std::move(assembly).value();
    plan.price = price_of(job, plan);
    return plan;
}

} // namespace kerfwright::job
