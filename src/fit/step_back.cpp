#include "fit/step_back.hpp"

#include "fit/disc_search.hpp"
#include "fit/local_boolean.hpp"
#include "fit/rolling_disc.hpp"
#include "fit/thickness.hpp"
#include "fit/windows.hpp"
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
    Closing closing = fit::closing(shape, radius);
    const auto is_deep = [](const plane::Polygon& fill) { return thicker_than(fill, kCheckAbove); };
    if (std::none_of(closing.fills.begin(), closing.fills.end(), is_deep)) return closing.closed;
    const plane::EdgeIndex index(shape);
    const auto is_false = [&](const plane::Polygon& fill) {
        return is_deep(fill) && !is_true_fill(fill, index, radius);
    };
    if (std::erase_if(closing.fills, is_false) == 0) return closing.closed;
    return plane::without_specks(with(shape, nudged(closing.fills, kNudge / 2)), 1e-6);
}

plane::Shape inset(const plane::Shape& shape, double distance) {
    if (distance <= 0 || shape.empty()) return plane::offset(shape, -distance, {kArcTolerance});
    constexpr double kMore = 3.7e-6; // mm
    constexpr int kTries = 4;
    for (int attempt = 0; attempt < kTries; ++attempt)
        if (auto found = rolled_inset(shape, distance + attempt * kMore, kArcTolerance / 2))
            return plane::without_specks(std::move(*found), 1e-6);
    return plane::without_specks(plane::offset(shape, -distance, {kArcTolerance / 2}), 1e-6);
}

SteppedBack step_back(const plane::Shape& eased, double step, double cutter_radius) {
    SteppedBack out;
    out.asked = inset(eased, step);
    std::sort(out.asked.begin(), out.asked.end(),
              [](const plane::Polygon& a, const plane::Polygon& b) { return plane::area(a) > plane::area(b); });
    if (!out.asked.empty()) out.as_cut = closed_by_cutter({out.asked.front()}, cutter_radius);
    return out;
}

namespace {

/// The frame without the solid that fills it from its edge inward: the solid's rings turned about.
plane::Shape complement(const plane::Shape& solid, const plane::Ring& frame) {
    std::vector<plane::Ring> rings;
    std::size_t outermost = 0;
    const auto all = plane::rings_of(solid);
    for (std::size_t k = 0; k < all.size(); ++k)
        if (plane::signed_area(all[k]) > plane::signed_area(all[outermost])) outermost = k;
    for (std::size_t k = 0; k < all.size(); ++k)
        if (k != outermost) rings.push_back(plane::reversed(all[k]));
    auto found = nested(std::move(rings));
    return found ? *found : plane::subtract({{frame, {}}}, solid);
}

} // namespace

Recess recess(const plane::Shape& eased_tray, const plane::Ring& frame, double step, double cutter_radius) {
    // The solid steps back at the frame's edge as well, which is far from everything and is left out again.
    const plane::Shape solid = inset(eased_tray, step);
    return {complement(solid, frame), complement(closed_by_cutter(solid, cutter_radius), frame)};
}

} // namespace kerfwright::fit
