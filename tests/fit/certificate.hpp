#pragma once
// An independent judgement of a fit: by disc search and exact distances, without any offset or closing (docs/fit.md,
// "How to check it"), and by GEOS for overlap.

#include "../support/geos.hpp"

#include "fit/disc_search.hpp"
#include "fit/fit.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace kerfwright::fit::test {

struct Certificate {
    std::size_t samples = 0;
    double beyond_2um = 0; ///< share of the edge that the cutter misses by more than 2 µm
    double worst = 0;      ///< mm
    plane::Vec worst_at;
    double gap_low = 0;     ///< mm, of gap - asked over all seams
    double gap_high = 0;    ///< mm, outside listed spots
    double overlap = 0;     ///< mm², by GEOS
    double closest = 1e300; ///< mm, by GEOS, between any two pieces that share a seam
    [[nodiscard]] bool holds() const {
        return beyond_2um <= 0.001 && worst <= 0.010 && gap_low >= -0.010 && gap_high <= 0.010 && overlap == 0;
    }
};

inline void check_reach(Certificate& c, const std::vector<plane::Ring>& rings, double radius, double step,
                        std::size_t& beyond) {
    const plane::EdgeIndex index(rings);
    for (const plane::Ring& ring : rings) {
        double since = step;
        plane::Vec last = to_mm(ring.front());
        for (const plane::Vec p : plane::sampled(ring, step)) {
            since += plane::distance(p, last);
            last = p;
            if (since < step) continue;
            since = 0;
            const double off = out_of_reach(index, p, radius, 0.0015);
            ++c.samples;
            if (off > 0.002) ++beyond;
            if (off > c.worst) {
                c.worst = off;
                c.worst_at = p;
            }
        }
    }
}

inline Certificate certify(const Fit& fit, const FitRules& rules, double step = 0.31) {
    Certificate c;
    std::size_t beyond = 0;
    for (const Piece& piece : fit.pieces)
        check_reach(c, plane::rings_of(piece.outline), piece.cutter_radius, step, beyond);
    if (rules.tray) {
        // The solid around the recess: its rings turned about.
        std::vector<plane::Ring> solid;
        for (const plane::Ring& ring : plane::rings_of(fit.wall))
            solid.push_back(plane::reversed(ring));
        check_reach(c, solid, rules.tray_cutter_radius, step, beyond);
    }
    c.beyond_2um = c.samples > 0 ? static_cast<double>(beyond) / static_cast<double>(c.samples) : 0;
    for (const SeamFit& seam : fit.seams) {
        c.gap_low = std::min(c.gap_low, seam.gap_min - seam.asked);
        c.gap_high = std::max(c.gap_high, seam.gap_max - seam.asked);
    }
#ifdef KERFWRIGHT_HAS_GEOS
    const oracle::Geos geos;
    std::vector<oracle::Geos::Geometry> pieces;
    for (const Piece& piece : fit.pieces)
        pieces.push_back(geos.polygon(piece.as_cut));
    for (std::size_t i = 0; i < pieces.size(); ++i)
        for (std::size_t j = i + 1; j < pieces.size(); ++j)
            if (overlap(plane::bounds(fit.pieces[i].as_cut), plane::bounds(fit.pieces[j].as_cut))) {
                c.overlap += geos.overlap_area(pieces[i], pieces[j]);
                c.closest = std::min(c.closest, geos.distance(pieces[i], pieces[j]));
            }
    if (rules.tray) {
        const auto wall = geos.shape(fit.wall_as_cut);
        for (const auto& piece : pieces)
            c.overlap += geos.difference_area(piece, wall);
    }
#endif
    return c;
}

inline std::string to_string(const Certificate& c) {
    return "samples " + std::to_string(c.samples) + ", beyond 2 um " + std::to_string(100 * c.beyond_2um) +
           " %, worst " + std::to_string(1000 * c.worst) + " um at (" + std::to_string(c.worst_at.x) + ", " +
           std::to_string(c.worst_at.y) + "), gap " + std::to_string(1000 * c.gap_low) + " .. " +
           std::to_string(1000 * c.gap_high) + " um, overlap " + std::to_string(c.overlap) + " mm2, closest " +
           std::to_string(c.closest) + " mm";
}

} // namespace kerfwright::fit::test
