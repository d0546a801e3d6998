#pragma once
// Moves to RS-274 text, in words every reader of ISO 6983 knows, by the machine's abilities.

#include "base/result.hpp"
#include "motion/moves.hpp"
#include "shop/machine.hpp"

#include <string>
#include <vector>

namespace kerfwright::program {

struct Section {
    std::string comment;             ///< "profile basalt-1"
    std::vector<motion::Move> moves; ///< absolute; each begins where the one before ended
};

struct ProgramToWrite {
    std::vector<std::string> header; ///< comment lines: job, setup, stock, zero, cutter, speed, time
    double n = 0;                    ///< rev/min, clockwise
    double clearance = 5;            ///< program Z, mm; first and last height
    std::vector<Section> sections;
};

/// The text, one block a line, "\n" ends. End points are rounded first and arc centres moved onto the perpendicular
/// bisector of the rounded ends, so that the radius rule of NISTIR 6556 (0.002 mm) holds. Arcs above half a turn become
/// two. Arcs the machine cannot take, shorter than the resolution or nearly straight become lines within arc_tolerance.
/// Rapids that rise are written up first, then sideways; those that sink sideways first, then down.
///
/// Z goes to `clearance` before anything else and at the end; the spindle starts there, with a dwell of the machine's
/// seconds_to_speed. A first move, or one that begins elsewhere than the one before ended, is reached by a rapid if
/// both places are at clearance height or above. Speeds of moves that differ from `n` are written as S words. Comments
/// lose what the format forbids.
///
/// Fails when a coordinate is not finite or beyond ±9999 mm, a feed move has no feed, a move cannot be reached, or a
/// block does not fit the longest line.
[[nodiscard]] Result<std::string> write_program(const ProgramToWrite& program, const shop::Machine& machine);

} // namespace kerfwright::program
