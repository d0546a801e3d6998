#pragma once
// RS-274/NGC text (Kramer, Proctor, Messina: NISTIR 6556, 2000) back to moves. Takes any program, not only ours.

#include "motion/moves.hpp"

#include <array>
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
    double diameter = 0; ///< mm, for G41/G42; negative: the other side
};

struct ReadOptions {
    motion::Vec3 start{0, 0, 50};
    bool inches_at_start = false;
    double arc_tolerance_mm = 0.002, arc_tolerance_in = 0.0002;
    std::map<int, ToolEntry> tools; ///< by number; with none given, T and H words of any number are taken as length 0
    double cutter_diameter = 0; ///< mm, of the cutter in the spindle: at the start: for G41 and G42 where no tools are
                                ///< given, or none was changed yet
    int expression_depth = 64;  ///< deeper brackets are a fault, not a crash

    std::map<int, double> parameters; ///< #5161.. home, #5221.. origins and so on (NISTIR 6556, table 2), and any other
    bool origins_known = false;   ///< `parameters` hold the machine's origins. If not, words that need them (G28, G30,
                                  ///< G53, an origin other than G54 that the program does not set) are faults, and
                                  ///< moves to places that are not known are left out
    bool block_delete = false;    ///< the operator's switch: lines that begin with "/" are left out
    bool past_end = false;        ///< read on after M2 and M30, as when lines are typed one by one
    double peck_back_off = 0.254; ///< mm; G83 comes back down to this above the last bottom (from memory: 0.01 in)
    std::size_t most_faults = 1000;     ///< reading stops there
    std::size_t most_moves = 8'000'000; ///< and there: repeats and pecks could ask for any number
};

/// State words that matter to a check beside the moves.
struct Event {
    enum class Kind {
        units_inch,
        units_mm,
        spindle_on,
        spindle_off,
        tool_change,
        program_end,
        message,
        incremental,
        absolute,
        tool_selected ///< a T word; `value` is the tool, as of tool_change (M6)
    } kind;
    int line = 0;
    double value = 0;
    std::string text;
    std::size_t move = 0; ///< how many moves came before it
};

/// Moves are in the frame of the coordinate system that is active at the start (G54), in mm, whatever units, origins
/// and offsets the program uses. Each begins where the one before ended, but after a change of the tool length offset:
/// then the same place of the spindle is another place of the tip.
struct Reading {
    std::vector<motion::Move> moves;
    std::vector<Event> events;
    std::vector<Fault> faults;        ///< reading goes on after a fault where that makes sense
    bool ended = false;               ///< saw M2, M30 or the closing %
    std::map<int, double> parameters; ///< values set, by index
};

/// Never throws on any input, never loops. Cost: linear in the text and the moves. Beyond the language a comment may
/// begin with ";" and run to the end of its line. A line with a fault of its words does nothing. Cutter radius
/// compensation (G41, G42) follows appendix B: the moves are those of the cutter's axis. Straight probes (G38.2) are
/// read as straight feed moves that reach their target.
[[nodiscard]] Reading read_program(std::string_view text, const ReadOptions& options = {});

} // namespace kerfwright::program
