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
    Outline body = covering(centred, 0);
    const std::vector<Circle> circles = inner_circles(body);
    item.body = make_solid(std::move(body), circles);
    for (const double kerf : kerfs) {
        const double room = std::max(kerf, part.kerf);
        std::vector<Circle> larger = circles;
        for (Circle& circle : larger)
            circle.radius += room;
        item.grown.push_back(make_solid(covering(centred, room), std::move(larger)));
    }
    item.kerf_class = static_cast<std::size_t>(std::find(kerfs.begin(), kerfs.end(), part.kerf) - kerfs.begin());
    item.area = std::abs(plane::signed_area(centred));
    item.room = plane::area(grow({plane::Polygon{centred, {}}}, part.kerf / 2));
    return item;
}

plane::Shape free_room(const shop::Sheet& sheet, double kerf, const LayoutOptions& options) {
    const double more = kShare + kChord + kRounding;
    plane::Shape room = grow({sheet.outline}, -(options.edge + kerf + more));
    for (const shop::Clamp& clamp : sheet.clamps) {
        const plane::Polygon box{plane::rectangle(clamp.at, clamp.at + clamp.size), {}};
        room = plane::subtract(room, grow({box}, options.clamp_room + kerf + more));
    }
    return room;
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
