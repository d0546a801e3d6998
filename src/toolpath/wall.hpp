#pragma once
// Private to toolpath/: the finishing pass along a pocket's wall.

#include "toolpath/layers.hpp"
#include "toolpath/path_moves.hpp"

namespace kerfwright::toolpath {

/// mm left on the wall by roughing.
[[nodiscard]] double allowance_of(const Technology& technology);

/// Goes along every edge of the wall, each stretch of it at the depth of the shallowest floor that the cutter then
/// touches. On the way to a deeper stretch the cutter goes down beside the wall, in the open. `kept_out` of the layers,
/// for this cutter.
void finish_wall(Pen& pen, const plane::Shape& wall, const std::vector<Layer>& layers,
                 const std::vector<plane::Shape>& kept_out, const Technology& technology);

} // namespace kerfwright::toolpath
