#pragma once
// The plan of a job: everything that is written into plan.json, as values. One struct, both ways:
// proof and papers are made from it alone, so that `kerfwright prove OUT` needs nothing but the folder.

#include "base/result.hpp"
#include "cutting/feeds.hpp"
#include "holding/holding.hpp"
#include "plane/shape.hpp"
#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::job {

struct PlannedPiece {
    std::string id, region, material, sheet, setup, cutter;
    double thickness = 0;
    plane::Polygon outline, as_cut; ///< drawing's frame
    plane::Placement placement;     ///< to program coordinates
    double skin = 0;
    double bed = 0; ///< mm, height of the measured bed under the piece's slot; the skin's Z follows it
    double margin = 0;
    std::vector<holding::Tab> tabs; ///< program coordinates
};

/// How a piece lies in the tray.
struct Support {
    std::string piece;
    double share = 0;     ///< of its footprint that rests on its floor
    double thickness = 0; ///< mm, mean under the piece
    double top = 0;       ///< mm, above the tray's rim beside it
};

struct PlannedFloor {
    std::string piece; ///< whose floor it is, "a" or "a, b"
    double depth = 0;  ///< mm below the Z zero
    plane::Shape area; ///< drawing's frame
    std::vector<Support> support;
};

struct PlannedTray {
    std::string setup, sheet;
    plane::Placement placement;
    plane::Shape wall, wall_as_cut;
    std::vector<PlannedFloor> floors;
};

/// A place where the gap is not what was asked, with its extent; drawing's frame.
struct PlannedSpot {
    std::string why; ///< "junction", ...
    plane::Box box;
};

struct PlannedSeam {
    std::string a, b;
    double length = 0, asked = 0, gap_min = 0, gap_mean = 0, gap_max = 0, moved_max = 0, moved_mean = 0;
    std::vector<PlannedSpot> spots;
};

struct PlannedProgram {
    std::string file; ///< "programs/01-walnut-a-flat-3.nc"
    std::string cutter;
    double time = 0; ///< s
    double n = 0;
    double path = 0;  ///< m that it cuts
    std::string text; ///< not in plan.json
};

/// What the whole job takes off the edges of one cutter.
struct EdgeUse {
    std::string cutter;
    double path = 0;                       ///< m
    double edges = 0;                      ///< 1: the life of one edge
    std::vector<std::string> fresh_before; ///< setups that begin with a fresh edge, so that none is used past its life
};

struct PlannedSetup {
    std::string name;
    shop::Sheet sheet;
    std::string zero; ///< "X, Y: lower left corner of the sheet; Z: bed"
    bool z_zero_on_bed = true;
    std::vector<PlannedProgram> programs;
    double margin_min = 0;
    double skin = 0;
    std::vector<std::string> notes;
};

/// That the set goes together, 0 to 1, with its 95 % interval.
struct Chance {
    double chance = 0, low = 0, high = 0;
};

struct Assembly {
    double slack = 0;
    bool goes_together = false;
    Chance shop, customer; ///< in their climates, with the errors of cutting
    int samples = 0;       ///< for each of them
    std::uint64_t seed = 0;
    std::vector<std::string> tight; ///< "basalt-1 / tuff-2"
    double coating = 0;             ///< mm on every edge of the pieces, counted in all of the above
};

struct PriceLine {
    std::string what;
    double low = 0, likely = 0, high = 0;
};
struct Price {
    double low = 0, likely = 0, high = 0;
    std::string currency;
    std::vector<PriceLine> lines;
};

struct Plan {
    std::string title;
    std::string job_revision; ///< of the job file that it was made from: job::revision_of
    std::vector<PlannedPiece> pieces;
    bool has_tray = false;
    PlannedTray tray;
    std::vector<PlannedSeam> seams;
    std::vector<shop::Cutter> cutters;     ///< those used
    std::vector<shop::Material> materials; ///< of the sheets used
    shop::Machine machine;
    Assembly assembly;
    std::vector<PlannedSetup> setups;
    std::vector<cutting::FeedPlan> feeds;
    std::vector<EdgeUse> wear; ///< in the order of `cutters`
    Price price;
    std::vector<std::string> notes;
};

[[nodiscard]] std::string to_json(const Plan& plan);
[[nodiscard]] Result<Plan> plan_from_json(std::string_view text, const std::string& file);

} // namespace kerfwright::job
