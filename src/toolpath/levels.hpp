#pragma once
// Private to toolpath/: contour-parallel levels of a region of cutter centres.

#include "plane/shape.hpp"

#include <cstddef>
#include <vector>

namespace kerfwright::toolpath {

/// One connected area of centres at least `depth` steps inside the region; its rings are loops of the cutter.
struct Level {
    static constexpr std::size_t kNone = ~std::size_t{0};
    plane::Polygon area;
    std::size_t parent = kNone;        ///< the level that surrounds it, one stepover further out
    std::vector<std::size_t> children; ///< the levels inside of it
};

/// Levels `stepover` mm apart until nothing is left, parents before children. With a stepover no larger than the
/// cutter's radius R the loops leave nothing standing, whatever the corners: a point between two levels is no further
/// than the stepover from the outer one, since the way to its nearest border point crosses that level.
[[nodiscard]] std::vector<Level> levels_of(const plane::Shape& centres, double stepover);

/// The levels so that children come before their parents: the order of clearing from the inside outwards.
[[nodiscard]] std::vector<std::size_t> inside_out(const std::vector<Level>& levels);

} // namespace kerfwright::toolpath
