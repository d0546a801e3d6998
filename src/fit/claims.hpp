#pragma once
// Private to fit/: the solids while they are eased, and what one claims from another.

#include "fit/bodies.hpp"
#include "fit/edge_cells.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace kerfwright::fit {

/// A body on its way to its eased shape, which is skeleton and fills together.
struct EasingBody {
    plane::Shape skeleton;
    plane::Shape fill;                ///< of the skeleton as it was when last looked at
    std::vector<plane::Box> fill_box; ///< of each polygon of `fill`
    plane::Shape eased;               ///< the skeleton with its fills, as they were then; outdated when dirty
    double radius = 0;                ///< easing radius with room for chords; 0: nothing is filled
    bool dirty = true;                ///< the skeleton has changed since
    plane::Box box;                   ///< of the skeleton, and so of the fills
    std::vector<std::size_t> beside;  ///< bodies whose boxes meet this one's
    /// Of the skeleton, for a body that many others may meet (the tray); see index_edges.
    std::optional<NearEdges> edges;
    std::vector<plane::Box> grown; ///< where one of them has grown since the fills were looked at
};

/// What one body's fills take from another.
struct Take {
    std::size_t from = 0;
    plane::Shape cut;      ///< goes from its skeleton
    plane::Shape bake;     ///< fills of it that are disputed: they become skeleton first, to be cut then
    plane::Shape disputed; ///< the fills of the taker that meet it
};

/// Parts thicker than noise.
[[nodiscard]] plane::Shape thick(plane::Shape shape);

/// Fills the solid anew and tells which of its fills are to be looked at: those that were not there before, and those
/// near a place where a neighbour has grown.
[[nodiscard]] plane::Shape refill(EasingBody& solid);

/// Puts the edges of a solid with many neighbours in cells, so that most of these find out quickly that they do not
/// meet it. To be done anew whenever its skeleton has changed.
void index_edges(EasingBody& solid);

/// What the fills of solid i take from the others.
[[nodiscard]] std::vector<Take> takes_of(const std::vector<EasingBody>& solids, std::size_t i,
                                         const plane::Shape& fills);

/// The solid gives what is taken.
void give(EasingBody& solid, const Take& take);

/// The claimant gives up: a disc of its own cutter is let in over the place, which then belongs to nobody.
void give_up(EasingBody& claimant, const plane::Polygon& place);

[[nodiscard]] plane::Shape eased_shape(const EasingBody& solid);

} // namespace kerfwright::fit
