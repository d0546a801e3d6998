#pragma once
// Private to layout/: parts and sheets made ready for the search. Outlines here only ever grow and free room only ever
// shrinks (by at most `kSlack`), so that a pose which is good here is good for the true outlines.

#include "layout/layout.hpp"

namespace kerfwright::layout {

using Outline = std::vector<plane::Vec>; ///< a closed ring in mm, first point not repeated

/// mm, by which the outlines of one pair may come out too large.
inline constexpr double kSlack = 0.05;

/// A part made ready. Its frame: the drawing's, with the origin moved to `centre`.
struct Item {
    const Part* part = nullptr;
    plane::Vec centre;          ///< middle of the bounding box, drawing's frame
    Outline body;               ///< covers the part, holes filled
    std::vector<Outline> grown; ///< per kerf class: covers all that is nearer to the part than that pair's kerf
    std::size_t kerf_class = 0;
    double area = 0; ///< mm² of the body
    double room = 0; ///< mm², the part with half its kerf around it
};

/// Different kerfs among the parts, ascending.
[[nodiscard]] std::vector<double> kerf_classes(const std::vector<const Part*>& parts);
[[nodiscard]] Item make_item(const Part& part, const std::vector<double>& kerfs);

/// Where a part of this kerf may lie on the bare sheet: rings of the free room (even-odd).
[[nodiscard]] std::vector<Outline> free_room(const shop::Sheet& sheet, double kerf, const LayoutOptions& options);

/// The outline turned about its frame's origin, then shifted.
[[nodiscard]] Outline moved(const Outline& outline, const plane::Placement& placement);
[[nodiscard]] plane::Box bounds(const Outline& outline);
/// Even-odd.
[[nodiscard]] bool inside(const Outline& outline, plane::Vec p);

/// Material the same, and the thickness within 0.01 mm where the part asks for one.
[[nodiscard]] bool suits(const Part& part, const shop::Sheet& sheet);
/// The two angles that lay the part's grain along the sheet's; in [0, 360).
[[nodiscard]] std::vector<double> grain_angles(const Part& part, const shop::Sheet& sheet);

} // namespace kerfwright::layout
