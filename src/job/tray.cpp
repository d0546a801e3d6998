#include "job/setups.hpp"

#include "plane/nearest.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::job {
namespace {

/// Thinnest floor that may be left under a recess, mm (common practice).
constexpr double kLeastFloor = 2.0;

/// How far the clamp boxes and the sheet's edges are from the recess; negative when it is overlapped.
double room_around(const plane::Shape& wall, const shop::Sheet& sheet) {
    const plane::EdgeIndex edges(wall);
    double room = 1e300;
    for (const plane::Vec p : plane::sampled(sheet.outline.outer, 5)) room = std::min(room, edges.nearest(p)->distance);
    for (const shop::Clamp& clamp : sheet.clamps)
        for (const plane::Vec p : plane::sampled(plane::rectangle(clamp.at, clamp.at + clamp.size), 1))
            room = std::min(room, plane::contains(wall, plane::to_grid(p)) ? -1.0 : edges.nearest(p)->distance);
    return room;
}

} // namespace

Result<PlannedTray> plan_tray(const Job& job, const shop::Sheet& sheet, plane::Shape wall, plane::Shape wall_as_cut,
                              const std::vector<PlannedPiece>& pieces, double) {
    const TrayWish& wish = *job.tray;
    const auto problem = [&](const std::string& what, const std::string& remedy) {
        return Problem{job.file, wish.line, wish.column, "[tray]: " + what, remedy};
    };
    PlannedTray tray;
    tray.setup = sheet.name;
    tray.sheet = sheet.name;

    double thickest = 0;
    for (const PlannedPiece& piece : pieces) thickest = std::max(thickest, piece.thickness);
    const double depth = thickest - wish.proud.value_or(0);
    if (depth <= 0) return problem("the pieces would stand proud by more than their thickness", "make \"top\" smaller");
    if (depth > sheet.thickness - kLeastFloor)
        return problem(fmt::format("a recess of {:.2f} mm leaves less than {:.1f} mm of the {:.2f} mm sheet \"{}\"", depth, kLeastFloor,
                                   sheet.thickness, sheet.name),
                       fmt::format("use a sheet of at least {:.1f} mm, or let the pieces stand proud", depth + kLeastFloor));

    // In the middle of the sheet, upright if it goes, else turned by a quarter.
    const plane::Box stock = plane::bounds(sheet.outline);
    for (const double angle : {0.0, 90.0}) {
        const plane::Box set = plane::bounds(plane::placed(wall, {0, 0, angle}));
        const plane::Vec shift = (stock.low + stock.high - set.low - set.high) * 0.5;
        const plane::Placement placement{shift.x, shift.y, angle};
        if (set.width() + 2 * wish.border > stock.width() + 1e-9 || set.height() + 2 * wish.border > stock.height() + 1e-9) continue;
        const plane::Shape placed = plane::placed(wall, placement);
        if (room_around(placed, sheet) < std::min(1.0, wish.border)) continue;
        tray.placement = placement;
        tray.floors.push_back({"", depth, wall});
        tray.wall = std::move(wall);
        tray.wall_as_cut = std::move(wall_as_cut);
        return tray;
    }
    const plane::Box set = plane::bounds(wall);
    return problem(fmt::format("the set of {:.1f} x {:.1f} mm with a rim of {:.1f} mm does not fit on sheet \"{}\" ({:.1f} x {:.1f} mm) "
                               "beside its clamps",
                               set.width(), set.height(), wish.border, sheet.name, stock.width(), stock.height()),
                   "use a larger sheet, a smaller border, or move the clamps");
}

} // namespace kerfwright::job
