#include "fit/claims.hpp"

#include "fit/boxes.hpp"
#include "fit/local_boolean.hpp"
#include "fit/thickness.hpp"
#include "plane/boolean.hpp"

#include <algorithm>

namespace kerfwright::fit {
namespace {

/// Polygons whose boxes meet one of the list.
plane::Shape those_meeting(const plane::Shape& shape, const std::vector<plane::Box>& boxes, const BoxList& others) {
    plane::Shape met;
    for (std::size_t k = 0; k < shape.size(); ++k)
        if (others.any_meets(boxes[k])) met.push_back(shape[k]);
    return met;
}

/// Fills that may meet the other solid. A fill touches its own skeleton, which shares no area with the other's; so
/// where no edge of the other comes near, all is outside it.
plane::Shape those_near(const plane::Shape& fills, const std::vector<plane::Box>& boxes, const EasingBody& other) {
    constexpr double kTouching = 0.001; // mm
    plane::Shape near;
    for (std::size_t k = 0; k < fills.size(); ++k) {
        if (!overlap(boxes[k], other.box)) continue;
        if (!other.edges || other.edges->any_meets(grown(boxes[k], kTouching))) near.push_back(fills[k]);
    }
    return near;
}

void append(plane::Shape& shape, const plane::Shape& more) {
    shape.insert(shape.end(), more.begin(), more.end());
}

bool starts_before(const plane::Polygon& a, const plane::Polygon& b) {
    return a.outer.front() < b.outer.front();
}

} // namespace

plane::Shape thick(plane::Shape shape) {
    std::erase_if(shape, [](const plane::Polygon& polygon) { return !thicker_than(polygon, kNoise); });
    return shape;
}

plane::Shape refill(EasingBody& solid) {
    plane::Shape before = std::move(solid.fill);
    std::sort(before.begin(), before.end(), starts_before);
    Closing closing = fit::closing(solid.skeleton, solid.radius);
    solid.fill = std::move(closing.fills);
    solid.eased = std::move(closing.closed);
    solid.fill_box = boxes_of(solid.fill);
    const BoxList grown(std::move(solid.grown));
    solid.grown.clear();
    plane::Shape fresh;
    for (std::size_t k = 0; k < solid.fill.size(); ++k) {
        const plane::Polygon& fill = solid.fill[k];
        const auto [first, last] = std::equal_range(before.begin(), before.end(), fill, starts_before);
        if (std::find(first, last, fill) == last || grown.any_meets(solid.fill_box[k])) fresh.push_back(fill);
    }
    return fresh;
}

void index_edges(EasingBody& solid) {
    constexpr std::size_t kMany = 16;
    if (solid.beside.size() < kMany)
        solid.edges.reset();
    else if (!solid.edges)
        solid.edges.emplace(solid.skeleton);
}

std::vector<Take> takes_of(const std::vector<EasingBody>& solids, std::size_t i, const plane::Shape& fills) {
    std::vector<Take> takes;
    const std::vector<plane::Box> boxes = boxes_of(fills);
    for (const std::size_t j : solids[i].beside) {
        const EasingBody& other = solids[j];
        const plane::Shape near = those_near(fills, boxes, other);
        if (near.empty()) continue;
        const std::vector<plane::Box> near_boxes = boxes_of(near);
        const plane::Shape met = those_meeting(other.fill, other.fill_box, BoxList(near_boxes));
        const plane::Shape from_skeleton = thick(shared(other.skeleton, near));
        const plane::Shape from_fill = thick(shared(met, near));
        if (from_skeleton.empty() && from_fill.empty()) continue;
        Take take{j, {}, those_meeting(met, boxes_of(met), BoxList(boxes_of(from_fill))), {}};
        plane::Shape all = from_skeleton;
        append(all, from_fill);
        take.disputed = those_meeting(near, near_boxes, BoxList(boxes_of(all)));
        take.cut = nudged(take.disputed, kNudge);
        takes.push_back(std::move(take));
    }
    return takes;
}

void give(EasingBody& solid, const Take& take) {
    if (!take.bake.empty()) {
        solid.skeleton = with(solid.skeleton, nudged(take.bake, kNudge));
        std::erase_if(solid.fill, [&](const plane::Polygon& polygon) {
            return std::find(take.bake.begin(), take.bake.end(), polygon) != take.bake.end();
        });
        solid.fill_box = boxes_of(solid.fill);
    }
    solid.skeleton = plane::without_specks(less(solid.skeleton, take.cut), 1e-8);
    solid.edges.reset();
    solid.dirty = true;
}

void give_up(EasingBody& claimant, const plane::Polygon& place) {
    const double radius = claimant.radius;
    const plane::Box box = plane::bounds(place);
    const plane::Vec middle = (box.low + box.high) * 0.5;
    const plane::Polygon seed{plane::rectangle(middle - plane::Vec{1e-3, 1e-3}, middle + plane::Vec{1e-3, 1e-3}), {}};
    const double reach = 0.5 * plane::length(box.high - box.low);
    const plane::OffsetOptions options{kArcTolerance, plane::OffsetOptions::Join::round};
    const plane::Shape hole = plane::offset(reach < radius ? plane::Shape{seed} : plane::Shape{place}, radius, options);
    claimant.skeleton = plane::without_specks(less(claimant.skeleton, hole), 1e-8);
    claimant.edges.reset();
    claimant.dirty = true;
}

plane::Shape eased_shape(const EasingBody& solid) {
    if (!solid.dirty) return solid.eased;
    if (solid.fill.empty()) return solid.skeleton;
    return plane::without_specks(with(solid.skeleton, nudged(solid.fill, kNudge)), 1e-6);
}

} // namespace kerfwright::fit
