#pragma once
// Checks of what each move does with the spindle, the feed and the language, given what it cuts.

#include "removal.hpp"

#include <string>
#include <vector>

namespace kerfwright::proof {

inline constexpr double kCutting = 0.05; ///< mm³: a move that takes less is not cutting

/// Which moves the removal must probe: rapids, steep ways down, and feeds while the spindle does not turn clockwise.
[[nodiscard]] std::vector<std::uint8_t> moves_to_probe(const Sequence& sequence);

/// Steepest descent of a move, degrees in [0, 90]; 0 for moves that do not go down.
[[nodiscard]] double descent_of(const motion::Move& move);

[[nodiscard]] std::vector<Finding> rapid_findings(const Sequence& sequence, const Removal& removal);
[[nodiscard]] std::vector<Finding> stack_findings(const Sequence& sequence, const Removal& removal);
[[nodiscard]] std::vector<Finding> plunge_findings(const Sequence& sequence, const Removal& removal);
[[nodiscard]] std::vector<Finding> spindle_findings(const SetupToProve& setup, const Sequence& sequence,
                                                    const Removal& removal);
[[nodiscard]] std::vector<Finding> feed_findings(const SetupToProve& setup, const Sequence& sequence,
                                                 const Removal& removal);

/// What the reader said about the text: faults, units, a missing end, words the machine does not know.
[[nodiscard]] std::vector<Finding> reading_findings(const std::string& file, const program::Reading& reading,
                                                    const shop::Machine& machine);

} // namespace kerfwright::proof
