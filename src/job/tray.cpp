#include "job/floors.hpp"
#include "job/setups.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace kerfwright::job {
namespace {

/// Thinnest floor that may be left under a recess, mm (common practice).
constexpr double kLeastFloor = 2.0;
/// Least share of a piece's footprint that must rest on its floor.
constexpr double kLeastSupport = 0.9;

/// Is everything on `outline` outside the recess and at least `room` from its wall?
bool clear_of(const plane::Shape& wall, const plane::EdgeIndex& edges, const plane::Ring& outline, double room) {
    const auto points = plane::sampled(outline, 1);
    return std::all_of(points.begin(), points.end(), [&](plane::Vec p) {
        return !plane::contains(wall, plane::to_grid(p)) && edges.nearest(p)->distance >= room;
    });
}

/// Is the recess far enough from the sheet's edges and, for every cutter, from its clamps?
bool has_room(const plane::Shape& wall, const shop::Sheet& sheet, const shop::Machine& machine,
              const std::vector<shop::Cutter>& cutters, double depth) {
    constexpr double kLeastRim = 1.0; // mm
    const plane::EdgeIndex edges(wall);
    for (const plane::Vec p : plane::sampled(sheet.outline.outer, 1))
        if (edges.nearest(p)->distance < kLeastRim) return false;
    double room = 0;
    for (const shop::Cutter& cutter : cutters)
        room = std::max(room, room_for_spindle(sheet, cutter, machine, sheet.thickness - depth) - cutter.radius());
    return std::all_of(sheet.clamps.begin(), sheet.clamps.end(), [&](const shop::Clamp& clamp) {
        return clear_of(wall, edges, plane::rectangle(clamp.at, clamp.at + clamp.size), room);
    });
}

Problem tray_problem(const Job& job, const std::string& what, const std::string& remedy) {
    return {job.file, job.tray->line, job.tray->column, "[tray]: " + what, remedy};
}

/// A piece, and how thick it is where it was cut.
struct Laid {
    const PlannedPiece* piece = nullptr;
    double thickness = 0;
};

std::vector<Laid> laid_in(const Job& job, const std::vector<PlannedPiece>& pieces) {
    std::vector<Laid> laid;
    for (const PlannedPiece& piece : pieces)
        laid.push_back({&piece, thickness_under(job, piece)});
    return laid;
}

/// A piece whose floor the sheet is too thin for, or that has none.
std::optional<Problem> wrong_depth(const Job& job, const shop::Sheet& sheet, const std::vector<Laid>& laid) {
    const double proud = job.tray->proud.value_or(0);
    double thinnest = sheet.thickness;
    for (const shop::ThicknessPoint& point : sheet.measured)
        thinnest = std::min(thinnest, point.thickness);
    for (const Laid& one : laid) {
        const double depth = one.thickness - proud, most = thinnest - kLeastFloor;
        if (depth < job.machine.z_step)
            return tray_problem(job,
                                fmt::format("{} would stand proud by {:.2f} mm, and is {:.2f} mm thick", one.piece->id,
                                            proud, one.thickness),
                                "make \"top\" smaller");
        if (depth > most)
            return tray_problem(
                job,
                fmt::format("a floor {:.2f} mm deep for {} leaves less than {:.1f} mm of the {:.2f} mm sheet \"{}\"",
                            depth, one.piece->id, kLeastFloor, thinnest, sheet.name),
                fmt::format("use a sheet of at least {:.2f} mm, stock of at most {:.2f} mm for {}, or top = {:.2f}",
                            depth + kLeastFloor, most + proud, one.piece->id, one.thickness - most));
    }
    return std::nullopt;
}

/// Floors under all pieces, so deep that every top is level with the sheet's own surface around it.
std::vector<PlannedFloor> floors_under(const Job& job, const shop::Sheet& sheet, const plane::Shape& wall,
                                       const plane::Placement& placement, const std::vector<Laid>& laid,
                                       const std::vector<double>& radii) {
    const double step = job.machine.z_step, proud = job.tray->proud.value_or(0);
    std::vector<FloorWish> wishes;
    for (const Laid& one : laid) {
        const double shift = surface_shift(sheet, plane::placed(plane::Shape{one.piece->as_cut}, placement));
        const double depth = std::round((one.thickness - proud + shift) / step) * step;
        wishes.push_back({one.piece->id, one.piece->as_cut, std::max(depth, step), one.thickness, shift});
    }
    return stepped_floors(wall, wishes, radii, job.clearance);
}

const Support* least_support(const std::vector<PlannedFloor>& floors) {
    const Support* least = nullptr;
    for (const PlannedFloor& floor : floors)
        for (const Support& one : floor.support)
            if (least == nullptr || one.share < least->share) least = &one;
    return least;
}

/// Steps that the largest cutter can make (the first one apart, if it is for wide areas only) which leaves every piece
/// well supported: the fewer corners are left for small ones, the sooner the tray is done.
std::vector<PlannedFloor> best_floors(const Job& job, const shop::Sheet& sheet, const plane::Shape& wall,
                                      const plane::Placement& placement, const std::vector<Laid>& laid,
                                      const std::vector<shop::Cutter>& cutters) {
    constexpr double kWell = 0.97; // choice
    std::vector<double> radii;
    for (const shop::Cutter& cutter : cutters)
        if (cutter.kind != shop::CutterKind::clearing || cutters.size() == 1) radii.push_back(cutter.radius());
    for (;; radii.erase(radii.begin())) {
        auto floors = floors_under(job, sheet, wall, placement, laid, radii);
        if (radii.size() == 1 || least_support(floors)->share >= kWell) return floors;
    }
}

/// A piece that its deeper neighbours leave too little to rest on, and the cutter that would do.
std::optional<Problem> unsupported(const Job& job, const shop::Sheet& sheet, const PlannedTray& tray,
                                   const std::vector<Laid>& laid, const shop::Cutter& cutter) {
    const Support* worst = least_support(tray.floors);
    if (worst == nullptr || worst->share >= kLeastSupport) return std::nullopt;
    std::string remedy = "give it stock as thick as its neighbours'";
    for (const double share : {0.75, 0.5, 0.33, 0.25}) {
        const auto finer = floors_under(job, sheet, tray.wall, tray.placement, laid, {share * cutter.radius()});
        if (least_support(finer)->share < kLeastSupport) continue;
        remedy += fmt::format(", or name a cutter of at most {:.2f} mm for \"tray\" in [cutter]", share * cutter.DC);
        break;
    }
    return tray_problem(
        job,
        fmt::format("{} would rest on {:.0f} % of its footprint only: {} needs room in the floors beside it",
                    worst->piece, std::floor(100 * worst->share), cutter.name),
        remedy);
}

} // namespace

double surface_shift(const shop::Sheet& sheet, const plane::Shape& area) {
    constexpr std::size_t kLeastPoints = 3;
    if (sheet.measured.size() < kLeastPoints) return 0;
    plane::Vec middle;
    double whole = 0;
    for (const plane::Polygon& polygon : area) {
        const double share = plane::area(polygon);
        middle = middle + plane::centroid(polygon) * share;
        whole += share;
    }
    if (whole <= 0) return 0;
    return shop::thickness_at(sheet, {0, 0}) - shop::thickness_at(sheet, middle * (1 / whole));
}

Result<PlannedTray> plan_tray(const Job& job, const shop::Sheet& sheet, plane::Shape wall, plane::Shape wall_as_cut,
                              const std::vector<PlannedPiece>& pieces, const std::vector<shop::Cutter>& cutters) {
    const TrayWish& wish = *job.tray;
    PlannedTray tray;
    tray.setup = sheet.name;
    tray.sheet = sheet.name;

    const std::vector<Laid> laid = laid_in(job, pieces);
    if (auto problem = wrong_depth(job, sheet, laid)) return *problem;
    double deepest = 0;
    for (const Laid& one : laid)
        deepest = std::max(deepest, one.thickness - wish.proud.value_or(0));

    // In the middle of the sheet, upright if it goes, else turned by a quarter.
    const plane::Box stock = plane::bounds(sheet.outline);
    for (const double angle : {0.0, 90.0}) {
        const plane::Box set = plane::bounds(plane::placed(wall, {0, 0, angle}));
        const plane::Vec shift = (stock.low + stock.high - set.low - set.high) * 0.5;
        const plane::Placement placement{shift.x, shift.y, angle};
        if (set.width() + 2 * wish.border > stock.width() + 1e-9 ||
            set.height() + 2 * wish.border > stock.height() + 1e-9)
            continue;
        const plane::Shape placed = plane::placed(wall, placement);
        if (!has_room(placed, sheet, job.machine, cutters, deepest)) continue;
        tray.placement = placement;
        tray.floors = best_floors(job, sheet, wall, placement, laid, cutters);
        tray.wall = std::move(wall);
        tray.wall_as_cut = std::move(wall_as_cut);
        if (auto problem = unsupported(job, sheet, tray, laid, cutters.back())) return *problem;
        return tray;
    }
    const plane::Box set = plane::bounds(wall);
    return tray_problem(
        job,
        fmt::format(
            "the set of {:.1f} x {:.1f} mm with a rim of {:.1f} mm does not fit on sheet \"{}\" ({:.1f} x {:.1f} mm) "
            "beside its clamps",
            set.width(), set.height(), wish.border, sheet.name, stock.width(), stock.height()),
        "use a larger sheet, a smaller border, or move the clamps");
}

} // namespace kerfwright::job
