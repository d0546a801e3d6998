#include "job/setups.hpp"

#include "job/choose_cutters.hpp"
#include "motion/timing.hpp"
#include "plane/nearest.hpp"
#include "program/read.hpp"
#include "program/write.hpp"
#include "toolpath/toolpath.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace kerfwright::job {
namespace {

/// How deep a cut goes below a sheet that is cut through: half of what the bed allows, at most 0.15 mm (common
/// practice).
double below_the_sheet(const shop::Machine& machine) {
    return std::min(0.15, machine.bed_allowance / 2);
}

double tallest_clamp(const shop::Sheet& sheet) {
    double most = 0;
    for (const shop::Clamp& clamp : sheet.clamps)
        most = std::max(most, clamp.height);
    return most;
}

toolpath::SheetFrame frame_of(const shop::Sheet& sheet, const shop::Machine& machine, bool zero_on_bed) {
    constexpr double kNearTop = 1.0; // mm; rapids end here, feeds begin
    toolpath::SheetFrame frame;
    frame.top = zero_on_bed ? shop::thickest(sheet) : 0;
    frame.bottom = zero_on_bed ? 0 : -sheet.thickness;
    frame.clearance = frame.top + tallest_clamp(sheet) + machine.clearance_height;
    frame.near_top = frame.top + kNearTop;
    return frame;
}

std::string size_text(const shop::Sheet& sheet) {
    const plane::Box box = plane::bounds(sheet.outline);
    return fmt::format("{:.1f} x {:.1f} x {:.2f} mm", box.width(), box.height(), sheet.thickness);
}

/// Path that a run cuts, m.
double path_of(const toolpath::CutterRun& run) {
    double sum = 0;
    for (const toolpath::Workingstep& step : run.steps)
        for (const motion::Move& move : step.moves)
            if (move.kind != motion::MoveKind::rapid) sum += motion::length(move) / 1000;
    return sum;
}

/// Text, file name (without its number) and time of one cutter's run.
Result<PlannedProgram> program_of(const Job& job, const PlannedSetup& setup, const toolpath::CutterRun& run,
                                  const shop::Cutter& cutter, const toolpath::SheetFrame& frame) {
    program::ProgramToWrite out;
    out.n = run.n;
    out.clearance = frame.clearance;
    for (const toolpath::Workingstep& step : run.steps)
        out.sections.push_back({step.name, step.moves});
    const auto with_time = [&](const std::string& time) {
        out.header = {job.title,
                      fmt::format("setup {}, {} {}", setup.name, setup.sheet.material, size_text(setup.sheet)),
                      setup.zero,
                      fmt::format("cutter {}, DC {:.3f} mm, {} teeth, protruding {:.0f} mm", cutter.name, cutter.DC,
                                  cutter.ZEFP, cutter.LPR),
                      fmt::format("speed {:.0f} rev/min{}", run.n, time)};
        return program::write_program(out, job.machine);
    };
    auto draft = with_time("");
    if (!draft) return draft.problem();
    // The time is that of the text itself; the header that tells it does not change it.
    program::ReadOptions reading;
    reading.start = {0, 0, frame.clearance};
    const double seconds = motion::time_of(program::read_program(draft.value(), reading).moves, job.machine).total;
    auto text =
        with_time(fmt::format(", time {} min {:02} s", static_cast<int>(seconds) / 60, static_cast<int>(seconds) % 60));
    if (!text) return text.problem();
    return PlannedProgram{
        setup.name + "-" + cutter.name + ".nc", cutter.name, seconds, run.n, path_of(run), std::move(text).value()};
}

/// All feeds of one feature, by a factor.
void scale_feeds(toolpath::CutterRun& run, const std::string& feature, double factor) {
    for (toolpath::Workingstep& step : run.steps)
        if (step.feature == feature)
            for (motion::Move& move : step.moves)
                move.feed *= factor;
}

Problem in_setup(Problem problem, const Job& job, const shop::Sheet& sheet) {
    if (problem.file.empty()) {
        problem.file = job.file;
        problem.line = sheet.line;
    }
    problem.what = "setup " + sheet.name + ": " + problem.what;
    return problem;
}

/// Where the piece's seams are listed with a gap that is not what was asked: no tabs there, whose stubs would have to
/// be sanded off. Program coordinates, with radii. Long spots (free edges) are no places to avoid.
std::vector<std::pair<plane::Vec, double>> tight_spots_of(const PlannedPiece& piece,
                                                          const std::vector<PlannedSeam>& seams) {
    constexpr double kLongest = 30, kAround = 1; // mm
    std::vector<std::pair<plane::Vec, double>> spots;
    for (const PlannedSeam& seam : seams) {
        if (seam.a != piece.id && seam.b != piece.id) continue;
        for (const PlannedSpot& spot : seam.spots) {
            const double across = plane::distance(spot.box.low, spot.box.high);
            if (across > kLongest) continue;
            spots.emplace_back(plane::placed((spot.box.low + spot.box.high) * 0.5, piece.placement),
                               across / 2 + kAround);
        }
    }
    return spots;
}

/// Where a neighbour's slot would run into a tab or leave it no web to hold on to: the neighbour's edge, with radii.
void keep_tabs_from_neighbours(std::vector<holding::PartToHold>& parts) {
    constexpr double kWeb = 2;  // mm between two slots: our judgement, a thinner strip gives way
    constexpr double kStep = 1; // mm along an edge
    for (holding::PartToHold& part : parts) {
        const double radius = 2 * part.slot_width + kWeb;
        const plane::Box near = plane::grown(plane::bounds(part.outline), radius + kStep);
        for (const holding::PartToHold& other : parts) {
            if (&other == &part || !plane::overlap(near, plane::bounds(other.outline))) continue;
            for (const plane::Ring& ring : plane::rings_of(other.outline)) // a part may lie in another's opening
                for (const plane::Vec p : plane::sampled(ring, kStep))
                    if (plane::overlap(near, plane::Box{p, p})) part.tight_spots.emplace_back(p, radius);
        }
    }
}

/// Feed plans of a sheet's profiles and what holds its parts with them.
struct HeldFeeds {
    cutting::FeedPlan rough, finish;
    std::vector<holding::PartToHold> parts;
    holding::SetupHold hold;
    bool layer_apart = false;
};

/// Smaller cutters that suit the material, with their feeds: what could be proposed for parts that are held too little.
std::vector<holding::OtherCutter> smaller_cutters(const Job& job, const shop::Material& material,
                                                  const shop::Cutter& cutter, cutting::Task roughing,
                                                  cutting::Task finishing) {
    std::vector<holding::OtherCutter> others;
    for (const shop::Cutter& other : suiting_cutters(job, material)) {
        if (other.DC >= cutter.DC) continue;
        auto rough = cutting::plan_feeds(material, other, job.machine, roughing);
        if (!rough) continue;
        finishing.n = rough.value().setting.n;
        auto finish = cutting::plan_feeds(material, other, job.machine, finishing);
        if (!finish) continue;
        const double slot = std::max(other.DC, rough.value().setting.slot_width);
        others.push_back({other.name, slot, std::move(rough).value(), std::move(finish).value()});
    }
    return others;
}

/// What a clamp or screw more must keep from a part's outline, for proposals: as tall as the tallest that is listed.
void set_room_for_clamps(holding::HoldOptions& options, shop::Sheet sheet, const shop::Cutter& cutter,
                         const shop::Machine& machine, double slot) {
    constexpr double kClamp = 25, kClampFoot = 15, kScrewHead = 4, kScrewRadius = 5; // mm, common practice
    const double lowest = -below_the_sheet(machine), beyond = slot - cutter.DC / 2;
    sheet.clamps.push_back({{}, {}, std::max(kClamp, tallest_clamp(sheet))});
    options.clamp_room = room_for_spindle(sheet, cutter, machine, lowest) + beyond + kClampFoot;
    sheet.clamps = {{{}, {}, kScrewHead}};
    options.screw_room = room_for_spindle(sheet, cutter, machine, lowest) + beyond + kScrewRadius;
}

/// The fastest feeds first. While a part's margin stays below 1, the last layer gets a pass of its own; then the force
/// that binds is lowered and both are done again.
Result<HeldFeeds> feeds_and_hold(const Job& job, const shop::Sheet& sheet, const shop::Material& material,
                                 const shop::Cutter& cutter, double depth, const std::vector<PlannedPiece*>& pieces,
                                 const std::vector<PlannedSeam>& seams) {
    constexpr int kAttempts = 7;
    constexpr double kLeastShare = 0.3; // of the force, in one step
    cutting::Task roughing, finishing;
    roughing.depth = finishing.depth = depth;
    roughing.finish_allowance = kFinishAllowance;
    finishing.finish_allowance = kFinishMost;
    finishing.step = cutting::Step::finish;
    holding::HoldOptions options;
    options.others = smaller_cutters(job, material, cutter, roughing, finishing);
    std::optional<HeldFeeds> best;
    for (int attempt = 0; attempt < kAttempts; ++attempt) {
        auto rough = cutting::plan_feeds(material, cutter, job.machine, roughing);
        if (rough) finishing.n = rough.value().setting.n; // one speed for the whole program
        auto finish = cutting::plan_feeds(material, cutter, job.machine, finishing);
        if ((!rough || !finish) && best) break; // no gentler setting is inside all limits: keep what there is
        if (!rough) return rough.problem();
        if (!finish) return finish.problem();
        HeldFeeds held{std::move(rough).value(), std::move(finish).value(), {}, {}};
        for (const PlannedPiece* piece : pieces)
            held.parts.push_back({piece->id, plane::placed(piece->outline, piece->placement), sheet.thickness,
                                  std::max(cutter.DC, held.rough.setting.slot_width), tight_spots_of(*piece, seams)});
        keep_tabs_from_neighbours(held.parts);
        set_room_for_clamps(options, sheet, cutter, job.machine, held.parts.front().slot_width);
        held.layer_apart = options.layer_apart;
        auto hold = holding::hold_parts(held.parts, sheet, material, job.machine, held.rough, &held.finish, options);
        if (!hold) return hold.problem();
        held.hold = std::move(hold).value();
        const auto worst = std::min_element(held.hold.parts.begin(), held.hold.parts.end(),
                                            [](const auto& a, const auto& b) { return a.margin < b.margin; });
        const bool by_finishing = worst->moment == "finishing" || worst->moment == "last layer";
        cutting::Task& task = by_finishing ? finishing : roughing;
        const double force = (by_finishing ? held.finish : held.rough).loads.force_peak;
        task.holding_force = force * std::clamp(0.95 * worst->margin, kLeastShare, 0.95);
        const bool enough = held.hold.margin_min >= 1;
        if (by_finishing && !options.layer_apart) { // the same feeds in the other order
            options.layer_apart = true;
            task.holding_force = 0;
        }
        if (!best || held.hold.margin_min > best->hold.margin_min) best = std::move(held);
        if (enough) break;
    }
    return std::move(*best);
}

/// Mean height of the measured bed under a part's slot, in whole micrometres; a skin keeps a little above the Z zero.
double bed_under(const shop::Sheet& sheet, const plane::Polygon& outline, double skin) {
    constexpr double kStep = 5, kLeast = 0.05; // mm
    double sum = 0, count = 0;
    for (const plane::Vec& at : plane::sampled(outline.outer, kStep))
        sum += shop::bed_at(sheet, at), ++count;
    return std::max(kLeast - skin, std::round(1000 * sum / count) / 1000);
}

/// How the pieces will lie, in a line.
std::string floors_note(const PlannedTray& tray) {
    double shallowest = 1e300, deepest = 0, least = 1e300, most = -1e300;
    const Support* worst = nullptr;
    for (const PlannedFloor& floor : tray.floors) {
        shallowest = std::min(shallowest, floor.depth), deepest = std::max(deepest, floor.depth);
        for (const Support& one : floor.support) {
            least = std::min(least, one.top), most = std::max(most, one.top);
            if (worst == nullptr || one.share < worst->share) worst = &one;
        }
    }
    if (worst == nullptr) return "";
    const std::string floors = tray.floors.size() == 1 ? fmt::format("one floor, {:.2f} mm deep", deepest)
                                                       : fmt::format("{} floors, {:.2f} to {:.2f} mm deep",
                                                                     tray.floors.size(), shallowest, deepest);
    const double asked = std::round((least + most) / 2 * 100) / 100;
    const double within = std::max(most - asked, asked - least);
    std::string tops = asked == 0 ? "level with the rim" : fmt::format("{:+.2f} mm from the rim", asked);
    if (within >= 5e-4) tops += fmt::format(" within {:.3f} mm", within);
    return fmt::format("{}; all tops end {}; every piece rests on {:.1f} % of its footprint or more "
                       "({})",
                       floors, tops, std::floor(1000 * worst->share) / 10, worst->piece);
}

/// Where floors follow the sheet's own surface.
std::vector<std::string> surface_notes(const PlannedTray& tray) {
    constexpr double kWorthAWord = 0.01; // mm
    std::vector<std::string> notes;
    for (const PlannedFloor& floor : tray.floors)
        for (const Support& one : floor.support)
            if (const double shift = one.top - one.thickness + floor.depth; std::abs(shift) >= kWorthAWord - 1e-9)
                notes.push_back(fmt::format("the floor of {} is cut {:.2f} mm {} to follow the sheet's measured "
                                            "thickness",
                                            one.piece, std::abs(shift), shift > 0 ? "deeper" : "less deep"));
    return notes;
}

/// Feeds for clearing down to `task.depth`. Where there are floors at several depths, in passes so deep that one takes
/// the cutter from the shallowest floor to the deepest, if it stands that: every area is then cleared in two.
Result<cutting::FeedPlan> clearing_feeds(const shop::Material& material, const shop::Cutter& cutter,
                                         const shop::Machine& machine, cutting::Task task, double shallowest) {
    auto plan = cutting::plan_feeds(material, cutter, machine, task);
    const double deepest = task.depth;
    task.depth = std::max(shallowest, deepest - shallowest);
    if (!plan || task.depth >= deepest || plan.value().setting.ap >= task.depth) return plan;
    auto deeper = cutting::plan_feeds(material, cutter, machine, task);
    return deeper && deeper.value().setting.passes == 1 ? deeper : plan;
}

/// Settings of all the tray's cutters.
Result<std::vector<toolpath::Technology>> tray_technologies(const Job& job, const shop::Material& material,
                                                            const PlannedTray& tray,
                                                            const std::vector<shop::Cutter>& cutters) {
    double deepest = 0, shallowest = 1e300;
    for (const PlannedFloor& floor : tray.floors) {
        deepest = std::max(deepest, floor.depth);
        shallowest = std::min(shallowest, floor.depth);
    }
    std::vector<toolpath::Technology> technologies;
    for (std::size_t i = 0; i < cutters.size(); ++i) {
        cutting::Task task;
        task.depth = deepest;
        task.finish_allowance = kFinishMost;
        // What a larger cutter left is often as wide as this one: it is planned as a full slot.
        task.step = i == 0 ? cutting::Step::pocket : cutting::Step::profile;
        const bool last = i + 1 == cutters.size();
        auto rough = last ? cutting::plan_feeds(material, cutters[i], job.machine, task)
                          : clearing_feeds(material, cutters[i], job.machine, task, shallowest);
        if (!rough) return rough.problem();
        if (i > 0) rough.value().step = cutting::Step::rest;
        technologies.push_back({cutters[i], rough.value(), rough.value(), kFinishAllowance, true});
        if (!last) continue; // the others finish nothing
        task.step = cutting::Step::finish;
        task.n = rough.value().setting.n;
        auto finish = cutting::plan_feeds(material, cutters[i], job.machine, task);
        if (!finish) return finish.problem();
        technologies.back().finish = std::move(finish).value();
    }
    return technologies;
}

} // namespace

double room_for_spindle(const shop::Sheet& sheet, const shop::Cutter& cutter, const shop::Machine& machine,
                        double lowest) {
    constexpr double kAir = 2.0; // mm between a turning nut and a clamp
    const double clamp_top = shop::thickest(sheet) + tallest_clamp(sheet);
    double radius = cutter.radius();
    if (lowest + cutter.APMX < clamp_top) radius = std::max(radius, cutter.DCON / 2);
    for (const shop::Cylinder& part : machine.stack)
        if (lowest + cutter.LPR + part.from < clamp_top) radius = std::max(radius, part.diameter / 2);
    return radius + kAir;
}

Result<BuiltSetup> build_piece_setup(const Job& job, const shop::Sheet& sheet, const std::vector<PlannedPiece*>& pieces,
                                     const std::vector<PlannedSeam>& seams, const SetupVariation& variation) {
    const shop::Material& material = *find_material(job.library, sheet.material);
    const shop::Cutter& cutter = *std::find_if(job.cutters.begin(), job.cutters.end(),
                                               [&](const auto& c) { return c.name == pieces.front()->cutter; });
    BuiltSetup built;
    built.cutters = {cutter};
    PlannedSetup& setup = built.setup;
    setup.name = sheet.name;
    setup.sheet = sheet;
    setup.zero = "X0 Y0 at the sheet's lower left corner, Z0 on the bed";
    const toolpath::SheetFrame frame = frame_of(sheet, job.machine, true);

    auto held = feeds_and_hold(job, sheet, material, cutter, frame.top, pieces, seams);
    if (!held) return in_setup(held.problem(), job, sheet);
    const auto& [rough, finish, parts, hold, layer_apart] = held.value();
    setup.skin = hold.skin;
    setup.margin_min = hold.margin_min;
    setup.notes = hold.notes;
    if (sheet.bed.size() >= 3 && hold.skin > 0)
        setup.notes.push_back("each part's skin follows the measured bed under it");
    if (layer_apart)
        setup.notes.push_back("walls are finished first, then the last layer is taken in a pass of its own: in one "
                              "pass both would pull too hard on a part");

    const toolpath::Technology technology{cutter, rough, finish, kFinishAllowance, true, layer_apart};
    const double side_per_height = 1 / std::tan(toolpath::tab_side_angle(technology) * std::numbers::pi / 180);
    std::vector<toolpath::ProfileFeature> features;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const holding::PartHold& part = hold.parts[i];
        pieces[i]->skin = variation.skin.empty() ? part.skin : variation.skin[i];
        pieces[i]->tabs = part.tabs;
        for (holding::Tab& tab : pieces[i]->tabs)
            tab.base = tab.width + 2 * tab.thickness * side_per_height;
        pieces[i]->margin = part.margin;
        pieces[i]->bed = pieces[i]->skin > 0 ? bed_under(sheet, parts[i].outline, pieces[i]->skin) : 0;
        const double floor = pieces[i]->skin > 0 ? pieces[i]->skin + pieces[i]->bed : -below_the_sheet(job.machine);
        features.push_back({"profile " + pieces[i]->id, parts[i].outline, floor, part.tabs});
        for (const std::string& proposal : part.proposals)
            setup.notes.push_back(pieces[i]->id + ": " + proposal);
    }
    auto run = toolpath::profile_run(features, technology, frame, job.machine);
    if (!run) return in_setup(run.problem(), job, sheet);
    for (std::size_t i = 0; i < variation.feed.size(); ++i)
        scale_feeds(run.value(), features[i].name, variation.feed[i]);
    auto program = program_of(job, setup, run.value(), cutter, frame);
    if (!program) return in_setup(program.problem(), job, sheet);
    setup.programs.push_back(std::move(program).value());
    built.feeds = {technology.rough, technology.finish};
    return built;
}

Result<BuiltSetup> build_tray_setup(const Job& job, const shop::Sheet& sheet, const PlannedTray& tray,
                                    const std::vector<shop::Cutter>& cutters) {
    const shop::Material& material = *find_material(job.library, sheet.material);
    BuiltSetup built;
    built.cutters = cutters;
    PlannedSetup& setup = built.setup;
    setup.name = sheet.name;
    setup.sheet = sheet;
    setup.z_zero_on_bed = false;
    setup.zero = "X0 Y0 at the sheet's lower left corner, Z0 on its top face";
    if (std::string note = floors_note(tray); !note.empty()) setup.notes.push_back(std::move(note));
    if (sheet.measured.size() >= 3) {
        setup.zero += " at that corner";
        for (std::string& note : surface_notes(tray))
            setup.notes.push_back(std::move(note));
    }
    setup.margin_min = 0;
    const toolpath::SheetFrame frame = frame_of(sheet, job.machine, false);

    auto technologies = tray_technologies(job, material, tray, cutters);
    if (!technologies) return in_setup(technologies.problem(), job, sheet);
    for (const toolpath::Technology& technology : technologies.value())
        built.feeds.push_back(technology.rough);
    built.feeds.push_back(technologies.value().back().finish);
    toolpath::PocketFeature pocket;
    pocket.name = "tray";
    pocket.wall = plane::placed(tray.wall, tray.placement);
    for (const PlannedFloor& floor : tray.floors)
        pocket.floors.push_back({floor.depth, plane::placed(floor.area, tray.placement)});
    auto runs = toolpath::pocket_runs({pocket}, technologies.value(), frame, job.machine);
    if (!runs) return in_setup(runs.problem(), job, sheet);
    for (const toolpath::CutterRun& run : runs.value()) {
        setup.notes.insert(setup.notes.end(), run.notes.begin(), run.notes.end());
        const shop::Cutter& cutter =
            *std::find_if(cutters.begin(), cutters.end(), [&](const auto& c) { return c.name == run.cutter; });
        auto program = program_of(job, setup, run, cutter, frame);
        if (!program) return in_setup(program.problem(), job, sheet);
        setup.programs.push_back(std::move(program).value());
    }
    return built;
}

} // namespace kerfwright::job
