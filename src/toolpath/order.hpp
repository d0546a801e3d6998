#pragma once
// Private to toolpath/: the order of contours.

#include "plane/shape.hpp"

#include <cstddef>
#include <utility>
#include <vector>

namespace kerfwright::toolpath {

/// Something to be cut that may be entered, and is left, at any one of some places.
struct Stop {
    std::vector<plane::Vec> places; ///< not empty
};
struct Visit {
    std::size_t stop = 0;
    std::size_t place = 0;
};
/// `first` before `second`. REQUIRES: no cycles.
struct Precedence {
    std::size_t first = 0, second = 0;
};

/// An order of all stops with a short way from `start`: nearest neighbour, then 2-opt and Or-opt moves (Croes 1958,
/// Or 1976) while they shorten the way and keep the precedences, then the best places for that order (shortest path
/// through layers). Deterministic: ties go to the lower index.
[[nodiscard]] std::vector<Visit> short_tour(const std::vector<Stop>& stops, const std::vector<Precedence>& before,
                                            plane::Vec start);
/// mm of straight ways between the visited places.
[[nodiscard]] double tour_length(const std::vector<Stop>& stops, const std::vector<Visit>& tour, plane::Vec start);

} // namespace kerfwright::toolpath
