#pragma once
// All that a setup's programs do, one after the other: moves, and the pieces of the path they make.

#include "cutter_body.hpp"
#include "path.hpp"

#include "program/read.hpp"
#include "proof/proof.hpp"

#include <span>
#include <vector>

namespace kerfwright::proof {

/// One program, or a part of one, with the cutter it runs with.
struct Run {
    std::string file;
    shop::Cutter cutter;
    CutterBody body;
    std::vector<StackPart> stack;
    std::size_t first_move = 0, last_move = 0; ///< half open, in Sequence::moves
    double feed_max = 0;                       ///< mm/min, the plan's largest; 0: not known
    std::size_t text = 0; ///< index in SetupToProve::programs; one program has a run for each cutter
};

struct Sequence {
    std::vector<motion::Move> moves;
    std::vector<std::uint16_t> run_of; ///< of each move
    std::vector<Run> runs;
    std::vector<Piece> pieces;

    [[nodiscard]] const Run& run(const Piece& piece) const { return runs[piece.program]; }
    [[nodiscard]] const Run& run_of_move(std::size_t move) const { return runs[run_of[move]]; }
};

/// Appends one program's moves. REQUIRES: fewer than 65,000 runs.
void append_run(Sequence& sequence, Run run, std::span<const motion::Move> moves);

/// A finding at a place of a piece, with program and line filled in.
[[nodiscard]] Finding finding_at(const Sequence& sequence, FindingKind kind, const Piece& piece, double share);
/// A finding at a move's end.
[[nodiscard]] Finding finding_at(const Sequence& sequence, FindingKind kind, std::size_t move);

} // namespace kerfwright::proof
