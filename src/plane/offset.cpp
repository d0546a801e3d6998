#include "plane/offset.hpp"

#include "plane/clipper_bridge.hpp"

namespace kerfwright::plane {

Shape offset(const Shape& shape, double distance, const OffsetOptions& options) {
    if (distance == 0 || shape.empty()) return shape;
    constexpr double kStepRounding = 2.25;
    constexpr double kMitreLimit = 2;
    ClipperLib::ClipperOffset engine(kMitreLimit, options.arc_tolerance / kStepRounding / kGrid);
    const auto join = options.join == OffsetOptions::Join::round ? ClipperLib::jtRound : ClipperLib::jtMiter;
    // Rounding leaves loops of a few grid units in results; offset once more they would turn inside out and bite out as
    // much as a disc of the distance. So what crosses is undone first.
    ClipperLib::Paths paths = bridge::to_paths(shape);
    ClipperLib::SimplifyPolygons(paths, ClipperLib::pftNonZero);
    engine.AddPaths(paths, join, ClipperLib::etClosedPolygon);
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
