#pragma once
// Private to fit/: closing by a disc that rolls around a shape, with true arcs.
//
// A disc centre is free when no edge is nearer than the radius. For every edge and every convex corner the free centres
// that touch it are found at once: its offset line or arc, less what every nearby edge blocks (a capsule blocks one
// interval of each). Stretches of the outline that no free disc touches are bridged by arcs of the disc; the areas in
// between are the fills. Cost: about n times the number of edges within two radii.

#include "plane/shape.hpp"

#include <optional>

namespace kerfwright::fit {

struct Rolled {
    plane::Shape fills;  ///< closing(shape, radius) - shape, without fills less deep or less thick than noise
    plane::Shape closed; ///< the shape with them
};

/// Arcs as chords within `sagitta` mm, their vertices on the arc. Nothing when the contacts could not be linked into
/// loops (shapes that touch or cross themselves at the scale of the grid): try a slightly other radius, or another way.
[[nodiscard]] std::optional<Rolled> rolled_closing(const plane::Shape& shape, double radius, double noise,
                                                   double sagitta);

/// The shape stepped back by `distance`: the way of the centre of a disc that rolls around its inside. Arcs as chords
/// within `sagitta`; bends so slight that a mitre is within it too get a single vertex. Nothing as above.
[[nodiscard]] std::optional<plane::Shape> rolled_inset(const plane::Shape& shape, double distance, double sagitta);

} // namespace kerfwright::fit
