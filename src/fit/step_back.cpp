#include "fit/step_back.hpp"

#include "fit/disc_search.hpp"
#include "fit/local_boolean.hpp"
#include "fit/thickness.hpp"
#include "plane/boolean.hpp"
#include "plane/offset.hpp"

#include <algorithm>

namespace kerfwright::fit {
namespace {

/// Eased arcs have the cutter's radius but for kRoom, so a true fill is some micrometres deep; deeper ones are checked.
constexpr double kCheckAbove = 0.01; // mm

bool is_true_fill(const plane::Polygon& fill, const plane::EdgeIndex& index, double radius) {
    const plane::Vec deep = plane::inner_point(fill);
    return out_of_reach(index, deep, radius) > kNoise / 2;
}

} // namespace

plane::Shape closed_by_cutter(const plane::Shape& shape, double radius) {
    plane::Shape found = fills(shape, radius);
    if (found.empty()) return shape;
    const plane::EdgeIndex index(shape);
    std::erase_if(found, [&](const plane::Polygon& fill) {
        return thicker_than(fill, kCheckAbove) && !is_true_fill(fill, index, radius);
    });
    return plane::without_specks(with(shape, nudged(found, 1e-4)), 1e-6);
}

SteppedBack step_back(const plane::Shape& eased, double step, double cutter_radius) {
    SteppedBack out;
    out.asked = plane::without_specks(plane::offset(eased, -step, {kArcTolerance}), 1e-6);
    std::sort(out.asked.begin(), out.asked.end(),
              [](const plane::Polygon& a, const plane::Polygon& b) { return plane::area(a) > plane::area(b); });
    if (!out.asked.empty()) out.as_cut = closed_by_cutter({out.asked.front()}, cutter_radius);
    return out;
}

Recess recess(const plane::Shape& eased_tray, const plane::Ring& frame, double step, double cutter_radius) {
    const plane::Shape whole{{frame, {}}};
    // The frame's own edge must not step back with the solid, so the recess is grown instead.
    Recess out;
    out.asked = plane::offset(plane::subtract(whole, eased_tray), step, {kArcTolerance});
    out.asked = plane::without_specks(std::move(out.asked), 1e-6);
    // The solid is what a cutter in the recess runs around.
    const plane::Shape solid = plane::subtract(whole, out.asked);
    out.as_cut = plane::without_specks(plane::subtract(whole, closed_by_cutter(solid, cutter_radius)), 1e-6);
    return out;
}

} // namespace kerfwright::fit
