#pragma once
// Where each piece lies on which sheet.

#include "base/result.hpp"
#include "plane/shape.hpp"
#include "shop/sheet.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace kerfwright::layout {

/// A piece to place: its outline in the drawing's frame, and the room its cutter needs around it.
struct Part {
    std::string id;
    plane::Polygon outline;
    std::string material;
    double thickness = 0;    ///< mm; 0: any sheet of the material
    double kerf = 3;         ///< mm, width of the slot around it: neighbours are at least this far apart
    bool keep_grain = false; ///< 0° or 180° against the sheet's grain direction only
    double grain_deg = 0;    ///< direction in the drawing that must lie along the sheet's grain
};

/// A placed part. `placement` takes the drawing's frame to sheet coordinates: rotate, then shift; never mirrored.
struct Placed {
    std::string id;
    std::string sheet;
    plane::Placement placement;
    bool locked = false; ///< given, not to be moved
};

struct Layout {
    std::vector<Placed> placed; ///< sorted by id
};

struct LayoutOptions {
    double edge = 5;       ///< mm kept free along the sheet's edges beyond the kerf
    double clamp_room = 6; ///< mm kept free around clamp boxes beyond the kerf (cutter, nut and shoe)
    std::uint64_t seed = 1;
    int restarts = 6;  ///< orders of placing that are tried, 1 to 256
    double effort = 1; ///< work spent on moving parts closer after placing them; 0: none; time grows with it
    int threads = 0;
};

/// Places every part, or fails saying which parts do not fit, how much material is missing, and what sheet would do.
/// Rules (see docs/layout.md): material the same, thickness within 0.01 mm; never mirrored; grain along the sheet's;
/// neighbours apart by the larger of their kerfs; `edge` + kerf from the sheet's edge; `clamp_room` + kerf from clamps;
/// `fixed` parts stay. Placements are whole hundredths of a millimetre. The same result on any number of threads.
/// At most 2,000 parts. Locked parts that break a rule are refused by name.
[[nodiscard]] Result<Layout> place_parts(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                                         const std::vector<Placed>& fixed, const LayoutOptions& options);

/// One fault of a layout.
struct Clash {
    /// Part ids; b may also be "edge", "clamp 1", "grain" (`by` in degrees), "material", "thickness", "sheet" (not on
    /// the shelf), "part" (not among the parts), or a again (placed twice).
    std::string a, b;
    double by = 0; ///< mm missing
};
/// Checks any layout (hand-made ones too) by exact distances; empty when all is well.
[[nodiscard]] std::vector<Clash> clashes(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                                         const std::vector<Placed>& placed, const LayoutOptions& options);

} // namespace kerfwright::layout
