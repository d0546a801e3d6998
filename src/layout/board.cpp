#include "layout/board.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

constexpr double kCoarseStep = 0.01;  ///< mm; placements are whole hundredths
constexpr int kTurns = 36;            ///< angles tried where grain does not bind
constexpr std::size_t kFinalists = 8; ///< angles whose best place is worked out exactly

double cell_for(plane::Box box) {
    constexpr double kCells = 2e5;
    constexpr double kMostCells = 4e6;
    const double area = box.width() * box.height();
    return std::max(std::clamp(std::sqrt(area / kCells), 0.4, 1.5), std::sqrt(area / kMostCells));
}

/// The four angles at which the outline's box is smallest, to half a degree.
std::vector<double> box_angles(const Outline& body) {
    double best_area = 1e300;
    double best = 0;
    for (int k = 0; k < 180; ++k) {
        const double angle = k * 0.5;
        const plane::Box box = bounds(moved(body, {0, 0, angle}));
        const double area = box.width() * box.height();
        if (area < best_area * (1 - 1e-9)) {
            best_area = area;
            best = angle;
        }
    }
    return {best, best + 90, best + 180, best + 270};
}

std::vector<double> angles_for(const Item& item, const shop::Sheet& sheet) {
    if (item.part->keep_grain) return grain_angles(*item.part, sheet);
    std::vector<double> angles = box_angles(item.body.outline);
    for (int k = 0; k < kTurns; ++k)
        angles.push_back(k * 360.0 / kTurns);
    std::sort(angles.begin(), angles.end());
    angles.erase(std::unique(angles.begin(), angles.end()), angles.end());
    return angles;
}

std::vector<Outline> rings(const plane::Shape& shape) {
    std::vector<Outline> outlines;
    for (const plane::Ring& ring : plane::rings_of(shape))
        outlines.push_back(to_outline(ring));
    return outlines;
}

double hundredths(double v) {
    return std::round(v * 100) / 100;
}

double cost(const Item& item, const plane::Placement& placement, const Pull& pull) {
    const plane::Box box = bounds(moved(item.body.outline, placement));
    return pull.x * box.high.x + pull.y * box.high.y;
}

} // namespace

plane::Placement of_drawing(const Item& item, const plane::Placement& placement) {
    const plane::Vec shift = plane::placed(item.centre * -1, placement);
    return {hundredths(shift.x), hundredths(shift.y), placement.angle_deg};
}

plane::Placement of_item(const Item& item, const plane::Placement& placement) {
    const plane::Vec at = plane::placed(item.centre, placement);
    return {at.x, at.y, placement.angle_deg};
}

Board::Board(const shop::Sheet& sheet, const std::vector<double>& kerfs, const LayoutOptions& options)
    : sheet_(&sheet) {
    const plane::Box box = plane::bounds(sheet.outline);
    const double cell = cell_for(box);
    for (const double kerf : kerfs) {
        layers_.push_back(
            {Obstacles(rings(free_room(sheet, kerf, options))), Raster(plane::grown(box, 2 * cell), cell)});
        layers_.back().raster.take_outside(layers_.back().obstacles.room());
    }
}

bool Board::free(const Item& item, const plane::Placement& placement) const {
    return layers_[item.kerf_class].obstacles.free(moved(item.body.outline, placement));
}

void Board::put(const Item& item, const plane::Placement& placement) {
    for (std::size_t k = 0; k < layers_.size(); ++k) {
        const Outline grown = moved(item.grown[k].outline, placement);
        layers_[k].raster.take({grown});
        layers_[k].obstacles.add(grown);
    }
}

std::optional<plane::Placement> Board::find(const Item& item, const Pull& pull) const {
    struct Candidate {
        double cost;
        plane::Placement placement;
    };
    const Raster& raster = layers_[item.kerf_class].raster;
    std::vector<Candidate> candidates;
    for (const double angle : angles_for(item, *sheet_)) {
        const Stencil stencil = make_stencil(moved(item.body.outline, {0, 0, angle}), raster.cell());
        Candidate best{1e300, {}};
        for (int column = 0; column + stencil.columns <= raster.columns(); ++column) {
            const plane::Vec end = raster.corner(column + stencil.columns, stencil.rows);
            if (pull.x * end.x + pull.y * end.y >= best.cost) break;
            const int row = raster.lowest(stencil, column);
            if (row < 0) continue;
            const plane::Vec top = raster.corner(column + stencil.columns, row + stencil.rows);
            const double value = pull.x * top.x + pull.y * top.y;
            if (value >= best.cost) continue;
            const plane::Vec at = raster.corner(column, row) - stencil.corner;
            best = {value, {at.x, at.y, angle}};
        }
        if (best.cost < 1e300) candidates.push_back(best);
    }
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.cost < b.cost; });
    if (candidates.size() > kFinalists) candidates.resize(kFinalists);
    std::optional<plane::Placement> best;
    double best_cost = 1e300;
    for (const Candidate& candidate : candidates) {
        // Rounded as it will be written, then judged.
        const plane::Placement start = of_item(item, of_drawing(item, candidate.placement));
        if (!free(item, start)) continue;
        const plane::Placement end = settled(item, start, pull);
        if (const double value = cost(item, end, pull); value < best_cost) {
            best_cost = value;
            best = end;
        }
    }
    return best;
}

plane::Placement Board::settled(const Item& item, plane::Placement placement, const Pull& pull) const {
    // Ever smaller steps towards the pull, along each axis and both at once.
    const plane::Vec ways[] = {{pull.x > 0 ? -1.0 : 0.0, 0}, {0, pull.y > 0 ? -1.0 : 0.0}, {-0.7, 0.7}, {0.7, -0.7}};
    constexpr int kMostSteps = 400;
    int steps = 0;
    for (double step = 1.28; step >= kCoarseStep / 2; step /= 2) {
        for (bool again = true; again && steps < kMostSteps;) {
            again = false;
            for (const plane::Vec way : ways) {
                if (pull.x * way.x + pull.y * way.y >= 0) continue;
                const plane::Placement next{placement.x + hundredths(way.x * step),
                                            placement.y + hundredths(way.y * step), placement.angle_deg};
                ++steps;
                if (next == placement || !free(item, next)) continue;
                placement = next;
                again = true;
            }
        }
    }
    return placement;
}

} // namespace kerfwright::layout
