#pragma once
// The proof from moves on, for callers that have moves and no text (tests of the proof itself).

#include "sequence.hpp"

namespace kerfwright::proof {

/// An empty run for one of the setup's programs, with its cutter and the plan's feed.
[[nodiscard]] Run run_for(const SetupToProve& setup, const ProgramText& program);

/// What the setup's programs do, one after the other; what the reader said about them is added to `findings`.
[[nodiscard]] Sequence sequence_of(const SetupToProve& setup, std::vector<Finding>& findings);

/// Everything but the reading: appends to `proof`, which may hold findings of the reading already.
void prove_moves(const SetupToProve& setup, const Sequence& sequence, const ProveOptions& options, SetupProof& proof);

} // namespace kerfwright::proof
