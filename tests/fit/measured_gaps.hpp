#pragma once
// Gaps of a fit measured anew, apart from the seam table.

#include "fit/fit.hpp"
#include "plane/nearest.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace kerfwright::fit::test {

/// A piece or the tray's solid, as cut.
struct SolidAsCut {
    std::string id;
    std::vector<plane::Ring> rings;
    plane::EdgeIndex edges;
    plane::Box box;
};

inline std::vector<SolidAsCut> solids_of(const Fit& fit) {
    std::vector<SolidAsCut> solids;
    for (const Piece& piece : fit.pieces) {
        const auto rings = plane::rings_of(piece.as_cut);
        solids.push_back({piece.id, rings, plane::EdgeIndex(rings), plane::bounds(piece.as_cut)});
    }
    if (!fit.wall_as_cut.empty()) {
        const auto rings = plane::rings_of(fit.wall_as_cut);
        solids.push_back({"tray", rings, plane::EdgeIndex(rings), plane::bounds(fit.wall_as_cut)});
    }
    return solids;
}

struct Gaps {
    std::size_t samples = 0, listed = 0;
    double low = 0, high = 0; ///< mm, of gap - asked outside listed spots
    plane::Vec low_at, high_at;
};

/// Gaps anew, without the seam table: every sample of a piece's edge to whatever is next to it.
inline Gaps measured_gaps(const Fit& fit, const FitRules& rules) {
    const std::vector<SolidAsCut> solids = solids_of(fit);
    std::vector<plane::Box> listed;
    for (const SeamFit& seam : fit.seams)
        for (const Spot& spot : seam.spots)
            listed.push_back(plane::grown(spot.box, seam.asked));
    Gaps gaps;
    for (const SolidAsCut& piece : solids) {
        if (piece.id == "tray") continue;
        for (const plane::Ring& ring : piece.rings)
            for (const plane::Vec p : plane::sampled(ring, 0.5)) {
                ++gaps.samples;
                double off = 1e300;
                for (const SolidAsCut& other : solids) {
                    if (other.id == piece.id || !plane::overlap(plane::grown(other.box, 3), {p, p})) continue;
                    const double asked = other.id == "tray" ? rules.tray_clearance : rules.clearance;
                    if (const auto near = other.edges.nearest(p, asked + 3))
                        off = std::min(off, near->distance - asked);
                }
                const bool is_listed = std::any_of(listed.begin(), listed.end(), [&](const plane::Box& box) {
                    return plane::overlap(box, {p, p});
                });
                if (is_listed) ++gaps.listed;
                if (off < gaps.low) {
                    gaps.low = off;
                    gaps.low_at = p;
                }
                if (off > gaps.high && !is_listed) {
                    gaps.high = off;
                    gaps.high_at = p;
                }
            }
    }
    return gaps;
}

} // namespace kerfwright::fit::test
