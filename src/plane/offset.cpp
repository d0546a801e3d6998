#include "plane/offset.hpp"

#include "plane/clipper_bridge.hpp"

#include <algorithm>

namespace kerfwright::plane {

namespace {

bool meets_itself(const ClipperLib::Path& path) {
    std::vector<std::pair<ClipperLib::cInt, ClipperLib::cInt>> points;
    points.reserve(path.size());
    for (const ClipperLib::IntPoint& p : path)
        points.emplace_back(p.X, p.Y);
    std::sort(points.begin(), points.end());
    return std::adjacent_find(points.begin(), points.end()) != points.end();
}

/// Rings that neither cross nor meet themselves. Clipper's own way asks every two vertices of a ring whether they meet.
ClipperLib::Paths untangled(const Shape& shape) {
    const ClipperLib::Paths given = bridge::to_paths(shape);
    ClipperLib::Clipper clipper;
    clipper.AddPaths(given, ClipperLib::ptSubject, true);
    ClipperLib::Paths paths;
    clipper.Execute(ClipperLib::ctUnion, paths, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    if (std::any_of(paths.begin(), paths.end(), meets_itself))
        ClipperLib::SimplifyPolygons(given, paths, ClipperLib::pftNonZero);
    return paths;
}

} // namespace

Shape offset(const Shape& shape, double distance, const OffsetOptions& options) {
    if (distance == 0 || shape.empty()) return shape;
    constexpr double kStepRounding = 2.25;
    constexpr double kMitreLimit = 2;
    ClipperLib::ClipperOffset engine(kMitreLimit, options.arc_tolerance / kStepRounding / kGrid);
    const auto join = options.join == OffsetOptions::Join::round ? ClipperLib::jtRound : ClipperLib::jtMiter;
    // Rounding leaves loops of a few grid units in results; offset once more they would turn inside out and bite out as
    // much as a disc of the distance. So what crosses is undone first.
    engine.AddPaths(untangled(shape), join, ClipperLib::etClosedPolygon);
    ClipperLib::PolyTree tree;
    engine.Execute(tree, distance / kGrid);
    return bridge::to_shape(tree);
}

Shape closing(const Shape& shape, double radius, const OffsetOptions& options) {
    return offset(offset(shape, radius, options), -radius, options);
}

Shape opening(const Shape& shape, double radius, const OffsetOptions& options) {
    return offset(offset(shape, -radius, options), radius, options);
}

} // namespace kerfwright::plane
