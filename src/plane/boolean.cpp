#include "plane/boolean.hpp"

#include "plane/clipper_bridge.hpp"

#include <algorithm>

namespace kerfwright::plane {
namespace bridge {

ClipperLib::Path to_path(const Ring& ring) {
    ClipperLib::Path path;
    path.reserve(ring.size());
    for (const Point p : ring)
        path.emplace_back(p.x, p.y);
    return path;
}

ClipperLib::Paths to_paths(const Shape& shape) {
    ClipperLib::Paths paths;
    for (const Polygon& polygon : shape) {
        paths.push_back(to_path(polygon.outer));
        for (const Ring& hole : polygon.holes)
            paths.push_back(to_path(hole));
    }
    return paths;
}

namespace {

Ring to_ring(const ClipperLib::Path& path) {
    Ring ring;
    ring.reserve(path.size());
    for (const ClipperLib::IntPoint& p : path)
        if (ring.empty() || ring.back() != Point{p.X, p.Y}) ring.push_back({p.X, p.Y});
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    return ring;
}

} // namespace

Shape to_shape(const ClipperLib::PolyTree& tree) {
    Shape shape;
    for (const ClipperLib::PolyNode* node = tree.GetFirst(); node != nullptr; node = node->GetNext()) {
        if (node->IsHole()) continue;
        Polygon polygon{to_ring(node->Contour), {}};
        if (polygon.outer.size() < 3) continue;
        if (signed_area(polygon.outer) < 0) polygon.outer = reversed(std::move(polygon.outer));
        for (const ClipperLib::PolyNode* child : node->Childs) {
            Ring hole = to_ring(child->Contour);
            if (hole.size() < 3) continue;
            if (signed_area(hole) > 0) hole = reversed(std::move(hole));
            polygon.holes.push_back(std::move(hole));
        }
        shape.push_back(std::move(polygon));
    }
    return shape;
}

} // namespace bridge

namespace {

Shape run(ClipperLib::ClipType type, const ClipperLib::Paths& subject, const ClipperLib::Paths& clip,
          ClipperLib::PolyFillType rule = ClipperLib::pftNonZero) {
    ClipperLib::Clipper clipper;
    clipper.AddPaths(subject, ClipperLib::ptSubject, true);
    clipper.AddPaths(clip, ClipperLib::ptClip, true);
    ClipperLib::PolyTree tree;
    clipper.Execute(type, tree, rule, rule);
    return bridge::to_shape(tree);
}

} // namespace

Shape normal(const std::vector<Ring>& rings, FillRule rule) {
    ClipperLib::Paths paths;
    for (const Ring& ring : rings)
        paths.push_back(bridge::to_path(ring));
    return run(ClipperLib::ctUnion, paths, {},
               rule == FillRule::nonzero ? ClipperLib::pftNonZero : ClipperLib::pftEvenOdd);
}

Shape unite(const Shape& a, const Shape& b) {
    return run(ClipperLib::ctUnion, bridge::to_paths(a), bridge::to_paths(b));
}

Shape unite(const std::vector<Shape>& shapes) {
    ClipperLib::Paths paths;
    for (const Shape& shape : shapes) {
        auto more = bridge::to_paths(shape);
        paths.insert(paths.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    }
    return run(ClipperLib::ctUnion, paths, {});
}

Shape intersect(const Shape& a, const Shape& b) {
    return run(ClipperLib::ctIntersection, bridge::to_paths(a), bridge::to_paths(b));
}

Shape subtract(const Shape& a, const Shape& b) {
    return run(ClipperLib::ctDifference, bridge::to_paths(a), bridge::to_paths(b));
}

Polygon largest(const Shape& shape) {
    const auto it = std::max_element(shape.begin(), shape.end(),
                                     [](const Polygon& a, const Polygon& b) { return area(a) < area(b); });
    return it == shape.end() ? Polygon{} : *it;
}

Shape without_specks(Shape shape, double least_area) {
    std::erase_if(shape, [&](const Polygon& polygon) { return area(polygon) < least_area; });
    for (Polygon& polygon : shape)
        std::erase_if(polygon.holes, [&](const Ring& hole) { return -signed_area(hole) < least_area; });
    return shape;
}

} // namespace kerfwright::plane
