#pragma once
// RS-274/NGC text (Kramer, Proctor, Messina: NISTIR 6556, 2000) back to moves. Takes any program, not only ours.

#include "motion/moves.hpp"

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::program {

/// What stands against the language's rules, or what a controller would refuse.
struct Fault {
    enum class Kind { syntax, arc, units, no_feed, spindle, tool, other } kind = Kind::syntax;
    int line = 0, column = 0;
    std::string text; ///< what is wrong
};

struct ToolEntry {
    double length = 0;   ///< mm, for G43
    double diameter = 0; ///< mm, for G41/G42
};

struct ReadOptions {
    motion::Vec3 start{0, 0, 50};
    bool inches_at_start = false;
    double arc_tolerance_mm = 0.002, arc_tolerance_in = 0.0002;
    std::map<int, ToolEntry> tools;
    int expression_depth = 64;        ///< deeper brackets are a fault, not a crash
};

/// State words that matter to a check beside the moves.
struct Event {
    enum class Kind { units_inch, units_mm, spindle_on, spindle_off, tool_change, program_end, message, incremental, absolute } kind;
    int line = 0;
    double value = 0;
    std::string text;
};

struct Reading {
    std::vector<motion::Move> moves;
    std::vector<Event> events;
    std::vector<Fault> faults;      ///< reading goes on after a fault where that makes sense
    bool ended = false;             ///< saw M2, M30 or the closing %
    std::map<int, double> parameters; ///< values set, by index
};

/// Never throws on any input, never loops. Cost: linear in the text.
[[nodiscard]] Reading read_program(std::string_view text, const ReadOptions& options = {});

} // namespace kerfwright::program
