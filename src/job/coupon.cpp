#include "job/coupon.hpp"

#include "job/price.hpp"
#include "job/setups.hpp"
#include "job/shop_named.hpp"
#include "job/wear.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::job {
namespace {

// What is tried, from left to right; common practice.
constexpr double kGaps[] = {0.05, 0.10, 0.15, 0.20, 0.30}; // mm per side
constexpr double kFeeds[] = {0.5, 0.65, 0.8, 0.9, 1.0};    // of the planned feed
constexpr double kSkins[] = {0.2, 0.3, 0.45, 0.6, 0.8};    // mm

constexpr double kPlug = 24;   // mm, side of the plug
constexpr double kSquare = 24; // mm
constexpr double kDisc = 22;   // mm, diameter
constexpr double kWall = 10;   // mm of plate around a socket
constexpr double kRim = 20;    // mm of sheet around everything

plane::Polygon rounded_square(plane::Vec centre, double side, double corner) {
    const plane::Vec half{side / 2 - corner, side / 2 - corner};
    return plane::offset({{plane::rectangle(centre - half, centre + half), {}}}, corner).front();
}

plane::Polygon disc(plane::Vec centre, double diameter) {
    constexpr int kCorners = 180;
    plane::Ring ring;
    for (int i = 0; i < kCorners; ++i) {
        const double angle = 2 * std::numbers::pi * i / kCorners;
        ring.push_back(plane::to_grid(centre + plane::Vec{std::cos(angle), std::sin(angle)} * (diameter / 2)));
    }
    return {ring, {}};
}

/// The plate's upper left corner is cut off, so that the narrowest socket is known afterwards.
plane::Ring marked_plate(plane::Vec low, plane::Vec high) {
    constexpr double kMark = 8; // mm
    return {plane::to_grid(low), plane::to_grid({high.x, low.y}), plane::to_grid(high),
            plane::to_grid({low.x + kMark, high.y}), plane::to_grid({low.x, high.y - kMark})};
}

struct Shapes {
    std::vector<plane::Polygon> outlines;
    std::vector<CouponPart> parts;
    SetupVariation variation;
};

/// The plate with its sockets, then the plug beside it.
Shapes fit_shapes(double slot, double radius) {
    Shapes shapes;
    const double corner = radius + 1.5;
    const double step = kPlug + kWall;
    const double height = kPlug + 2 * kWall;
    const plane::Vec low{kRim, kRim};
    plane::Polygon plate{marked_plate(low, low + plane::Vec{step * std::size(kGaps) + kWall, height}), {}};
    for (std::size_t i = 0; i < std::size(kGaps); ++i) {
        const plane::Vec centre = low + plane::Vec{kWall + kPlug / 2 + step * static_cast<double>(i), height / 2};
        plane::Ring socket = rounded_square(centre, kPlug + 2 * kGaps[i], corner + kGaps[i]).outer;
        std::reverse(socket.begin(), socket.end());
        plate.holes.push_back(std::move(socket));
        shapes.parts.push_back({fmt::format("socket {}", i + 1), kGaps[i]});
    }
    const double right = low.x + step * std::size(kGaps) + kWall;
    shapes.outlines = {plate, rounded_square({right + 2 * slot + kPlug / 2, low.y + height / 2}, kPlug, corner)};
    return shapes;
}

Shapes row(const std::vector<double>& values, double size, double slot, bool round) {
    Shapes shapes;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const plane::Vec centre{kRim + size / 2 + (size + 2 * slot + 2) * static_cast<double>(i), kRim + size / 2};
        shapes.outlines.push_back(round ? disc(centre, size) : rounded_square(centre, size, 3));
        shapes.parts.push_back({fmt::format("part {}", i + 1), values[i]});
    }
    return shapes;
}

Shapes shapes_for(CouponKind kind, double slot, double radius, double planned_feed) {
    if (kind == CouponKind::fit) return fit_shapes(slot, radius);
    if (kind == CouponKind::skin) {
        Shapes shapes = row({std::begin(kSkins), std::end(kSkins)}, kDisc, slot, true);
        shapes.variation.skin.assign(std::begin(kSkins), std::end(kSkins));
        return shapes;
    }
    Shapes shapes = row({std::begin(kFeeds), std::end(kFeeds)}, kSquare, slot, false);
    shapes.variation.feed.assign(std::begin(kFeeds), std::end(kFeeds));
    for (CouponPart& part : shapes.parts)
        part.value *= planned_feed;
    return shapes;
}

Result<Job> job_of(const CouponWish& wish) {
    std::vector<std::string> hold = wish.hold;
    if (hold.empty()) hold = {"tape"};
    if (wish.kind == CouponKind::skin && std::find(hold.begin(), hold.end(), "skin") == hold.end())
        hold.push_back("skin");
    std::string holds;
    for (const std::string& name : hold)
        holds += (holds.empty() ? "\"" : ", \"") + name + "\"";
    const std::string text =
        fmt::format(R"(format = 1
title = "coupon: {0} of {1} with {2}"
[drawing]
file = "coupon"
[pieces]
"*" = "{1}"
[[sheet]]
name = "coupon"
material = "{1}"
size = [100, 100]
thickness = {3}
hold = [{4}]
[machine]
name = "{5}"
[shop]
cutters = ["{2}"]
)",
                    to_string(wish.kind), wish.material, wish.cutter, wish.thickness, holds, wish.machine);
    auto job = read_job(text, "coupon", [](const std::string& name) -> Result<std::string> {
        return Problem{name, 0, 0, "is not shipped", "name a shipped cutter or machine"};
    });
    if (job) return job;
    return Problem{"", 0, 0, job.problem().what, job.problem().remedy};
}

} // namespace

const char* to_string(CouponKind kind) {
    switch (kind) {
    case CouponKind::fit:
        return "fit";
    case CouponKind::feed:
        return "feed";
    case CouponKind::skin:
        return "skin";
    }
    return "";
}

Result<Coupon> make_coupon(const CouponWish& wish) {
    if (auto known = material_named(wish.material); !known) return known.problem();
    if (auto known = cutter_named(wish.cutter); !known) return known.problem();
    auto job = job_of(wish);
    if (!job) return job.problem();
    Coupon coupon{std::move(job).value(), {}, {}};
    shop::Sheet& sheet = coupon.job.sheets.front();
    const shop::Cutter& cutter = coupon.job.cutters.front();
    cutting::Task task;
    task.depth = sheet.thickness;
    task.finish_allowance = kFinishAllowance;
    auto feeds =
        cutting::plan_feeds(*find_material(coupon.job.library, wish.material), cutter, coupon.job.machine, task);
    if (!feeds) return feeds.problem();
    const double slot = std::max(cutter.DC, feeds.value().setting.slot_width) + kFinishAllowance;
    const Shapes shapes = shapes_for(wish.kind, slot, cutter.radius(), feeds.value().setting.vf);

    plane::Box box = plane::bounds(shapes.outlines.front());
    Plan& plan = coupon.plan;
    for (std::size_t i = 0; i < shapes.outlines.size(); ++i) {
        PlannedPiece piece;
        piece.id = wish.kind == CouponKind::fit ? (i == 0 ? "plate" : "plug") : fmt::format("part {}", i + 1);
        piece.region = piece.id;
        piece.material = wish.material;
        piece.cutter = cutter.name;
        piece.sheet = piece.setup = sheet.name;
        piece.thickness = sheet.thickness;
        piece.outline = piece.as_cut = shapes.outlines[i];
        plan.pieces.push_back(std::move(piece));
        box.high.x = std::max(box.high.x, plane::bounds(shapes.outlines[i]).high.x);
        box.high.y = std::max(box.high.y, plane::bounds(shapes.outlines[i]).high.y);
    }
    sheet.outline.outer = plane::rectangle({0, 0}, {std::ceil(box.high.x + kRim), std::ceil(box.high.y + kRim)});
    std::vector<PlannedPiece*> pieces;
    for (PlannedPiece& piece : plan.pieces)
        pieces.push_back(&piece);
    auto built = build_piece_setup(coupon.job, sheet, pieces, {}, shapes.variation);
    if (!built) return built.problem();
    plan.title = coupon.job.title;
    plan.machine = coupon.job.machine;
    plan.cutters = built.value().cutters;
    plan.feeds = built.value().feeds;
    plan.materials = {*find_material(coupon.job.library, wish.material)};
    for (PlannedProgram& program : built.value().setup.programs)
        program.file = "programs/01-" + program.file;
    plan.setups = {std::move(built.value().setup)};
    add_wear(coupon.job, plan);
    plan.price = price_of(coupon.job, plan);
    coupon.parts = shapes.parts;
    return coupon;
}

papers::Paper coupon_form(const CouponWish& wish, const Coupon& coupon) {
    papers::Page page;
    page.title = "Form";
    page.subtitle = coupon.job.title;
    papers::Block table;
    papers::Block after;
    after.heading = "Afterwards";
    table.heading = "What was seen";
    switch (wish.kind) {
    case CouponKind::fit:
        table.lines = {"The socket at the cut-off corner is number 1."};
        table.table.head = {"socket", "gap per side, mm", "plug goes in (no / pressed / by hand / loose)"};
        after.lines = {
            "Measure the plug across both sides and a socket across both sides; enter each size:",
            fmt::format("kerfwright log add size --cutter {} --asked {:.2f} --measured ...", wish.cutter, kPlug),
            fmt::format("kerfwright log add size --cutter {} --asked {:.2f} --measured ... --inside", wish.cutter,
                        kPlug + 2 * kGaps[0]),
            "The clearance of the job file is twice the gap per side of the socket that fits as you like."};
        break;
    case CouponKind::feed:
        table.table.head = {"part", "feed, mm/min", "sound, edge, chips (good / noisy / rough / melted / burnt)"};
        after.lines = {"Enter each part:",
                       fmt::format("kerfwright log add cut --material {} --cutter {} --n {:.0f} --vf ... --outcome ...",
                                   wish.material, wish.cutter, coupon.plan.setups.front().programs.front().n)};
        break;
    case CouponKind::skin:
        table.table.head = {"part", "skin asked, mm", "skin measured, mm", "stayed (held / lost), parts how"};
        after.lines = {"Enter each part with the margin of the setup's page:",
                       fmt::format("kerfwright log add part --material {} --hold ... --margin ... --outcome held|lost",
                                   wish.material)};
        break;
    }
    for (const CouponPart& part : coupon.parts) {
        std::vector<std::string> cells{part.id, wish.kind == CouponKind::feed ? fmt::format("{:.0f}", part.value)
                                                                              : fmt::format("{:.2f}", part.value)};
        cells.resize(table.table.head.size(), "________________________");
        table.table.rows.push_back(std::move(cells));
    }
    page.blocks = {table, after};
    return {coupon.job.title, {page}};
}

} // namespace kerfwright::job
