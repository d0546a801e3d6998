#pragma once
// Private to fit/: which stretch of a body's border faces whom.

#include "fit/edge_cells.hpp"

#include <cstddef>
#include <vector>

namespace kerfwright::fit {

inline constexpr int kNobody = -1;

/// The border of one body with edges of at most kBorderStep, and the body on the other side of each edge.
struct Border {
    NearEdges edges;
    std::vector<std::vector<int>> mate; ///< for each ring, for each segment: index of the neighbour, or kNobody
    plane::Box box;
};
inline constexpr double kBorderStep = 0.2; ///< mm

/// Neighbours are those whose border runs within `within` mm of the middle of an edge.
[[nodiscard]] std::vector<Border> borders_of(const std::vector<plane::Shape>& bodies, double within, int threads);

/// One edge of a border.
struct Edge {
    plane::Vec from, to;
    int mate = kNobody;
};
[[nodiscard]] std::vector<Edge> edges_of(const Border& border);

} // namespace kerfwright::fit
