#pragma once
// What a program's text will do to the stock, the clamps, the bed and the parts. Believes nothing but the text.

#include "base/result.hpp"
#include "cutting/feeds.hpp"
#include "plane/shape.hpp"
#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace kerfwright::proof {

struct Stock {
    plane::Polygon outline;      ///< program coordinates
    double top = 0, bottom = 0;  ///< program Z of its faces
    double thickness_spread = 0; ///< mm, ± of the measured points
};

struct ProgramText {
    std::string file;
    std::string text;
    std::string cutter;                    ///< name of the cutter in the spindle, at the start
    std::map<int, std::string> tools = {}; ///< cutters by their number, for programs that change them (T, M6);
                                           ///< empty: `cutter` all along, whatever T words say
};

/// A tab that must be left on a part's edge.
struct AskedTab {
    double x = 0, y = 0;  ///< its middle on the edge, program coordinates
    double width = 0;     ///< mm along the edge at its whole thickness
    double thickness = 0; ///< mm above the stock's bottom
    double base = 0;      ///< mm along the edge with its sloping sides; `width` where that is more
};

/// A part that must be left: its edge at every height from `bottom` to the stock's top.
struct AskedPart {
    std::string id;
    plane::Polygon outline; ///< program coordinates, as asked
    double skin = 0;        ///< mm that may be left under the slot
    std::vector<AskedTab> tabs;
};

/// A floor that must be made.
struct AskedFloor {
    std::string id;
    plane::Shape area;
    double depth = 0; ///< mm below the stock's top
};

struct Tolerances {
    double edge = 0.03;          ///< mm, finished edges
    double floor = 0.05;         ///< mm, floors and skins
    double left_standing = 0.05; ///< mm
};

struct SetupToProve {
    std::string name;
    Stock stock;
    std::vector<shop::Clamp> clamps;   ///< in program coordinates; height above the stock's top
    std::vector<ProgramText> programs; ///< in the order they run
    std::vector<shop::Cutter> cutters;
    shop::Machine machine;
    bool z_zero_on_bed = true;
    std::vector<AskedPart> parts;
    std::vector<AskedFloor> floors;
    plane::Shape wall;           ///< of all floors together; empty for a setup without a pocket
    std::set<shop::Hold> holds;  ///< what holds the sheet and its parts; tape and vacuum hold parts that are free
    bool straight_rapids = true; ///< false: axes finish rapids independently, so a rapid may be anywhere in its box
    std::vector<std::pair<std::string, double>>
        feed_max; ///< cutter, mm/min: the plan's largest feed (+15 % is an overload)
    Tolerances tolerances;
    std::optional<shop::Material> material; ///< with `plans`, loads are computed and compared
    std::vector<cutting::FeedPlan> plans;   ///< all plans of this material; matched by cutter
};

enum class FindingKind {
    rapid_in_material,
    clamp_contact,
    holder_contact,
    table_limit,
    bed_cut,
    gouge,
    left_standing,
    freed_part_hit,
    overload,
    spindle_off,
    speed_range,
    no_feed,
    plunge,
    units,
    arc,
    syntax,
};
[[nodiscard]] const char* to_string(FindingKind kind); ///< "rapid-in-material", ...

struct Finding {
    FindingKind kind = FindingKind::syntax;
    std::string program; ///< file
    int line = 0;
    std::array<double, 3> at{};
    double value = 0, bound = 0;
    std::string text;
    int column = 0; ///< where the reader stumbled in the line; 0 for findings of the cut itself
};

struct TabLeft {
    std::array<double, 2> at{}; ///< its middle, in the middle of the slot
    double width = 0;           ///< mm along the slot, its ramps included
    double thickness = 0;       ///< mm above the underside
};

/// What the programs leave under the slot around a part.
struct SlotLeft {
    double skin_min = 0, skin_max = 0; ///< mm left under the slot, outside of tabs
    std::vector<TabLeft> tabs;
};

/// Edges of a part, or of the pocket's wall (id "wall").
struct PartProof {
    std::string id;
    double deviation_min = 0;        ///< mm of the finished edge against the asked one; negative is into the part
    double deviation_max = 0;        ///< mm, what is left standing outside of it at most
    std::vector<plane::Ring> as_cut; ///< as the programs leave them, in the order of the asked rings, outer one first
    std::optional<SlotLeft> slot;    ///< of a part; not of a pocket's wall
};

/// The deepest or the highest place of a floor.
struct FloorPlace {
    double deviation = 0;       ///< mm of the surface above the asked floor; negative is too deep
    std::array<double, 2> at{}; ///< several places may be equal: one of them
    std::string program;        ///< that made the surface there; where none came, the nearest
    int line = 0;               ///< 0: the floor is too narrow to have a place beside its border
};

/// A floor as the programs leave it, without the outermost `Tolerances::left_standing` of it. Within 0.001 mm.
struct FloorProof {
    std::string id;
    FloorPlace deepest, highest;
    bool complete = true; ///< false: the search gave up, there may be places further out
};

struct ProgramProof {
    std::string file;
    double time = 0;           ///< s
    double fastest = 0;        ///< s, bounds of the time: motion::TimeBounds
    double slowest = 0;        ///< s
    double cut_length = 0;     ///< mm of feed moves
    double removed_volume = 0; ///< mm³
};

/// What holds a piece that is parted from the rest of the sheet.
enum class HeldBy {
    nothing,
    skin,   ///< only what is left below the height of the skin connects it
    tabs,   ///< only what is left below the height of the tabs connects it
    tape,   ///< parted down to the bed
    vacuum, ///< the same
};
[[nodiscard]] const char* to_string(HeldBy held); ///< "nothing", "skin", ...

/// A piece of material that programs part from what is clamped, or from the largest piece that is left.
struct FreedPart {
    std::string id;             ///< of the part; "" for scrap
    double area = 0;            ///< mm²
    std::array<double, 2> at{}; ///< a point of it
    std::string program;        ///< that parted it
    int line = 0;
    HeldBy held_by = HeldBy::nothing; ///< from that line on, to the end
    bool loose_scrap = false;         ///< scrap that nothing holds, larger than the cutter that parted it
};

/// Loads over a short stretch of cutting, from the engagement that the removal shows.
struct LoadStretch {
    std::size_t program = 0; ///< index in SetupToProve::programs
    int first_line = 0, last_line = 0;
    std::array<double, 3> at{}; ///< where it ends
    double length = 0;          ///< mm
    double ap = 0, ae = 0;      ///< mm: mean depth of what is cut, and its width
    double feed = 0, fz = 0;    ///< mm/min, mm/tooth
    double force = 0;           ///< N, peak in the plane
    double torque = 0;          ///< N·m, mean
    double power = 0;           ///< W, at the cutter
    double deflection = 0;      ///< mm at the tip
    double start = 0, end = 0;  ///< s from the setup's start
};

struct SetupProof {
    std::string name;
    double time = 0, cut_length = 0, removed_volume = 0;
    double fastest = 0, slowest = 0; ///< s, bounds of the time
    std::vector<ProgramProof> programs;
    std::vector<PartProof> parts;
    std::vector<FloorProof> floors; ///< in the order asked
    std::vector<FreedPart> freed;   ///< in the order in which they were parted
    std::vector<LoadStretch> loads; ///< in the order of cutting; empty where no material is given
    std::vector<Finding> findings;  ///< by program, line, kind
};

struct ProveOptions {
    double cell = 0.25; ///< mm of the height field where it is cut
    int threads = 0;
};

/// Reads, moves, removes, checks. A finding of one kind is reported once for each place, not once for each cell.
[[nodiscard]] SetupProof prove(const SetupToProve& setup, const ProveOptions& options = {});

} // namespace kerfwright::proof
