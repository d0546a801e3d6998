#pragma once
// Private to fit/: the gap along every seam, by exact distances between the as-cut outlines of the two neighbours.

#include "fit/bodies.hpp"
#include "fit/borders.hpp"
#include "fit/displacement.hpp"
#include "fit/ease.hpp"

namespace kerfwright::fit {

struct SeamTable {
    std::vector<SeamFit> seams;
    /// Pairs whose outlines come so close that only an exact intersection can tell; with the place.
    std::vector<std::pair<SeamKey, plane::Vec>> close;
};

/// For each body: the shape whose edges count (the piece, or the tray's recess), and the bits that fell off it where a
/// neck is narrower than the clearance.
struct CutBodies {
    std::vector<plane::Shape> as_cut;
    std::vector<plane::Shape> fallen;
};
[[nodiscard]] SeamTable seam_table(const Bodies& bodies, const std::vector<Border>& eased, const CutBodies& cut,
                                   const std::vector<Void>& voids, const std::map<SeamKey, Displacement>& moved,
                                   const FitRules& rules);

} // namespace kerfwright::fit
