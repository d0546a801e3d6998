#pragma once
// Private to plane/: what goes into the diagram, and the judgement of what comes out.

#include "plane/arcs.hpp"
#include "plane/nearest.hpp"

#include <string>

namespace kerfwright::plane::checks {

/// Rings without repeated or exactly collinear points (spikes among them).
[[nodiscard]] std::vector<Ring> without_collinear(const Shape& shape);
/// Do edges meet anywhere but in common end points?
[[nodiscard]] bool edges_meet(const std::vector<Ring>& rings);
/// What is wrong with these borders of the area deeper than `depth`; empty when nothing is. The edges are the shape's.
/// REQUIRES: at least one edge.
[[nodiscard]] std::string fault_of(const std::vector<Path>& loops, const Shape& shape, const EdgeIndex& edges,
                                   double depth);

} // namespace kerfwright::plane::checks
