#include "job/pages.hpp"

#include "job/seam_picture.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace kerfwright::job {
namespace {

using papers::Block;
using papers::Drawn;
using papers::Fill;

std::string minutes(double seconds) {
    const auto whole = std::lround(seconds);
    if (whole >= 3600) return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
    return fmt::format("{} min {:02} s", whole / 60, whole % 60);
}

std::string mm(double value) {
    return fmt::format("{:.2f} mm", value);
}

std::string size_of(const shop::Sheet& sheet) {
    const plane::Box box = plane::bounds(sheet.outline);
    return fmt::format("{:.1f} x {:.1f} x {:.2f} mm", box.width(), box.height(), sheet.thickness);
}

/// One fill for each material, by order of first appearance: tells them apart without colour.
std::map<std::string, Fill> fills_of(const Plan& plan) {
    constexpr Fill kFills[] = {Fill::lines,      Fill::none, Fill::dots,   Fill::light, Fill::cross,
                               Fill::back_lines, Fill::dark, Fill::dashes, Fill::grid};
    std::map<std::string, Fill> fills;
    for (const PlannedPiece& piece : plan.pieces)
        if (!fills.contains(piece.material)) fills.emplace(piece.material, kFills[fills.size() % std::size(kFills)]);
    return fills;
}

Drawn draw_set(const Plan& plan) {
    Drawn drawn;
    const auto fills = fills_of(plan);
    for (const PlannedPiece& piece : plan.pieces)
        drawn.areas.push_back({{piece.outline}, piece.id, fills.at(piece.material), false});
    if (plan.has_tray) drawn.areas.push_back({plan.tray.wall, "", Fill::none, true});
    drawn.caption = "The set as it lies in the tray, seen from above.";
    return drawn;
}

Drawn draw_setup(const Plan& plan, const PlannedSetup& setup) {
    Drawn drawn;
    drawn.frame = {setup.sheet.outline};
    for (const PlannedPiece& piece : plan.pieces) {
        if (piece.setup != setup.name) continue;
        drawn.areas.push_back({{plane::placed(piece.outline, piece.placement)}, piece.id, Fill::light, false});
        for (const holding::Tab& tab : piece.tabs)
            drawn.marks.push_back({tab.at, "", papers::DrawnMark::Kind::tab});
    }
    if (plan.has_tray && plan.tray.setup == setup.name) {
        // Steps between floors follow the pieces; the wall is drawn over them.
        for (const PlannedFloor& floor : plan.tray.floors)
            for (const plane::Polygon& part : plane::placed(floor.area, plan.tray.placement))
                drawn.areas.push_back({{part}, fmt::format("{:.2f} deep", floor.depth), Fill::light, true});
        drawn.areas.push_back({plane::placed(plan.tray.wall, plan.tray.placement), "", Fill::none, false});
    }
    for (std::size_t i = 0; i < setup.sheet.clamps.size(); ++i) {
        const shop::Clamp& clamp = setup.sheet.clamps[i];
        drawn.boxes.push_back({{clamp.at, clamp.at + clamp.size}, fmt::format("clamp {}", i + 1)});
    }
    drawn.marks.push_back({plane::bounds(setup.sheet.outline).low, "X0 Y0", papers::DrawnMark::Kind::zero});
    for (std::size_t i = 0; i < setup.sheet.measured.size(); ++i)
        drawn.marks.push_back({setup.sheet.measured[i].at, fmt::format("{}", i + 1), papers::DrawnMark::Kind::measure});
    drawn.caption = "Seen from above; origin at the sheet's lower left corner.";
    return drawn;
}

std::string hold_text(const shop::Sheet& sheet) {
    std::string text;
    for (const shop::Hold hold : sheet.hold)
        text += (text.empty() ? "" : ", ") + std::string(to_string(hold));
    return text;
}

/// Cautions that apply to a setup; the general ones stand on every page that goes to the machine.
Block cautions_of(const Job& job, const PlannedSetup& setup) {
    Block block;
    block.heading = "Cautions";
    block.caution = true;
    block.lines = find_material(job.library, setup.sheet.material)->cautions;
    block.lines.push_back(
        "Wear eye, ear and dust protection; keep hands, sleeves and hair clear; never leave the cut alone.");
    block.lines.push_back("Settings are computed: make a test cut in scrap of this sheet first, and stop when it "
                          "sounds, smells or looks wrong.");
    block.lines.push_back(
        "Set the cutter's protruding length as listed; check that clamps and screws are where the drawing shows them.");
    block.lines.push_back("The machine's manual, local rules and trained judgement come before this sheet.");
    return block;
}

Block cutters_of(const Plan& plan, const PlannedSetup& setup) {
    Block block;
    block.heading = "Programs, in this order";
    block.table.head = {"program", "cutter", "DC", "out of collet", "rev/min", "time"};
    for (const PlannedProgram& program : setup.programs) {
        const auto cutter = std::find_if(plan.cutters.begin(), plan.cutters.end(),
                                         [&](const auto& c) { return c.name == program.cutter; });
        block.table.rows.push_back({program.file.substr(program.file.rfind('/') + 1), cutter->title,
                                    fmt::format("{:.3f}", cutter->DC), fmt::format("{:.0f}", cutter->LPR),
                                    fmt::format("{:.0f}", program.n), minutes(program.time)});
    }
    return block;
}

Block settings_of(const Plan& plan, const PlannedSetup& setup) {
    Block block;
    block.heading = "Settings";
    block.table.head = {"cutter", "step", "feed mm/min", "depth", "width", "mm/tooth", "held back by"};
    for (const cutting::FeedPlan& feed : plan.feeds) {
        const bool used = std::any_of(setup.programs.begin(), setup.programs.end(),
                                      [&](const auto& p) { return p.cutter == feed.cutter; });
        if (!used || feed.material != setup.sheet.material) continue;
        block.table.rows.push_back({feed.cutter, to_string(feed.step), fmt::format("{:.0f}", feed.setting.vf),
                                    fmt::format("{:.2f}", feed.setting.ap), fmt::format("{:.2f}", feed.setting.ae),
                                    fmt::format("{:.3f}", feed.setting.fz), feed.binding});
    }
    return block;
}

/// What the programs leave under a part's slot.
std::string slot_text(const proof::SlotLeft& slot) {
    std::string text = slot.skin_max < 0.005 ? "nothing"
                       : slot.skin_max - slot.skin_min < 0.005
                           ? fmt::format("{:.2f} mm", slot.skin_max)
                           : fmt::format("{:.2f} to {:.2f} mm", slot.skin_min, slot.skin_max);
    if (!slot.tabs.empty()) text += fmt::format(", {} tabs", slot.tabs.size());
    return text;
}

Block parts_of(const Plan& plan, const PlannedSetup& setup, const Proof& proof) {
    Block block;
    block.heading = "Parts";
    block.table.head = {"part", "held by", "margin", "edge, proven mm", "left under the slot, proven"};
    for (const PlannedPiece& piece : plan.pieces) {
        if (piece.setup != setup.name) continue;
        std::string held = piece.skin > 0 ? fmt::format("skin {:.2f}", piece.skin) : "";
        if (!piece.tabs.empty()) held += fmt::format("{}{} tabs", held.empty() ? "" : ", ", piece.tabs.size());
        std::string edge, left;
        for (const proof::SetupProof& judged : proof.setups)
            for (const proof::PartProof& part : judged.parts)
                if (part.id == piece.id) {
                    edge = fmt::format("{:+.3f} to {:+.3f}", part.deviation_min, part.deviation_max);
                    left = part.slot ? slot_text(*part.slot) : "";
                }
        block.table.rows.push_back(
            {piece.id, held.empty() ? hold_text(setup.sheet) : held, fmt::format("{:.1f}", piece.margin), edge, left});
    }
    return block;
}

/// Of what rounds to nothing, so that no "-0.000" is written.
double without_sign(double value) {
    return std::abs(value) < 5e-4 ? 0 : value;
}

/// The tray's floors, piece by piece.
Block floors_of(const PlannedTray& tray) {
    Block block;
    block.heading = "Floors under the pieces";
    block.table.head = {"piece", "thickness mm", "floor, mm below Z0", "top above the rim mm", "rests on"};
    for (const PlannedFloor& floor : tray.floors)
        for (const Support& one : floor.support)
            block.table.rows.push_back({one.piece, fmt::format("{:.3f}", one.thickness),
                                        fmt::format("{:.3f}", floor.depth),
                                        fmt::format("{:+.3f}", without_sign(one.top)),
                                        fmt::format("{:.1f} %", std::floor(1000 * one.share) / 10)});
    return block;
}

Block verdict_of(const PlannedSetup& setup, const Proof& proof) {
    Block block;
    block.heading = "Proof";
    for (const proof::SetupProof& judged : proof.setups) {
        if (judged.name != setup.name) continue;
        if (judged.findings.empty()) block.lines.push_back("Proven from the programs' own text: no findings.");
        for (const proof::Finding& finding : judged.findings)
            block.lines.push_back(fmt::format("{} in {} line {}: {}", to_string(finding.kind), finding.program,
                                              finding.line, finding.text));
    }
    return block;
}

papers::Page setup_page(const Job& job, const Plan& plan, const PlannedSetup& setup, const Proof& proof) {
    papers::Page page;
    page.title = "Setup " + setup.name;
    page.subtitle = find_material(job.library, setup.sheet.material)->title;
    page.drawing = draw_setup(plan, setup);
    double seconds = 0;
    for (const PlannedProgram& program : setup.programs)
        seconds += program.time;
    Block facts;
    facts.heading = "Setting up";
    facts.facts = {{"stock", size_of(setup.sheet)},
                   {"zero", setup.zero},
                   {"hold", hold_text(setup.sheet)},
                   {"machine time", minutes(seconds)}};
    for (const proof::SetupProof& proven : proof.setups)
        if (proven.name == setup.name)
            facts.facts.emplace_back("at least, at most", minutes(proven.fastest) + ", " + minutes(proven.slowest));
    if (setup.skin > 0) facts.facts.emplace_back("onion skin", mm(setup.skin));
    if (setup.z_zero_on_bed) facts.facts.emplace_back("least margin", fmt::format("{:.1f}", setup.margin_min));
    page.blocks = {facts, cutters_of(plan, setup), cautions_of(job, setup), settings_of(plan, setup)};
    if (setup.z_zero_on_bed) page.blocks.push_back(parts_of(plan, setup, proof));
    if (plan.has_tray && plan.tray.setup == setup.name) page.blocks.push_back(floors_of(plan.tray));
    Block measure;
    measure.heading = "Measure before and after";
    for (std::size_t i = 0; i < setup.sheet.measured.size(); ++i)
        measure.lines.push_back(fmt::format("Point {}: thickness {:.2f} mm when planned. Now: ________", i + 1,
                                            setup.sheet.measured[i].thickness));
    measure.lines.push_back("Width of one cut part: ________  Depth or skin: ________  Remarks: ________________");
    page.blocks.push_back(measure);
    if (!setup.notes.empty()) {
        Block notes;
        notes.heading = "Notes";
        notes.lines = setup.notes;
        page.blocks.push_back(notes);
    }
    page.blocks.push_back(verdict_of(setup, proof));
    return page;
}

/// The seams, those that easing moved most first.
papers::Page seams_page(const Plan& plan) {
    constexpr std::size_t kMost = 18; // so that it is one page
    papers::Page page;
    page.title = "Seams";
    page.subtitle = plan.title;
    page.drawing = draw_seams(plan);
    std::vector<const PlannedSeam*> seams;
    for (const PlannedSeam& seam : plan.seams)
        seams.push_back(&seam);
    std::stable_sort(seams.begin(), seams.end(), [](auto* a, auto* b) { return a->moved_max > b->moved_max; });
    Block block;
    block.heading = "Gaps and what easing moved, mm";
    block.table.head = {"piece", "with", "length", "asked", "least", "mean", "most", "moved by at most", "spots"};
    const auto three = [](double v) { return fmt::format("{:.3f}", v); };
    for (std::size_t i = 0; i < std::min(kMost, seams.size()); ++i) {
        const PlannedSeam& s = *seams[i];
        block.table.rows.push_back({s.a, s.b, fmt::format("{:.1f}", s.length), three(s.asked), three(s.gap_min),
                                    three(s.gap_mean), three(s.gap_max), three(s.moved_max),
                                    std::to_string(s.spots.size())});
    }
    if (seams.size() > kMost)
        block.lines.push_back(fmt::format("{} more, moved less than these, are in plan.json.", seams.size() - kMost));
    page.blocks = {block};
    return page;
}

Block shopping_list(const Plan& plan) {
    Block block;
    block.heading = "What is needed";
    block.table.head = {"what", "size", "for"};
    for (const PlannedSetup& setup : plan.setups)
        block.table.rows.push_back(
            {(setup.sheet.offcut ? "offcut " : "sheet ") + setup.sheet.name + ", " + setup.sheet.material,
             size_of(setup.sheet), "setup " + setup.name});
    for (const shop::Cutter& cutter : plan.cutters) {
        std::string uses;
        for (const PlannedSetup& setup : plan.setups)
            for (const PlannedProgram& program : setup.programs)
                if (program.cutter == cutter.name) uses += (uses.empty() ? "" : ", ") + setup.name;
        const auto use = std::find_if(plan.wear.begin(), plan.wear.end(),
                                      [&](const EdgeUse& one) { return one.cutter == cutter.name; });
        const std::string edges =
            use == plan.wear.end() ? "" : fmt::format("; {:.0f} % of an edge's life", 100 * use->edges);
        block.table.rows.push_back({cutter.title, fmt::format("DC {:.3f} mm", cutter.DC), uses + edges});
    }
    return block;
}

Block key_to_materials(const Plan& plan) {
    Block block;
    block.heading = "Pieces by material";
    block.table.head = {"material", "pieces", "thickness"};
    std::map<std::string, std::pair<std::string, std::set<std::string>>> rows;
    for (const PlannedPiece& piece : plan.pieces) {
        auto& [names, thicknesses] = rows[piece.material];
        names += (names.empty() ? "" : ", ") + piece.id;
        thicknesses.insert(mm(piece.thickness));
    }
    for (const auto& [material, row] : rows) {
        std::string thicknesses;
        for (const std::string& t : row.second)
            thicknesses += (thicknesses.empty() ? "" : ", ") + t;
        block.table.rows.push_back({material, row.first, thicknesses});
    }
    return block;
}

Block price_block(const Plan& plan) {
    Block block;
    block.heading = "Price";
    block.table.head = {"line", "low", "likely", "high"};
    const auto money = [](double value) { return fmt::format("{:.2f}", value); };
    for (const PriceLine& line : plan.price.lines)
        block.table.rows.push_back({line.what, money(line.low), money(line.likely), money(line.high)});
    block.table.rows.push_back(
        {"total, " + plan.price.currency, money(plan.price.low), money(plan.price.likely), money(plan.price.high)});
    return block;
}

} // namespace

papers::Paper work_paper(const Job& job, const Plan& plan, const Proof& proof) {
    papers::Paper paper;
    paper.title = plan.title;
    papers::Page first;
    first.title = plan.title;
    first.subtitle = proof.proven() ? "programs proven from their own text"
                                    : "programs with findings: do not cut before they are mended";
    first.drawing = draw_set(plan);
    double seconds = 0;
    for (const PlannedSetup& setup : plan.setups)
        for (const PlannedProgram& program : setup.programs)
            seconds += program.time;
    Block facts;
    facts.heading = "The set";
    facts.facts = {{"pieces", std::to_string(plan.pieces.size())},
                   {"clearance", mm(job.clearance)},
                   {"setups", std::to_string(plan.setups.size())},
                   {"machine", plan.machine.title},
                   {"machine time", minutes(seconds)}};
    if (plan.has_tray) facts.facts.emplace_back("clearance to the tray", mm(job.tray_clearance));
    if (plan.assembly.samples > 0) {
        facts.facts.emplace_back("slack when assembled", mm(plan.assembly.slack));
        const auto chance = [](const Chance& c) {
            return fmt::format("{:.0f} % ({:.0f} to {:.0f} %)", 100 * c.chance, 100 * c.low, 100 * c.high);
        };
        facts.facts.emplace_back("goes together", plan.assembly.goes_together ? "yes" : "no");
        facts.facts.emplace_back("chance in the shop", chance(plan.assembly.shop));
        facts.facts.emplace_back("chance at the customer's", chance(plan.assembly.customer));
        if (plan.assembly.coating > 0) facts.facts.emplace_back("coating on edges", mm(plan.assembly.coating));
    }
    first.blocks = {facts, key_to_materials(plan), shopping_list(plan)};
    if (!plan.notes.empty()) {
        Block notes;
        notes.heading = "Notes";
        notes.lines = plan.notes;
        first.blocks.push_back(notes);
    }
    paper.pages.push_back(std::move(first));
    if (!plan.seams.empty()) paper.pages.push_back(seams_page(plan));
    for (const PlannedSetup& setup : plan.setups)
        paper.pages.push_back(setup_page(job, plan, setup, proof));
    return paper;
}

papers::Paper quote_paper(const Job& job, const Plan& plan) {
    papers::Paper paper;
    paper.title = "Quote: " + plan.title;
    papers::Page page;
    page.title = "Quote";
    page.subtitle = plan.title;
    page.drawing = draw_set(plan);
    Block facts;
    facts.heading = "The work";
    const plane::Box box = plan.has_tray ? plane::bounds(plan.tray.wall) : plane::Box{};
    facts.facts = {{"pieces", std::to_string(plan.pieces.size())}, {"clearance", mm(job.clearance)}};
    if (plan.has_tray) facts.facts.emplace_back("recess", fmt::format("{:.0f} x {:.0f} mm", box.width(), box.height()));
    page.blocks = {facts, key_to_materials(plan), price_block(plan)};
    paper.pages.push_back(std::move(page));
    return paper;
}

std::vector<std::pair<std::string, Drawn>> pictures_of(const Job&, const Plan& plan) {
    std::vector<std::pair<std::string, Drawn>> pictures{{"set", draw_set(plan)}, {"seams", draw_seams(plan)}};
    for (const PlannedSetup& setup : plan.setups)
        pictures.emplace_back("setup-" + setup.name, draw_setup(plan, setup));
    return pictures;
}

} // namespace kerfwright::job
