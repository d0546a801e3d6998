// Cutter radius compensation (NISTIR 6556, appendix B): the tip keeps its radius beside the programmed way. An arc goes
// round every convex corner; what would need a look ahead (concave corners) is refused, as the text has it.

#include "program/interpreter.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace kerfwright::program {

using motion::Move;
using motion::MoveKind;
using motion::Normal;
using motion::Vec3;

namespace {

constexpr double kSamePlace = 1e-6; // mm: less is rounding of the computation

Vec3 flat(Vec3 v) {
    return {v.x, v.y, 0};
}
/// Turned a quarter to the left, seen from above.
Vec3 left_of(Vec3 v) {
    return {-v.y, v.x, 0};
}
double cross(Vec3 a, Vec3 b) {
    return a.x * b.y - a.y * b.x;
}
Vec3 of_size(Vec3 v, double size) {
    return v * (size / length(v));
}
Vec3 at_height(Vec3 v, double z) {
    return {v.x, v.y, z};
}

} // namespace

/// Table 8 turns compensation on or off before any motion of the line, but after its plane and units.
bool Interpreter::allowed_with_compensation() {
    const int code = block_.g[7];
    const bool turns_on = code == 410 || code == 420;
    const auto refuse = [&](std::string_view what) {
        return fault(Kind::other, fmt::format("{} while cutter radius compensation is on", what));
    };
    if (compensation_.on) {
        if (block_.g[2] == 180 || block_.g[2] == 190) return refuse("another plane than XY (G18, G19)");
        if (block_.g[6] != kNoCode && (block_.g[6] == 200) != modes_.inches) return refuse("other units");
        if (turns_on) return refuse(fmt::format("G{}", code / 10));
    }
    if (!turns_on && (!compensation_.on || code == 400)) return true;
    if (block_.g[12] != kNoCode) return refuse("another coordinate system");
    switch (block_.g[0]) {
    case 100:
        if (!block_.has('p') || std::lround(block_['p']) != modes_.system) break;
        return refuse("another origin of the system in use (G10)");
    case 280:
    case 300:
    case 530:
        return refuse(fmt::format("G{}", block_.g[0] / 10));
    case 920:
    case 921:
    case 922:
    case 923:
        return refuse(fmt::format("a change of axis offsets (G{:g})", block_.g[0] / 10.0));
    default:
        break;
    }
    const int motion = block_.g[1] != kNoCode ? block_.g[1] : (block_.has_axis() ? modes_.motion : kNoCode);
    if (motion == 382) return refuse("a probe (G38.2)");
    if (motion >= 810 && motion <= 890) return refuse("a canned cycle");
    return true;
}

/// G40, G41, G42 and the D word.
bool Interpreter::compensate() {
    const int code = block_.g[7];
    if (code == kNoCode) return true;
    if (code == 400) {
        compensation_ = {}; // no move of its own: the next one begins where the tip is
        return true;
    }
    if (modes_.normal != Normal::z)
        return fault(Kind::other, "cutter radius compensation is for the XY plane (G17) only");
    const auto radius = radius_to_compensate();
    if (!radius) return false;
    compensation_ = {};
    compensation_.on = true;
    compensation_.radius = code == 410 ? *radius : -*radius;
    return true;
}

std::optional<double> Interpreter::radius_to_compensate() {
    const bool named = block_.has('d');
    const double d = named ? block_['d'] : modes_.tool_in_spindle;
    if (d < 0 || d > 99'999 || std::abs(d - std::round(d)) > 0.0001) {
        fault(Kind::tool, "a cutter radius number (D) must be a whole number from 0 on", 'd');
        return std::nullopt;
    }
    const int number = static_cast<int>(std::lround(d));
    if (named && number == 0) return 0.0;
    const auto entry = options_.tools.find(number);
    if (entry != options_.tools.end()) return entry->second.diameter / 2;
    const bool as_at_start = options_.tools.empty() || (!named && number == 0);
    if (as_at_start && options_.cutter_diameter > 0) return options_.cutter_diameter / 2;
    fault(Kind::tool,
          named ? fmt::format("no radius is known for tool {}", number)
                : "which tool is in the spindle is not known; name its radius with D",
          'd');
    return std::nullopt;
}

/// Where the words of the program have led to; the tip is beside it while compensation is in force.
Vec3 Interpreter::programmed() const {
    return compensation_.entered ? at_height(compensation_.at, position_.z) : position_;
}

/// How much farther from its centre an arc's end is than the tip at its start: the first arc after G41 or G42 begins
/// with the cutter beside it.
double Interpreter::beside_first_arc(bool clockwise) const {
    if (!compensation_.on || compensation_.entered) return 0;
    return clockwise ? -compensation_.radius : compensation_.radius;
}

/// Emits the moves of one line of the program. Under inverse time they share its time by their lengths.
bool Interpreter::emit_together(std::optional<Move> corner, Move move) {
    double share = 0;
    bool good = true;
    if (corner) {
        corner->from = position_;
        move.from = corner->to;
        const double first = length(*corner);
        share = first / (first + length(move));
        good = emit(*corner, share);
    }
    good = good && emit(move, 1 - share);
    compensation_.entered = good; // if not, the tip is not beside the way, and must come to it again
    return good;
}

/// The arc round the programmed point, if the way that leaves it in `direction` needs one. Within what the language
/// allows for radii a concave corner is taken as straight on, else it is a fault.
std::optional<Move> Interpreter::round_corner(Vec3 direction) {
    const double radius = compensation_.radius;
    if (radius == 0) return std::nullopt;
    const Vec3 now = flat(position_ - programmed());
    const Vec3 next = of_size(left_of(direction), radius);
    if (length(next - now) <= kSamePlace) return std::nullopt;
    const double turn = std::atan2(cross(now, next), dot(now, next));
    constexpr double kBack = 1e-6; // rad
    if (turn * radius < 0 || std::abs(turn) > std::numbers::pi - kBack) {
        Move arc;
        arc.kind = MoveKind::arc;
        arc.to = at_height(compensation_.at + next, position_.z);
        arc.centre = compensation_.at;
        arc.clockwise = radius > 0;
        return arc;
    }
    const double depth = std::abs(radius) * (1 - std::cos(turn));
    if (depth > arc_tolerance())
        fault(Kind::other,
              fmt::format("a concave corner, where the cutter would go {:.3f} mm too far with cutter radius "
                          "compensation; round it by an arc larger than the cutter",
                          depth));
    return std::nullopt;
}

bool Interpreter::compensated_line(MoveKind kind, const Vec3& to) {
    const Vec3 way = flat(to - programmed());
    if (length(way) <= kSamePlace) return emit(kind, at_height(position_, to.z));
    if (!compensation_.entered) return enter_by_line(kind, to);
    const auto corner = round_corner(way);
    Move move;
    move.kind = kind;
    move.to = to + of_size(left_of(way), compensation_.radius);
    compensation_.at = flat(to);
    const bool good = corner || dot(flat(move.to - position_), way) > 0 ||
                      fault(Kind::other, "the way is too short for the cutter to get past the corner before it, with "
                                         "cutter radius compensation");
    return emit_together(corner, move) && good;
}

/// The first move ends with the cutter at the programmed point, and with the way at a right angle to the radius there.
bool Interpreter::enter_by_line(MoveKind kind, const Vec3& to) {
    const double radius = compensation_.radius;
    const Vec3 back = flat(position_ - to);
    const double way = length(back);
    compensation_.at = flat(to);
    Move move;
    move.kind = kind;
    if (way <= std::abs(radius)) {
        fault(Kind::other, fmt::format("the first move with cutter radius compensation is {:.3f} mm long; it must be "
                                       "longer than the radius of {:.3f} mm, or the cutter gouges",
                                       way, std::abs(radius)));
        move.to = to + of_size(left_of(back), -radius);
        return emit_together(std::nullopt, move) && false;
    }
    // Back along the way by the cosine, to the side by the sine of the angle at the programmed point.
    const double along = radius * radius / way;
    const double aside = radius * std::sqrt((1 - std::abs(radius) / way) * (1 + std::abs(radius) / way));
    move.to = to + of_size(back, along) + of_size(left_of(back), -aside);
    return emit_together(std::nullopt, move);
}

bool Interpreter::compensated_arc(const Vec3& to, const Vec3& centre, bool clockwise) {
    const Vec3 start = flat(programmed() - centre);
    const Vec3 end = flat(to - centre);
    const double inward = clockwise ? -compensation_.radius : compensation_.radius;
    const double before = compensation_.entered ? length(start) - inward : length(start);
    const double after = length(end) - inward;
    Move move;
    move.kind = MoveKind::arc;
    move.centre = centre;
    move.clockwise = clockwise;
    move.to = to;
    move.to = length(end) > 0 ? to - of_size(end, inward) : to;
    if (before <= kSamePlace || after <= kSamePlace) {
        fault(Kind::arc,
              fmt::format("the arc's radius of {:.4f} mm is not larger than the cutter's of {:.4f} mm, which "
                          "is to run inside it",
                          length(end), std::abs(inward)));
        move.kind = MoveKind::line;
    }
    std::optional<Move> corner;
    if (compensation_.entered) {
        const Move asked{MoveKind::arc, programmed(), to, centre, Normal::z, clockwise};
        corner = round_corner(left_of(start) * (clockwise ? -1 : 1));
        // A corner taken as straight on starts the arc a little later; if that is behind its end, it would go round.
        move.from = corner ? corner->to : position_;
        if (length(flat(move.to - move.from)) <= kSamePlace && length(flat(to - programmed())) <= kSamePlace)
            move.to = at_height(move.from, to.z); // a full circle stays one
        constexpr double kRounding = 1e-6;        // rad
        if (move.kind == MoveKind::arc && sweep_of(move) > sweep_of(asked) + kRounding + kSamePlace / before) {
            fault(Kind::other, "the arc is too short for the cutter to get past the corner before it, with cutter "
                               "radius compensation");
            move.kind = MoveKind::line;
        }
    }
    compensation_.at = flat(to);
    return emit_together(corner, move);
}

} // namespace kerfwright::program
