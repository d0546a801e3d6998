#pragma once
// Private to fit/: where a disc can touch a shape from outside.

#include "plane/shape.hpp"

#include <cstdint>
#include <vector>

namespace kerfwright::fit {

/// A touching disc: the point it touches and its centre.
struct Contact {
    plane::Vec at;
    plane::Vec centre;
};

/// A stretch of the outline along which the disc can roll, from one contact to another. Stretches of one ring come in
/// the ring's order. `edge` is the edge on which, or at whose start, the stretch lies.
struct Stretch {
    std::uint32_t edge = 0;
    bool at_corner = false; ///< rolls about the start of `edge`
    Contact first, last;
};

/// Stretches for every ring. REQUIRES: solid to the left of every ring, no repeated points, no spikes.
[[nodiscard]] std::vector<std::vector<Stretch>> free_stretches(const std::vector<plane::Ring>& rings, double radius);

} // namespace kerfwright::fit
