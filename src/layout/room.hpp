#pragma once
// Private to layout/: parts and sheets made ready for the search. Outlines here only ever grow and free room only ever
// shrinks (by at most `kSlack`), so that a pose which is good here is good for the true outlines.

#include "layout/layout.hpp"
#include "layout/solid.hpp"

namespace kerfwright::layout {

/// mm, by which the outlines of one pair may come out too large.
inline constexpr double kSlack = 0.05;

/// A part made ready. Its frame: the drawing's, with the origin moved to `centre`.
struct Item {
    const Part* part = nullptr;
    plane::Vec centre;        ///< middle of the bounding box, drawing's frame
    Solid body;               ///< covers the part, holes filled
    std::vector<Solid> grown; ///< per kerf class: covers all that is nearer to the part than that pair's kerf
    std::size_t kerf_class = 0;
    double area = 0; ///< mm² of the body
    double room = 0; ///< mm², the part with half its kerf around it
};

/// Different kerfs among the parts, ascending.
[[nodiscard]] std::vector<double> kerf_classes(const std::vector<const Part*>& parts);
[[nodiscard]] Item make_item(const Part& part, const std::vector<double>& kerfs);

/// Where a part of this kerf may lie on the bare sheet.
[[nodiscard]] plane::Shape free_room(const shop::Sheet& sheet, double kerf, const LayoutOptions& options);

/// Material the same, and the thickness within 0.01 mm where the part asks for one.
[[nodiscard]] bool suits(const Part& part, const shop::Sheet& sheet);
/// The two angles that lay the part's grain along the sheet's; in [0, 360).
[[nodiscard]] std::vector<double> grain_angles(const Part& part, const shop::Sheet& sheet);

} // namespace kerfwright::layout
