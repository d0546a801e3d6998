#pragma once
// Private to toolpath/: the closed ways of the cutter around the edges of a part.

#include "toolpath/entry.hpp"
#include "toolpath/order.hpp"
#include "toolpath/tabs.hpp"
#include "toolpath/toolpath.hpp"

#include <string>
#include <vector>

namespace kerfwright::toolpath {

/// A slot along an edge: the lane beside the part, and the lanes outside of it where the slot is wider than the cutter.
struct Slot {
    Lane inner;
    std::vector<Lane> outer;
};

/// One edge (outer or hole) of one part and how it is cut. The first slot and finish lane are the longest ones; there
/// are more where the edge has bays that widen behind a neck.
struct Contour {
    std::size_t feature = 0;
    std::string name;
    plane::Ring edge; ///< counter-clockwise, for nesting
    double floor = 0;
    double rough_floor = 0; ///< higher than floor where a last layer holds the part until it is finished
    std::vector<Slot> rough;
    std::vector<Lane> finish; ///< empty without a finishing pass
    LeadRoom room;            ///< of the finishing pass
};

[[nodiscard]] Result<std::vector<Contour>> contours_of(const std::vector<ProfileFeature>& features,
                                                       const Technology& technology, const SheetFrame& frame);

/// Contours that lie inside others come before them.
[[nodiscard]] std::vector<Precedence> inner_before_outer(const std::vector<Contour>& contours);

} // namespace kerfwright::toolpath
