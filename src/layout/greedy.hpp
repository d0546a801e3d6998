#pragma once
// Private to layout/: one material's parts onto its sheets, one after the other, in several orders.

#include "layout/board.hpp"

namespace kerfwright::layout {

/// One material's share of the work.
struct Group {
    std::string material;
    std::vector<Item> items; ///< free parts
    std::vector<const shop::Sheet*> sheets;
    std::vector<double> kerfs;
    struct Locked {
        Item item;
        const shop::Sheet* sheet;
        plane::Placement placement; ///< of the drawing
    };
    std::vector<Locked> locked;
};

/// One way to do it. `placed` is aligned with the group's items; sheet is nullptr where none was found.
struct Attempt {
    struct Place {
        const shop::Sheet* sheet = nullptr;
        plane::Placement placement; ///< of the drawing
    };
    std::vector<Place> placed;
    double missing = 0;     ///< mm² of room
    int opened = 0;         ///< bought sheets
    double opened_area = 0; ///< mm²
    int sheets = 0;         ///< all sheets
    double used_area = 0;   ///< mm², what is cut off from the rest of the sheets
};
/// Offcuts before bought sheets, small ones before large ones, so that large sheets stay whole.
[[nodiscard]] std::vector<const shop::Sheet*> sheets_by_value(const Group& group);
/// Works out the figures of an attempt from its places.
void weigh(const Group& group, Attempt& attempt);
[[nodiscard]] bool better(const Attempt& a, const Attempt& b);

/// `turn` = 0: large parts first, offcuts and small sheets first; others shuffle that, each in its own way.
[[nodiscard]] Attempt attempt(const Group& group, const LayoutOptions& options, int turn);

/// The problem to report when some part found no place; `attempts` is aligned with `groups`.
[[nodiscard]] std::optional<Problem> shortage(const std::vector<Group>& groups, const std::vector<Attempt>& attempts,
                                              const LayoutOptions& options);

} // namespace kerfwright::layout
