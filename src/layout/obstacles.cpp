#include "layout/obstacles.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

bool contains(const plane::Box& box, plane::Vec p) {
    return box.low.x <= p.x && p.x <= box.high.x && box.low.y <= p.y && p.y <= box.high.y;
}

} // namespace

Obstacles::Obstacles(std::vector<Outline> room) : room_(std::move(room)) {
    constexpr double kBuckets = 64; // along the longer side
    for (const Outline& ring : room_)
        plane::extend(box_, bounds(ring));
    if (box_.empty()) return;
    bucket_ = std::max({box_.width() / kBuckets, box_.height() / kBuckets, 1.0});
    across_ = static_cast<int>(box_.width() / bucket_) + 1;
    up_ = static_cast<int>(box_.height() / bucket_) + 1;
    buckets_.resize(static_cast<std::size_t>(across_) * static_cast<std::size_t>(up_));
    for (const Outline& ring : room_)
        add_edges(ring);
}

void Obstacles::add(Outline outline) {
    if (buckets_.empty()) return;
    add_edges(outline);
    taken_boxes_.push_back(bounds(outline));
    taken_.push_back(std::move(outline));
}

Obstacles::Cells Obstacles::cells(plane::Vec a, plane::Vec b) const {
    const auto index = [&](double v, int count) {
        return std::clamp(static_cast<int>(std::floor(v / bucket_)), 0, count - 1);
    };
    return {index(std::min(a.x, b.x) - box_.low.x, across_), index(std::min(a.y, b.y) - box_.low.y, up_),
            index(std::max(a.x, b.x) - box_.low.x, across_), index(std::max(a.y, b.y) - box_.low.y, up_)};
}

void Obstacles::add_edges(const Outline& outline) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const Edge edge{outline[i], outline[(i + 1) % outline.size()]};
        const auto id = static_cast<std::uint32_t>(edges_.size());
        edges_.push_back(edge);
        const Cells c = cells(edge.a, edge.b);
        for (int y = c.low_y; y <= c.high_y; ++y)
            for (int x = c.low_x; x <= c.high_x; ++x)
                buckets_[static_cast<std::size_t>(y * across_ + x)].push_back(id);
    }
}

bool Obstacles::crosses(plane::Vec a, plane::Vec b) const {
    const Cells c = cells(a, b);
    for (int y = c.low_y; y <= c.high_y; ++y)
        for (int x = c.low_x; x <= c.high_x; ++x)
            for (const std::uint32_t id : buckets_[static_cast<std::size_t>(y * across_ + x)])
                if (meet(a, b, edges_[id].a, edges_[id].b)) return true;
    return false;
}

bool Obstacles::free(const Outline& outline) const {
    const plane::Box box = bounds(outline);
    if (!contains(box_, box.low) || !contains(box_, box.high)) return false;
    for (std::size_t i = 0; i < outline.size(); ++i)
        if (crosses(outline[i], outline[(i + 1) % outline.size()])) return false;
    // No edges meet: each pair is now apart or one within the other.
    const plane::Vec p = outline.front();
    bool in_room = false;
    for (const Outline& ring : room_)
        in_room ^= inside(ring, p);
    if (!in_room) return false;
    for (const Outline& ring : room_)
        if (contains(box, ring.front()) && inside(outline, ring.front())) return false; // a clamp within the outline
    for (std::size_t i = 0; i < taken_.size(); ++i) {
        if (contains(taken_boxes_[i], p) && inside(taken_[i], p)) return false;
        if (contains(box, taken_[i].front()) && inside(outline, taken_[i].front())) return false;
    }
    return true;
}

} // namespace kerfwright::layout
