#include "drawing/partition.hpp"

#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::drawing {
namespace {

using plane::Shape;

Shape shape_of(const Outline& outline) {
    return plane::normal(outline.rings, outline.even_odd ? plane::FillRule::even_odd : plane::FillRule::nonzero);
}

void move_by(Shape& shape, plane::Point by) {
    for (plane::Polygon& polygon : shape) {
        for (plane::Point& p : polygon.outer)
            p = {p.x + by.x, p.y + by.y};
        for (plane::Ring& hole : polygon.holes)
            for (plane::Point& p : hole)
                p = {p.x + by.x, p.y + by.y};
    }
}

} // namespace

Result<Drawing> make_partition(Sketch sketch, const std::string& file, const ReadOptions& options) {
    Drawing drawing;
    drawing.notes = std::move(sketch.notes);
    auto named = name_regions(sketch, file, options, drawing.notes);
    if (!named) return named.problem();
    for (const NamedOutlines& group : named.value()) {
        std::vector<Shape> shapes;
        for (const std::size_t i : group.outlines)
            shapes.push_back(shape_of(sketch.outlines[i]));
        const Outline& first = sketch.outlines[group.outlines.front()];
        drawing.regions.push_back({group.name, first.fill, plane::unite(shapes), first.line});
    }
    if (drawing.regions.empty())
        return Problem{file, 0, 0, "there is no closed outline in the drawing", "draw each region as a closed outline"};
    plane::Box box;
    for (const Region& region : drawing.regions)
        plane::extend(box, plane::bounds(region.shape));
    const plane::Point low = plane::to_grid(box.low);
    for (Region& region : drawing.regions)
        move_by(region.shape, {-low.x, -low.y});
    drawing.width = box.width();
    drawing.height = box.height();
    for (Region& outer : drawing.regions)
        for (const Region& inner : drawing.regions)
            if (&inner != &outer && plane::area(inner.shape) < plane::area(outer.shape))
                outer.shape = plane::subtract(outer.shape, inner.shape);
    std::sort(drawing.regions.begin(), drawing.regions.end(),
              [](const Region& a, const Region& b) { return a.name < b.name; });
    drawing.seams = find_seams(drawing.regions);
    return drawing;
}

} // namespace kerfwright::drawing
