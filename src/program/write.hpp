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
/// bisector of the rounded ends, so that the radius rule of NISTIR 6556 (0.002 mm) holds (facts/program.md 1.7).
/// Arcs the machine cannot take, shorter than the resolution or nearly straight become lines within arc_tolerance.
/// Comments lose what the format forbids. Fails when a coordinate is not finite or beyond ±9999 mm.
[[nodiscard]] Result<std::string> write_program(const ProgramToWrite& program, const shop::Machine& machine);

} // namespace kerfwright::program
