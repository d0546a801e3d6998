#pragma once
// Private to fit/: from the eased border to what is asked for, and to what the cutter leaves of it.

#include "fit/bodies.hpp"

namespace kerfwright::fit {

/// The points deeper than `distance` inside the shape.
[[nodiscard]] plane::Shape inset(const plane::Shape& shape, double distance);

struct SteppedBack {
    plane::Shape asked;  ///< E_i stepped back by s_i, all parts, largest first
    plane::Shape as_cut; ///< the largest part as a cutter of R_i leaves it when it runs around it
};
[[nodiscard]] SteppedBack step_back(const plane::Shape& eased, double step, double cutter_radius);

/// The tray's recess: the frame without the stepped-back solid.
struct Recess {
    plane::Shape asked;
    plane::Shape as_cut; ///< the union of all discs of the cutter inside
};
[[nodiscard]] Recess recess(const plane::Shape& eased_tray, const plane::Ring& frame, double step,
                            double cutter_radius);

/// What a disc of `radius` that runs around the shape leaves of it: its closing, without the false fills that polygon
/// offsets give on arcs of just that radius (docs/fit.md, "Pitfalls").
[[nodiscard]] plane::Shape closed_by_cutter(const plane::Shape& shape, double radius);

} // namespace kerfwright::fit
