#include "layout/room.hpp"

#include "plane/arcs.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

// A pair's slack is shared by two outlines, each first grown by one share, then simplified by up to another share.
constexpr double kShare = kSlack / 4;
constexpr double kChord = kShare / 8;
constexpr double kRounding = 1e-4; // mm, for doubles and the 10 nm grid

Outline to_outline(const plane::Ring& ring) {
    Outline outline;
    outline.reserve(ring.size());
    for (const plane::Point p : ring)
        outline.push_back(plane::to_mm(p));
    return outline;
}

plane::Shape grow(const plane::Shape& shape, double by) {
    return plane::offset(shape, by, {.arc_tolerance = kChord});
}

/// Everything within `by` mm of the ring or inside it, with few vertices.
Outline covering(const plane::Ring& ring, double by) {
    const plane::Shape grown = grow({plane::Polygon{ring, {}}}, by + kShare + kChord + kRounding);
    return to_outline(plane::simplified(plane::largest(grown).outer, kShare - kRounding));
}

} // namespace

std::vector<double> kerf_classes(const std::vector<const Part*>& parts) {
    std::vector<double> kerfs;
    for (const Part* part : parts)
        kerfs.push_back(part->kerf);
    std::sort(kerfs.begin(), kerfs.end());
    kerfs.erase(std::unique(kerfs.begin(), kerfs.end()), kerfs.end());
    return kerfs;
}

Item make_item(const Part& part, const std::vector<double>& kerfs) {
    Item item;
    item.part = &part;
    const plane::Box box = plane::bounds(part.outline);
    item.centre = (box.low + box.high) * 0.5;
    const plane::Vec back = item.centre * -1;
    const plane::Ring centred = plane::placed(part.outline.outer, {back.x, back.y, 0});
    item.body = covering(centred, 0);
    for (const double kerf : kerfs)
        item.grown.push_back(covering(centred, std::max(kerf, part.kerf)));
    item.kerf_class = static_cast<std::size_t>(std::find(kerfs.begin(), kerfs.end(), part.kerf) - kerfs.begin());
    item.area = std::abs(plane::signed_area(centred));
    item.room = plane::area(grow({plane::Polygon{centred, {}}}, part.kerf / 2));
    return item;
}

std::vector<Outline> free_room(const shop::Sheet& sheet, double kerf, const LayoutOptions& options) {
    const double more = kShare + kChord + kRounding;
    plane::Shape room = grow({sheet.outline}, -(options.edge + kerf + more));
    for (const shop::Clamp& clamp : sheet.clamps) {
        const plane::Polygon box{plane::rectangle(clamp.at, clamp.at + clamp.size), {}};
        room = plane::subtract(room, grow({box}, options.clamp_room + kerf + more));
    }
    std::vector<Outline> rings;
    for (const plane::Ring& ring : plane::rings_of(room))
        rings.push_back(to_outline(ring));
    return rings;
}

Outline moved(const Outline& outline, const plane::Placement& placement) {
    Outline out;
    out.reserve(outline.size());
    const plane::Vec x = plane::placed({1, 0}, {0, 0, placement.angle_deg});
    const plane::Vec shift{placement.x, placement.y};
    for (const plane::Vec v : outline)
        out.push_back(plane::Vec{x.x * v.x - x.y * v.y, x.y * v.x + x.x * v.y} + shift);
    return out;
}

plane::Box bounds(const Outline& outline) {
    plane::Box box;
    for (const plane::Vec v : outline)
        plane::extend(box, v);
    return box;
}

bool inside(const Outline& outline, plane::Vec p) {
    bool in = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const plane::Vec a = outline[j];
        const plane::Vec b = outline[i];
        if ((a.y > p.y) == (b.y > p.y)) continue;
        if (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) in = !in;
    }
    return in;
}

bool suits(const Part& part, const shop::Sheet& sheet) {
    constexpr double kSameThickness = 0.01 + 1e-9;
    if (part.material != sheet.material) return false;
    return part.thickness <= 0 || std::abs(part.thickness - sheet.thickness) <= kSameThickness;
}

std::vector<double> grain_angles(const Part& part, const shop::Sheet& sheet) {
    const double turn = std::fmod(std::fmod(sheet.grain_deg - part.grain_deg, 180) + 180, 180);
    return {turn, turn + 180};
}

} // namespace kerfwright::layout
