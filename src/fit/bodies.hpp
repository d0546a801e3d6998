#pragma once
// Private to fit/: the solids that share the plane, and what the steps hand to each other.

#include "fit/fit.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace kerfwright::fit {

/// One solid of the partition: a piece, or the tray around them.
struct Body {
    std::string id; ///< piece id, or "tray"
    std::string region;
    plane::Shape drawn;       ///< one polygon for a piece; the tray may have several (lakes of the set)
    double cutter_radius = 0; ///< R_i, mm
    double step_back = 0;     ///< s_i, mm
    /// Radius that the drawn border is eased for: R_i - s_i; 0 when the step back alone makes room for the cutter.
    [[nodiscard]] double easing_radius() const { return cutter_radius > step_back ? cutter_radius - step_back : 0; }
};

/// Pieces sorted by id; the tray, if there is one, comes last.
struct Bodies {
    std::vector<Body> all;
    std::optional<std::size_t> tray;
    plane::Ring frame; ///< outer edge of the tray's solid; far enough out to matter to nobody
};

inline constexpr const char* kTrayName = "tray";

[[nodiscard]] Result<Bodies> make_bodies(const std::vector<RegionToFit>& regions, const FitRules& rules);

} // namespace kerfwright::fit
