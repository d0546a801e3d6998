#pragma once
// From regions to pieces and tray as they will be cut.
//
// Theory in short (docs/fit.md): a border is eased until a disc of rho = R - c/2 can follow it on either side, where R
// is the radius of the cutter of that side and c the clearance; then each side steps back by c/2 from the same curve.
// The gap is c everywhere but at junctions and at the spots that are listed.

#include "base/result.hpp"
#include "drawing/drawing.hpp"
#include "plane/shape.hpp"

#include <string>
#include <vector>

namespace kerfwright::fit {

/// One region with the cutter that will cut its piece.
struct RegionToFit {
    std::string name;
    plane::Shape shape;
    double cutter_radius = 1.5; ///< mm
};

struct FitRules {
    double clearance = 0.30;         ///< mm between two pieces
    double tray_clearance = 0.60;    ///< mm between a piece and the tray wall
    double detail = 0.50;            ///< mm; easing may move a border this far at most
    bool tray = true;                ///< false: the outer border is free
    double tray_cutter_radius = 1.5; ///< mm, of the cutter that finishes the wall
    int threads = 0;
};

/// A piece of the set in the drawing's frame. A region in two parts gives two pieces, "name.1", "name.2" by size.
struct Piece {
    std::string id;
    std::string region;
    plane::Polygon outline; ///< as asked: eased and stepped back
    plane::Polygon as_cut;  ///< as a cutter of `cutter_radius` leaves it
    double cutter_radius = 0;
    double moved_max = 0; ///< mm, between the drawn and the eased border
    double area_lost = 0; ///< mm² of the drawn region given up by easing (clearance not counted)
};

/// A place where the gap is not what was asked, with its extent.
struct Spot {
    plane::Box box;
    std::string why; ///< "junction", "free edge", "corner", "void" or "fallen bit" (docs/fit.md)
};

struct SeamFit {
    std::string a, b;                              ///< piece ids; b may be "tray"
    double length = 0;                             ///< mm
    double asked = 0;                              ///< mm
    double gap_min = 0, gap_mean = 0, gap_max = 0; ///< mm, junctions and listed spots left out of max
    double moved_max = 0, moved_mean = 0;          ///< mm, drawn to eased border
    plane::Vec moved_at;                           ///< where the border moved most
    std::vector<Spot> spots;
};

struct Fit {
    std::vector<Piece> pieces; ///< sorted by id
    plane::Shape wall;         ///< the tray's recess as asked; empty without a tray
    plane::Shape wall_as_cut;
    std::vector<SeamFit> seams; ///< sorted by (a, b)
    std::vector<std::string> notes;
};

/// Eases, steps back and checks. Fails, naming the seam, the place and the cutter radius that would do, when as-cut
/// pieces overlap, a border would move more than `detail`, or a piece is lost.
[[nodiscard]] Result<Fit> fit_regions(const std::vector<RegionToFit>& regions, const FitRules& rules);

/// Walls wider than this are not looked for, mm.
inline constexpr double kWidestWall = 20;

/// What one cutter radius costs one region, the others left as they are.
struct DetailCost {
    double radius = 0;
    double moved_max = 0; ///< mm
    double area_lost = 0; ///< mm²
    int peninsulas = 0;   ///< trimmed necks and capes
    double narrowest = 0; ///< mm, narrowest wall left; kWidestWall where none is narrower
    bool within = false;  ///< moved_max <= detail
};
[[nodiscard]] DetailCost detail_cost(const RegionToFit& region, const FitRules& rules);

} // namespace kerfwright::fit
