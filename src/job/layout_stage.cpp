#include "job/layout_stage.hpp"

#include "job/setups.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

constexpr double kWeb = 1.0; // mm; common practice

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
Result<std::vector<layout::Placed>> fixed_places(const Job& job, const std::vector<layout::Part>& parts) {
    std::vector<layout::Placed> fixed;
    for (const PlacedWish& wish : job.placed) {
        const auto problem = [&](const std::string& what, const std::string& remedy) {
            return Problem{job.file, wish.line, 1, "[[placed]]: " + what, remedy};
        };
        const auto is = [&](const auto& part) { return part.id == wish.piece; };
        if (std::none_of(parts.begin(), parts.end(), is))
            return problem("there is no piece \"" + wish.piece + "\"", "take the table out, or mend the name");
        if (std::any_of(fixed.begin(), fixed.end(), [&](const auto& placed) { return placed.id == wish.piece; }))
            return problem("\"" + wish.piece + "\" is placed twice", "keep one of the tables");
        fixed.push_back({wish.piece, wish.sheet, wish.placement, true});
    }
    return fixed;
}

} // namespace

const shop::Sheet& sheet_named(const Job& job, const std::string& name) {
    return *std::find_if(job.sheets.begin(), job.sheets.end(), [&](const auto& sheet) { return sheet.name == name; });
}

Result<LayoutTask> layout_task(const Job& job, const std::vector<PlannedPiece>& pieces) {
    auto shelf = shelf_for(job, pieces);
    if (!shelf) return shelf.problem();
    LayoutTask task;
    for (const PlannedPiece& piece : pieces) {
        layout::Part part;
        part.id = piece.id;
        part.outline = piece.outline;
        part.material = piece.material;
        part.kerf = shelf.value().kerf[piece.material];
        part.keep_grain = find_material(job.library, piece.material)->grain;
        task.parts.push_back(std::move(part));
    }
    task.sheets = std::move(shelf.value().sheets);
    task.notes = std::move(shelf.value().notes);
    task.options.clamp_room = clamp_room(job, pieces);
    return task;
}

Result<layout::Layout> layout_stage(const Job& job, const LayoutTask& task, int threads) {
    auto fixed = fixed_places(job, task.parts);
    if (!fixed) return fixed.problem();
    layout::LayoutOptions options = task.options;
    options.threads = threads;
    auto placed = layout::place_parts(task.parts, task.sheets, fixed.value(), options);
    if (placed) return placed;
    Problem problem = placed.problem();
    if (problem.file.empty()) problem.file = job.file;
    return problem;
}

void take_places(const Job& job, const layout::Layout& layout, std::vector<PlannedPiece>& pieces) {
    for (const layout::Placed& place : layout.placed) {
        const auto piece = std::find_if(pieces.begin(), pieces.end(), [&](const auto& p) { return p.id == place.id; });
        piece->sheet = place.sheet;
        piece->setup = place.sheet;
        piece->placement = place.placement;
        piece->thickness = sheet_named(job, place.sheet).thickness;
    }
}

} // namespace kerfwright::job
