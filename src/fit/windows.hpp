#pragma once
// Private to fit/: a large shape opened up into small windows and put together again, so that a boolean with something
// small costs what happens in the windows and not what the whole shape costs.
//
// Windows are disjoint boxes around the small shapes, with a margin that no operation reaches. A ring becomes chains
// inside windows and chains outside; they meet in crossings on the windows' borders, which an operation leaves alone.

#include "plane/shape.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace kerfwright::fit {

struct Crossing {
    plane::Point at;
    bool inward = false;
    std::int64_t along = 0; ///< place on the window's border, counter-clockwise from its lower left corner, grid units
};

/// Points between two crossings, both left out.
struct Chain {
    std::size_t from = 0, to = 0; ///< indices of crossings
    std::vector<plane::Point> between;
};

struct Window {
    plane::Point low, high;
    plane::Shape small;
    std::vector<std::size_t> ids;    ///< crossings of this window, index into Windows::crossings
    std::vector<Crossing> crossings; ///< the same, sorted by `along`
    std::vector<Chain> chains;       ///< the large shape's rings within; from inward to outward crossing
    std::vector<plane::Ring> whole;  ///< its rings that lie within as a whole
    bool all_inside = false;         ///< without crossings: the border lies inside the large shape
};

struct Windows {
    std::vector<Window> windows;
    std::vector<Crossing> crossings;
    std::vector<Chain> outside; ///< from outward to inward crossing
    std::vector<plane::Ring> untouched;
};

/// Nothing in degenerate cases (a vertex on a window's border, two crossings in one place): do it as a whole then.
[[nodiscard]] std::optional<Windows> cut_windows(const plane::Shape& large, const plane::Shape& small);
/// The large shape within the window: rings with the solid to the left.
[[nodiscard]] std::vector<plane::Ring> local_rings(const Window& window);
/// Replaces the window's chains and rings by those of `result`; false when its border does not fit.
[[nodiscard]] bool take_back(Window& window, const plane::Shape& result);
[[nodiscard]] std::optional<plane::Shape> joined(const Windows& windows);

/// Rings with the solid to the left, put together: each hole to the smallest outer ring around it. Nothing when a hole
/// has no home.
[[nodiscard]] std::optional<plane::Shape> nested(std::vector<plane::Ring> rings);

} // namespace kerfwright::fit
