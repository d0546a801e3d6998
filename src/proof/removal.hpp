#pragma once
// Removal on a tiled height field. A tile is worked through all moves in their order and then let go: memory holds one
// tile for each thread, whatever the sheet's size. At the cell centres heights are exact (no chords, no rounding beyond
// 10 nm); between them nothing is known here, and edges.hpp looks instead.

#include "raster.hpp"
#include "sequence.hpp"
#include "sweep.hpp"

#include <string>
#include <vector>

namespace kerfwright::proof {

/// An area where the material's top must end between two heights. One cell along its border is left out.
struct Zone {
    std::string id;
    plane::Shape area;
    double asked = 0; ///< program Z it should have
    double low = -1e9, high = 1e9;
    bool part = false; ///< the inside of a part or of the stock that must stay, not a floor
};

/// What one move does to the material.
struct MoveWork {
    double volume = 0; ///< mm³ of the stock
    double depth = 0;  ///< mm, mean depth of cut
    double hit = 0;    ///< mm: largest height of material in the way of a slightly thinner and shorter cutter; only for
                       ///< moves that ask for it
    plane::Vec hit_at;
    double stack = 0; ///< mm: how far the shank or the stack goes into standing material
    plane::Vec stack_at;
    int stack_part = -1; ///< index in Run::stack
};

/// What a stretch of one move takes. Long moves have several, so that a deep spot does not vanish in a mean.
struct Taken {
    std::uint32_t move = 0;
    motion::Vec3 to;   ///< where it ends
    double before = 0; ///< mm of the move's way before it
    double length = 0; ///< mm
    double volume = 0; ///< mm³
    double depth = 0;  ///< mm, mean depth of cut
};

/// The worst place of a zone within one tile.
struct ZoneSpot {
    std::size_t zone = 0;
    bool low = false; ///< material is missing; else it is left standing
    double z = 0;     ///< program Z of the material's top
    plane::Vec at;
    int cells = 0;
};

struct Removal {
    std::vector<MoveWork> moves; ///< as the sequence's
    std::vector<Taken> taken;    ///< of moves that come low enough, in their order
    std::vector<ZoneSpot> spots; ///< by tile, then zone
    double cell = 0;             ///< mm, what was really used
};

struct RemovalTask {
    const Stock* stock = nullptr;
    const Sequence* sequence = nullptr;
    const std::vector<Zone>* zones = nullptr;
    std::vector<std::uint8_t> ask_hit; ///< per move
    std::vector<std::uint8_t> boxed;   ///< per move: a rapid whose axes finish independently, anywhere in its box
    bool by_stretches = false;         ///< long feeds are looked at in stretches of 4 mm or the cutter's radius
    double side_margin = 0.05;         ///< mm the cutter is thinner for hits
    double height_margin = 0.02;       ///< mm it is shorter
    double cell = 0.25;
    int threads = 0;
};

[[nodiscard]] Removal remove_material(const RemovalTask& task);

} // namespace kerfwright::proof
