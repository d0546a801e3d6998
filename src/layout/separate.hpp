#pragma once
// Private to layout/: parts that overlap on a sheet are moved until none does. Guided local search on an overlap
// measure (Egeblad, Nielsen and Odgaard 2007; Gardeyn, Vanden Berghe and Wauters 2025): each pair's overlap has a
// weight that grows while it persists, so that no overlap can stay comfortable.

#include "base/random.hpp"
#include "layout/board.hpp"
#include "layout/solid.hpp"

namespace kerfwright::layout {

/// A part on the sheet; its placement is in the item's frame and whole hundredths in the drawing's.
struct Lying {
    const Item* item = nullptr;
    plane::Placement placement;
};

/// The sheet for the search: a box, and in it what must stay free, per kerf class.
struct Ground {
    const shop::Sheet* sheet = nullptr;
    struct Layer {
        plane::Box box;
        std::vector<Solid> taken;
    };
    std::vector<Layer> layers;
};
[[nodiscard]] Ground make_ground(const shop::Sheet& sheet, const std::vector<double>& kerfs,
                                 const LayoutOptions& options);
/// What lies there and is not to be moved.
void add_locked(Ground& ground, const Item& item, const plane::Placement& placement);

/// Moves the parts until all are free of each other and of the ground. Gives up after `patience` rounds without gain or
/// when `budget` placements were judged (what was used is taken off it); false then, and the parts are as they were.
[[nodiscard]] bool separate(std::vector<Lying>& parts, const Ground& ground, int patience, long& budget,
                            Random& random);

} // namespace kerfwright::layout
