#include "sequence.hpp"

namespace kerfwright::proof {

void append_run(Sequence& sequence, Run run, std::span<const motion::Move> moves) {
    const auto index = static_cast<std::uint16_t>(sequence.runs.size());
    run.first_move = sequence.moves.size();
    if (sequence.moves.empty()) { // room for just what comes, where that is known
        sequence.moves.reserve(moves.size());
        sequence.run_of.reserve(moves.size());
        sequence.pieces.reserve(moves.size());
    }
    for (const motion::Move& move : moves) {
        append_pieces(move, static_cast<std::uint32_t>(sequence.moves.size()), index, !run.body.flat(),
                      sequence.pieces);
        sequence.moves.push_back(move);
        sequence.run_of.push_back(index);
    }
    run.last_move = sequence.moves.size();
    sequence.runs.push_back(std::move(run));
}

Finding finding_at(const Sequence& sequence, FindingKind kind, const Piece& piece, double share) {
    const motion::Vec3 at = point_on(piece, share);
    Finding finding;
    finding.kind = kind;
    finding.program = sequence.runs[piece.program].file;
    finding.line = sequence.moves[piece.move].line;
    finding.at = {at.x, at.y, at.z};
    return finding;
}

Finding finding_at(const Sequence& sequence, FindingKind kind, std::size_t move) {
    const motion::Move& m = sequence.moves[move];
    Finding finding;
    finding.kind = kind;
    finding.program = sequence.run_of_move(move).file;
    finding.line = m.line;
    finding.at = {m.to.x, m.to.y, m.to.z};
    return finding;
}

} // namespace kerfwright::proof
