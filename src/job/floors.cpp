#include "job/floors.hpp"

#include "plane/arcs.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::job {
namespace {

using plane::Shape;

constexpr plane::OffsetOptions kChords{0.005};
constexpr double kThinning = 0.005; // mm; steps need not be truer
constexpr double kSpeck = 1e-3;     // mm², what is smaller is rounding
constexpr double kMargin = 0.04;    // mm around a piece that is cleared for it, for all of these

Shape thinned(const Shape& shape) {
    std::vector<plane::Ring> rings;
    for (const plane::Ring& ring : plane::rings_of(shape))
        if (plane::Ring thin = plane::simplified(ring, kThinning); thin.size() >= 3) rings.push_back(std::move(thin));
    return plane::normal(rings);
}

Shape without_slivers(Shape shape) {
    constexpr double kThinnest = 0.002; // mm
    std::erase_if(shape, [](const plane::Polygon& polygon) {
        return plane::area(polygon) < kThinnest * plane::perimeter(polygon) / 2;
    });
    return plane::without_specks(std::move(shape), kSpeck);
}

/// Without strips thinner than the steps are true, as they stay between borders that are meant to be one.
Shape without_hair(const Shape& shape) {
    constexpr double kHair = 0.012; // mm, half the width of the widest
    const Shape core = plane::offset(thinned(shape), -kHair, kChords);
    return without_slivers(plane::intersect(shape, plane::offset(thinned(core), 1.5 * kHair, kChords)));
}

/// Where a cutter's centre may be in the recess.
struct Reach {
    Shape centres;
    double radius = 0;
};

Shape missing_of(const Shape& asked, const Shape& cleared) {
    return without_slivers(plane::subtract(asked, cleared));
}

/// `cleared` and discs of the cutter around what it lacks of `asked`: they go out of `free` as little as will do.
Shape with_discs(const Reach& reach, const Shape& asked, const Shape& free, Shape cleared) {
    constexpr int kSteps = 6;
    const double radius = reach.radius;
    for (int i = 1; i <= kSteps; ++i) {
        const Shape missing = missing_of(asked, cleared);
        if (missing.empty()) break;
        const double share = static_cast<double>(i) / kSteps;
        const Shape near = plane::offset(missing, 2 * radius, kChords);
        Shape centres = plane::intersect(reach.centres, plane::offset(missing, radius, kChords));
        if (i < kSteps) {
            const double inside = radius * (1 - share * share);
            centres = plane::intersect(centres, plane::offset(plane::intersect(free, near), -inside, kChords));
        }
        cleared = plane::unite(cleared, plane::offset(centres, radius, kChords));
    }
    return cleared;
}

/// Pieces of one depth.
struct Level {
    double depth = 0;
    std::vector<const FloorWish*> pieces;
};

std::vector<Level> levels_of(const std::vector<FloorWish>& wishes) {
    constexpr double kSame = 1e-6; // mm
    std::vector<const FloorWish*> sorted;
    for (const FloorWish& wish : wishes)
        sorted.push_back(&wish);
    std::stable_sort(sorted.begin(), sorted.end(), [](auto* a, auto* b) { return a->depth < b->depth; });
    std::vector<Level> levels;
    for (const FloorWish* wish : sorted) {
        if (levels.empty() || wish->depth - levels.back().depth > kSame) levels.push_back({wish->depth, {}});
        levels.back().pieces.push_back(wish);
    }
    return levels;
}

Shape outlines_of(const std::vector<Level>& levels, std::size_t from, std::size_t to) {
    std::vector<Shape> outlines;
    for (std::size_t k = from; k < to; ++k)
        for (const FloorWish* wish : levels[k].pieces)
            outlines.push_back({wish->outline});
    return thinned(plane::unite(outlines));
}

PlannedFloor floor_of(const Level& level, Shape area) {
    PlannedFloor floor;
    floor.depth = level.depth;
    floor.area = std::move(area);
    for (const FloorWish* wish : level.pieces) {
        floor.piece += (floor.piece.empty() ? "" : ", ") + wish->piece;
        const double on_it = plane::area(plane::intersect({wish->outline}, floor.area));
        floor.support.push_back({wish->piece, on_it / plane::area(wish->outline), wish->thickness,
                                 wish->thickness - (wish->depth - wish->surface)});
    }
    return floor;
}

} // namespace

std::vector<PlannedFloor> stepped_floors(const Shape& wall, const std::vector<FloorWish>& wishes,
                                         const std::vector<double>& radii, double clearance) {
    constexpr double kAround = 3;       // radii around a piece that its floor may take of the gaps
    constexpr double kEase = 1.01;      // so that the cutter has room in what it is to clear
    const double aside = clearance / 6; // of a step from the shallower piece
    const std::vector<Level> levels = levels_of(wishes);
    std::vector<Reach> reaches;
    for (const double radius : radii)
        reaches.push_back({plane::offset(thinned(wall), -(radius - kThinning / 2), kChords), radius * kEase});
    // Along the wall the last cutter goes everywhere anyway.
    const Shape along_wall =
        radii.size() < 2 ? Shape{} : plane::subtract(wall, plane::offset(thinned(wall), -2 * radii.front(), kChords));
    std::vector<Shape> down(levels.size() + 1); // at each level's depth or deeper
    for (std::size_t k = levels.size(); k-- > 1;) {
        const Shape own = outlines_of(levels, k, k + 1);
        const Shape shallower = plane::offset(outlines_of(levels, 0, k), aside, kChords);
        const Shape around = plane::offset(own, kAround * radii.front(), kChords);
        const Shape free = plane::subtract(plane::intersect(wall, around), shallower);
        const Shape asked = plane::offset(own, kMargin, kChords);
        Shape cleared = plane::opening(free, reaches.front().radius, kChords);
        if (!along_wall.empty())
            cleared = plane::unite(cleared,
                                   plane::opening(plane::intersect(free, along_wall), reaches.back().radius, kChords));
        for (const Reach& reach : reaches)
            cleared = with_discs(reach, asked, free, std::move(cleared));
        down[k] = plane::unite(down[k + 1], plane::intersect(thinned(cleared), wall));
    }
    std::vector<PlannedFloor> floors;
    Shape rest = wall;
    for (std::size_t k = 0; k < levels.size(); ++k) {
        Shape area = without_hair(plane::subtract(rest, down[k + 1]));
        rest = plane::subtract(rest, area);
        floors.push_back(floor_of(levels[k], std::move(area)));
    }
    return floors;
}

double thickness_under(const Job& job, const PlannedPiece& piece) {
    constexpr int kCells = 12; // to a side
    const auto sheet =
        std::find_if(job.sheets.begin(), job.sheets.end(), [&](const auto& s) { return s.name == piece.sheet; });
    if (sheet == job.sheets.end() || sheet->measured.empty()) return piece.thickness;
    const plane::Polygon placed = plane::placed(piece.outline, piece.placement);
    const plane::Box box = plane::bounds(placed);
    double sum = 0;
    int count = 0;
    for (int i = 0; i < kCells; ++i)
        for (int j = 0; j < kCells; ++j) {
            const plane::Vec at{box.low.x + box.width() * (i + 0.5) / kCells,
                                box.low.y + box.height() * (j + 0.5) / kCells};
            if (plane::side_of(placed, plane::to_grid(at)) == plane::Side::outside) continue;
            sum += shop::thickness_at(*sheet, at);
            ++count;
        }
    return count > 0 ? sum / count : shop::thickness_at(*sheet, plane::centroid(placed));
}

} // namespace kerfwright::job
