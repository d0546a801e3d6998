#pragma once
// Connected pieces of material as time goes: which come free while the programs still run, and what touches them then.

#include "sequence.hpp"

#include <vector>

namespace kerfwright::proof {

/// A piece of material that is parted from what is clamped, and what holds it then.
struct FreePiece {
    std::uint32_t move = 0; ///< that parted it
    HeldBy held = HeldBy::nothing;
    std::size_t part = kNoPart;       ///< index in SetupToProve::parts
    plane::Vec at;                    ///< a point of it
    double area = 0;                  ///< mm²
    std::optional<std::uint32_t> cut; ///< the first move after that which cuts into it
    Piece cut_piece;

    static constexpr std::size_t kNoPart = ~std::size_t{0};
};

/// Pieces in the order in which they come free. The sheet is asked at points a third of the smallest cutter apart (at
/// most 1 mm): each is gone once a cutter has gone through it to the underside. Points next to each other hang together
/// while both are there; what hangs together with a clamp (with no clamps: with the largest piece that is left in the
/// end) is held. Found backwards in time, by joining. The same is asked just above the skins and the tabs: what is
/// parted there and not at the underside hangs on them.
[[nodiscard]] std::vector<FreePiece> free_pieces(const SetupToProve& setup, const Sequence& sequence, int threads);

/// Moves that cut into a free piece, or run along a free part's edge for more than the overlap at the end of a contour.
/// What tape, vacuum, a skin or tabs hold is not free.
[[nodiscard]] std::vector<Finding> freed_part_findings(const SetupToProve& setup, const Sequence& sequence,
                                                       const PathTree& cutting, const std::vector<FreePiece>& pieces);

} // namespace kerfwright::proof
