#include "toolpath/centres.hpp"

#include "plane/boolean.hpp"

#include <algorithm>

namespace kerfwright::toolpath {

using plane::OffsetOptions;
using plane::Ring;
using plane::Shape;

namespace {

constexpr double kArcTolerance = 5e-4; // mm, of the chords of finished offsets

} // namespace

Shape inset(Shape free, double distance, const OffsetOptions& options) {
    // An offset that turns a small round area inside out takes the square of its corners.
    std::erase_if(free, [&](const plane::Polygon& polygon) {
        const plane::Box box = bounds(polygon);
        return std::min(box.width(), box.height()) <= 2 * distance;
    });
    return offset(free, -distance, options);
}

Shape centres_with_tips(const Shape& free, double radius, double allowance) {
    const OffsetOptions fine{kArcTolerance};
    const OffsetOptions coarse{kSlack};
    Shape main = inset(free, radius + allowance, fine);
    const Shape utmost = inset(free, radius - kSlack, fine);
    if (utmost.empty()) return main;
    const double gap = 2.5 * allowance + 3 * kSlack;
    const Shape tips = subtract(utmost, offset(main, gap, coarse));
    if (tips.empty()) return main;
    // Grown by a little more than the gap so that they reach back into the main area.
    return unite(main, intersect(utmost, offset(tips, 1.1 * gap, coarse)));
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
