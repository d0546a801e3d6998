#pragma once
// One finding for one place.

#include "proof/proof.hpp"

#include <string>
#include <vector>

namespace kerfwright::proof {

/// How far a finding is beyond its bound.
[[nodiscard]] double excess(const Finding& finding);

/// Lines so near each other that they tell of one fault.
[[nodiscard]] bool same_lines(const Finding& a, const Finding& b);

/// Findings of one kind in one program whose lines and places are neighbours become the worst of them. Of a kind in a
/// program no more than 500 are kept. The result is in the order of the programs, then by line, kind and place.
[[nodiscard]] std::vector<Finding> merged(std::vector<Finding> findings, const std::vector<ProgramText>& programs);

/// "12.345" -> "12.35": two decimals for sentences.
[[nodiscard]] std::string mm(double value);

} // namespace kerfwright::proof
