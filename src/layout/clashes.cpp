// The exact judgement of a layout, by true outlines. It shares nothing with the search but the rules.

#include "layout/room.hpp"
#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace kerfwright::layout {
namespace {

constexpr double kRounding = 1e-4; ///< mm; grid and doubles together stay well below

struct Lying {
    const Part* part = nullptr;
    const shop::Sheet* sheet = nullptr;
    plane::Polygon outline;
    plane::EdgeIndex edges;
    plane::Box box;
};

double from_vertices(const std::vector<plane::Ring>& rings, const plane::EdgeIndex& edges, double limit) {
    for (const plane::Ring& ring : rings)
        for (const plane::Point p : ring)
            if (const auto nearest = edges.nearest(plane::to_mm(p), limit)) limit = nearest->distance;
    return limit;
}

/// Between the edges of both, or `limit` when that is less. Edges that do not cross are nearest at an end of one.
double distance(const plane::EdgeIndex& a, const plane::EdgeIndex& b, double limit) {
    return from_vertices(b.rings(), a, from_vertices(a.rings(), b, limit));
}

/// mm that lack to `asked` between two areas; the whole of it when they overlap.
double lacking(const Lying& a, const plane::Polygon& b, const plane::EdgeIndex& b_edges, double asked) {
    if (!plane::overlap(plane::grown(a.box, asked), plane::bounds(b))) return 0;
    if (!plane::intersect({a.outline}, {b}).empty()) return asked;
    return asked - distance(a.edges, b_edges, asked);
}

double lacking_at_edge(const Lying& a, const LayoutOptions& options) {
    const double asked = options.edge + a.part->kerf;
    const plane::EdgeIndex rim(plane::Shape{a.sheet->outline});
    const plane::Shape outside = plane::subtract({a.outline}, {a.sheet->outline});
    if (outside.empty()) return asked - distance(a.edges, rim, asked);
    double out = 0;
    for (const plane::Ring& ring : plane::rings_of(outside))
        for (const plane::Point p : ring)
            out = std::max(out, rim.nearest(plane::to_mm(p))->distance);
    return asked + out;
}

void check_sheet(const Lying& a, const plane::Placement& placement, const LayoutOptions& options,
                 std::vector<Clash>& found) {
    const Part& part = *a.part;
    const shop::Sheet& sheet = *a.sheet;
    if (part.material != sheet.material)
        found.push_back({part.id, "material", 0});
    else if (!suits(part, sheet))
        found.push_back({part.id, "thickness", std::abs(part.thickness - sheet.thickness)});
    if (part.keep_grain) {
        constexpr double kSameAngle = 1e-6;
        double off = 180;
        for (const double angle : grain_angles(part, sheet))
            off = std::min(off, std::abs(std::remainder(placement.angle_deg - angle, 360)));
        if (off > kSameAngle) found.push_back({part.id, "grain", off});
    }
    if (const double by = lacking_at_edge(a, options); by > kRounding) found.push_back({part.id, "edge", by});
    for (std::size_t i = 0; i < sheet.clamps.size(); ++i) {
        const shop::Clamp& clamp = sheet.clamps[i];
        const plane::Polygon box{plane::rectangle(clamp.at, clamp.at + clamp.size), {}};
        const double by = lacking(a, box, plane::EdgeIndex(plane::Shape{box}), options.clamp_room + part.kerf);
        if (by > kRounding) found.push_back({part.id, fmt::format("clamp {}", i + 1), by});
    }
}

} // namespace

std::vector<Clash> clashes(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                           const std::vector<Placed>& placed, const LayoutOptions& options) {
    std::map<std::string, const Part*> part_of;
    for (const Part& part : parts)
        part_of.emplace(part.id, &part);
    std::map<std::string, const shop::Sheet*> sheet_of;
    for (const shop::Sheet& sheet : sheets)
        sheet_of.emplace(sheet.name, &sheet);

    std::vector<Clash> found;
    std::map<std::string, Lying> lying;
    for (const Placed& one : placed) {
        const auto part = part_of.find(one.id);
        const auto sheet = sheet_of.find(one.sheet);
        if (part == part_of.end())
            found.push_back({one.id, "part", 0});
        else if (sheet == sheet_of.end())
            found.push_back({one.id, "sheet", 0});
        else if (lying.contains(one.id))
            found.push_back({one.id, one.id, 0});
        else {
            const plane::Polygon outline = plane::placed(part->second->outline, one.placement);
            const auto& entry =
                *lying
                     .emplace(one.id, Lying{part->second, sheet->second, outline,
                                            plane::EdgeIndex(plane::Shape{outline}), plane::bounds(outline)})
                     .first;
            check_sheet(entry.second, one.placement, options, found);
        }
    }
    for (auto a = lying.begin(); a != lying.end(); ++a) {
        for (auto b = std::next(a); b != lying.end(); ++b) {
            if (a->second.sheet != b->second.sheet) continue;
            const double asked = std::max(a->second.part->kerf, b->second.part->kerf);
            const double by = lacking(a->second, b->second.outline, b->second.edges, asked);
            if (by > kRounding) found.push_back({a->first, b->first, by});
        }
    }
    return found;
}

} // namespace kerfwright::layout
