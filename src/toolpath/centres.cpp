#include "toolpath/centres.hpp"

#include "plane/arcs.hpp"
#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <algorithm>

namespace kerfwright::toolpath {

using plane::OffsetOptions;
using plane::Ring;
using plane::Shape;

namespace {

constexpr double kArcTolerance = 5e-4; // mm, of the chords of finished offsets

} // namespace

Shape thinned(const Shape& shape, double tolerance) {
    std::vector<Ring> rings;
    for (const Ring& ring : rings_of(shape)) {
        Ring thin = plane::simplified(ring, tolerance);
        if (thin.size() >= 3) rings.push_back(std::move(thin));
    }
    return plane::normal(rings);
}

Shape inset(Shape free, double distance, const OffsetOptions& options) {
    // An offset that turns a small round area inside out takes the square of its corners.
    std::erase_if(free, [&](const plane::Polygon& polygon) {
        const plane::Box box = bounds(polygon);
        return std::min(box.width(), box.height()) <= 2 * distance;
    });
    Shape centres = offset(free, -distance, options);
    // Where the input doubles back on itself by some grid steps the offset may leave a thorn that reaches to the
    // border: no vertex may lie nearer to it than the distance. A cutter must never follow a thorn.
    const plane::EdgeIndex border(free);
    const double least = distance - std::max(2 * options.arc_tolerance, 1e-3);
    const auto drop = [&](Ring& ring) {
        std::erase_if(ring, [&](plane::Point p) { return border.nearest(plane::to_mm(p), least).has_value(); });
    };
    for (plane::Polygon& polygon : centres) {
        drop(polygon.outer);
        for (Ring& hole : polygon.holes)
            drop(hole);
        std::erase_if(polygon.holes, [](const Ring& hole) { return hole.size() < 3; });
    }
    std::erase_if(centres, [](const plane::Polygon& polygon) { return polygon.outer.size() < 3; });
    return centres;
}

Shape cleaned(const Shape& shape) {
    constexpr double kBelowAnyone = 2e-4; // mm
    return thinned(shape, kBelowAnyone);
}

Shape with_tips(Shape main, const Shape& utmost, double gap) {
    const OffsetOptions coarse{kSlack};
    const Shape tips = subtract(utmost, offset(thinned(main, kAccount), gap, coarse));
    if (tips.empty()) return main;
    // Grown by a little more than the gap so that they reach back into the main area.
    return unite(main, intersect(utmost, offset(tips, 1.1 * gap, coarse)));
}

Shape centres_with_tips(const Shape& free, double radius, double allowance) {
    const OffsetOptions fine{kArcTolerance};
    Shape main = inset(free, radius + allowance, fine);
    const Shape utmost = inset(free, radius - kSlack, fine);
    if (utmost.empty()) return main;
    return with_tips(std::move(main), utmost, tip_gap(allowance));
}

Shape around(const Ring& outer, double room) {
    const plane::Box box = grown(bounds(outer), room);
    return {{plane::rectangle(box.low, box.high), {plane::reversed(outer)}}};
}

std::vector<Ring> rings_within(const Shape& shape, const Ring& outer, double room) {
    const double frame = grown(bounds(outer), room / 2).width();
    std::vector<Ring> rings;
    for (Ring& ring : rings_of(shape))
        if (bounds(ring).width() < frame) rings.push_back(std::move(ring));
    return rings;
}

} // namespace kerfwright::toolpath
