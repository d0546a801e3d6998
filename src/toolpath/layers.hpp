#pragma once
// Private to toolpath/: a pocket with floors at several depths as layers that are cleared one after the other.

#include "toolpath/toolpath.hpp"

#include <cstddef>
#include <vector>

namespace kerfwright::toolpath {

/// What is to be cleared between two heights, and what has been.
struct Layer {
    static constexpr std::size_t kNone = ~std::size_t{0};
    double top = 0, floor = 0; ///< program Z
    plane::Shape wanted;       ///< what must be cleared in this layer
    plane::Shape own;          ///< of it, the floor at this depth; empty where the layer is only a step on the way down
    plane::Shape shallower;    ///< floors above `floor`: the cutter stays out of them; empty in the topmost layer
    std::size_t above = kNone; ///< the layer that has cleared the way down to `top`
    bool all = true;           ///< `wanted` is all that is at least as deep as this layer
    plane::Shape cleared;      ///< by the cutters so far
};

/// Layers in the order in which they are to be cut. First those that clear all that lies deeper, downwards, as far
/// apart as `ap` lets them be; then every floor between two of them, which clears nothing else, upwards: so there is
/// open ground beside it from which a cutter can come in. Chosen so that the least area is cleared in passes of `ap`
/// mm.
[[nodiscard]] std::vector<Layer> layers_of(const PocketFeature& feature, double top, double ap);

/// Indices of the layers from the shallowest to the deepest.
[[nodiscard]] std::vector<std::size_t> downwards(const std::vector<Layer>& layers);
/// For each layer: where the centre of a cutter of `radius` must not be because of shallower floors.
[[nodiscard]] std::vector<plane::Shape> kept_out(const std::vector<Layer>& layers, double radius);

} // namespace kerfwright::toolpath
