#include "job/setups.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::job {
namespace {

/// Thinnest floor that may be left under a recess, mm (common practice).
constexpr double kLeastFloor = 2.0;

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
    const auto problem = [&](const std::string& what, const std::string& remedy) {
        return Problem{job.file, wish.line, wish.column, "[tray]: " + what, remedy};
    };
    PlannedTray tray;
    tray.setup = sheet.name;
    tray.sheet = sheet.name;

    double thickest = 0;
    for (const PlannedPiece& piece : pieces)
        thickest = std::max(thickest, piece.thickness);
    const double depth = thickest - wish.proud.value_or(0);
    if (depth <= 0) return problem("the pieces would stand proud by more than their thickness", "make \"top\" smaller");
    if (depth > sheet.thickness - kLeastFloor)
        return problem(
            fmt::format("a recess of {:.2f} mm leaves less than {:.1f} mm of the {:.2f} mm sheet \"{}\"", depth,
                        kLeastFloor, sheet.thickness, sheet.name),
            fmt::format("use a sheet of at least {:.1f} mm, or let the pieces stand proud", depth + kLeastFloor));

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
        if (!has_room(placed, sheet, job.machine, cutters, depth)) continue;
        tray.placement = placement;
        tray.floors.push_back({"", depth + surface_shift(sheet, placed), wall});
        tray.wall = std::move(wall);
        tray.wall_as_cut = std::move(wall_as_cut);
        return tray;
    }
    const plane::Box set = plane::bounds(wall);
    return problem(
        fmt::format(
            "the set of {:.1f} x {:.1f} mm with a rim of {:.1f} mm does not fit on sheet \"{}\" ({:.1f} x {:.1f} mm) "
            "beside its clamps",
            set.width(), set.height(), wish.border, sheet.name, stock.width(), stock.height()),
        "use a larger sheet, a smaller border, or move the clamps");
}

} // namespace kerfwright::job
