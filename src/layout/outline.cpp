#include "layout/outline.hpp"

#include <algorithm>

namespace kerfwright::layout {

Outline to_outline(const plane::Ring& ring) {
    Outline outline;
    outline.reserve(ring.size());
    for (const plane::Point p : ring)
        outline.push_back(plane::to_mm(p));
    return outline;
}

Outline moved(const Outline& outline, const plane::Placement& placement) {
    Outline out;
    out.reserve(outline.size());
    const plane::Vec x = plane::placed({1, 0}, {0, 0, placement.angle_deg});
    const plane::Vec shift{placement.x, placement.y};
    for (const plane::Vec v : outline)
        out.push_back(plane::Vec{x.x * v.x - x.y * v.y, x.y * v.x + x.x * v.y} + shift);
    return out;
}

plane::Box bounds(const Outline& outline) {
    plane::Box box;
    for (const plane::Vec v : outline)
        plane::extend(box, v);
    return box;
}

bool inside(const Outline& outline, plane::Vec p) {
    bool in = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const plane::Vec a = outline[j];
        const plane::Vec b = outline[i];
        if ((a.y > p.y) == (b.y > p.y)) continue;
        if (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) in = !in;
    }
    return in;
}

bool meet(plane::Vec a, plane::Vec b, plane::Vec c, plane::Vec d) {
    if (std::max(a.x, b.x) < std::min(c.x, d.x) || std::max(c.x, d.x) < std::min(a.x, b.x)) return false;
    if (std::max(a.y, b.y) < std::min(c.y, d.y) || std::max(c.y, d.y) < std::min(a.y, b.y)) return false;
    const double c_side = plane::cross(b - a, c - a);
    const double d_side = plane::cross(b - a, d - a);
    if ((c_side > 0 && d_side > 0) || (c_side < 0 && d_side < 0)) return false;
    const double a_side = plane::cross(d - c, a - c);
    const double b_side = plane::cross(d - c, b - c);
    return !((a_side > 0 && b_side > 0) || (a_side < 0 && b_side < 0));
}

} // namespace kerfwright::layout
