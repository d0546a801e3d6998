#include "program/interpreter.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace kerfwright::program {

using motion::MoveKind;
using motion::Normal;
using motion::PlaneVec;
using motion::Vec3;

bool Interpreter::move(int code) {
    if (code >= 810) return cycle(code);
    if (code == 20 || code == 30) return arc(code);
    return straight(code);
}

/// Where the axis words lead, in the frame of the moves.
std::optional<Vec3> Interpreter::target() {
    const bool machine = block_.g[0] == 530;
    const Vec3 zero = machine ? Vec3{} - first_origin_ - Vec3{0, 0, modes_.tool_length} : shift();
    const auto axis = [&](char letter, double at, double base) {
        if (!block_.has(letter)) return at;
        const double value = block_[letter] * unit();
        return modes_.incremental && !machine ? at + value : value + base;
    };
    const Vec3 now = programmed();
    const Vec3 to{axis('x', now.x, zero.x), axis('y', now.y, zero.y), axis('z', now.z, zero.z)};
    if (!within_range(to)) return std::nullopt;
    return to;
}

bool Interpreter::within_range(const Vec3& at) {
    constexpr double kFarthest = 20'000; // mm; plane geometry ends there
    for (const double value : {at.x, at.y, at.z})
        if (!(std::abs(value) <= kFarthest))
            return fault(Kind::other, "a coordinate beyond 20 m; the move is left out");
    return true;
}

bool Interpreter::feed_known() {
    if (modes_.inverse_time && !block_.has('f'))
        return fault(Kind::no_feed, "under inverse-time feed (G93) every feed move needs its own F");
    if (!(modes_.feed > 0)) return fault(Kind::no_feed, "a feed move, but no feed (F) is set");
    if (modes_.feed_in_other_units) {
        modes_.feed_in_other_units = false; // said once
        return fault(Kind::units, "the units changed since the feed was set; controllers differ in what F means now");
    }
    return true;
}

bool Interpreter::straight(int code) {
    if (!block_.has_axis())
        return fault(Kind::syntax, code == 382 ? "a probe (G38.2) without X, Y or Z"
                                               : fmt::format("G{} without an axis word", code / 10));
    if (block_.g[0] == 530 && !options_.origins_known)
        return fault(Kind::other, "where machine coordinates (G53) lie is not known; the move is left out");
    const auto to = target();
    if (!to) return false;
    if (code != 0) feed_known(); // without a feed the move is listed all the same, with feed 0
    if (code == 382) return probe(*to);
    const MoveKind kind = code == 0 ? MoveKind::rapid : MoveKind::line;
    return compensation_.on ? compensated_line(kind, *to) : emit(kind, *to);
}

bool Interpreter::probe(const Vec3& to) {
    constexpr double kShortest = 0.254;
    if (modes_.inverse_time) return fault(Kind::syntax, "a probe (G38.2) under inverse-time feed (G93)");
    if (length(to - position_) < kShortest)
        return fault(Kind::other, "a probe (G38.2) that begins within 0.254 mm of its end");
    if (!emit(MoveKind::line, to)) return false;
    const Vec3 at = (to - shift()) * (1 / unit());
    const double values[] = {at.x, at.y, at.z};
    for (std::size_t i = 0; i < 3; ++i) {
        parameters_[5061 + i] = values[i];
        parameter_set_[5061 + i] = true;
    }
    return true;
}

bool Interpreter::arc(int code) {
    static constexpr const char* kAxes[] = {"yz", "xz", "xy"};
    static constexpr const char* kOffsets[] = {"jk", "ik", "ij"};
    static constexpr const char kForeign[] = {'i', 'j', 'k'};
    const auto plane = static_cast<std::size_t>(modes_.normal);
    const char* axes = kAxes[plane];
    const char* offsets = kOffsets[plane];
    const bool clockwise = code == 20;
    const bool has_offset = block_.has(offsets[0]) || block_.has(offsets[1]);
    if (!block_.has(axes[0]) && !block_.has(axes[1]))
        return fault(Kind::arc,
                     fmt::format("an arc needs {:c} or {:c} in this plane", axes[0] - 'a' + 'A', axes[1] - 'a' + 'A'));
    if (block_.has(kForeign[plane]))
        return fault(Kind::arc,
                     fmt::format("the {} word has no meaning for an arc in this plane",
                                 static_cast<char>(kForeign[plane] - 'a' + 'A')),
                     kForeign[plane]);
    if (block_.has('r') && has_offset)
        return fault(Kind::arc, "an arc with both a radius (R) and a centre (I, J, K)", 'r');
    if (!block_.has('r') && !has_offset) return fault(Kind::arc, "an arc without a radius (R) or a centre (I, J, K)");
    const auto to = target();
    if (!to) return false;
    feed_known();
    const auto centre = block_.has('r') ? centre_from_radius(*to, clockwise) : centre_from_offsets(*to, clockwise);
    if (!centre) { // a stand-in, so that what follows begins where it should
        compensation_.entered = false;
        return emit(MoveKind::line, *to);
    }
    if (compensation_.on) return compensated_arc(*to, *centre, clockwise);
    motion::Move move;
    move.kind = MoveKind::arc;
    move.to = *to;
    move.centre = *centre;
    move.clockwise = clockwise;
    return emit(move);
}

double Interpreter::arc_tolerance() const {
    return modes_.inches ? options_.arc_tolerance_in * 25.4 : options_.arc_tolerance_mm;
}

std::optional<Vec3> Interpreter::centre_from_offsets(const Vec3& to, bool clockwise) {
    const auto offset = [&](char letter) { return block_.has(letter) ? block_[letter] * unit() : 0.0; };
    const Vec3 centre = programmed() + Vec3{offset('i'), offset('j'), offset('k')};
    if (!within_range(centre)) return std::nullopt;
    const PlaneVec c = in_plane(centre, modes_.normal);
    const PlaneVec a = in_plane(programmed(), modes_.normal);
    const PlaneVec b = in_plane(to, modes_.normal);
    const double start = std::hypot(a.u - c.u, a.v - c.v) + beside_first_arc(clockwise);
    const double end = std::hypot(b.u - c.u, b.v - c.v);
    const double allowed = arc_tolerance();
    constexpr double kRounding = 1e-9; // of the computation
    if (std::abs(start - end) > allowed + kRounding)
        fault(Kind::arc, fmt::format("the radius is {:.5f} mm at the start of the arc and {:.5f} mm at its end; {:.5f} "
                                     "mm of difference is allowed",
                                     start, end, allowed));
    if (!(start > 0)) {
        fault(Kind::arc, "an arc without a radius");
        return std::nullopt;
    }
    return centre;
}

std::optional<Vec3> Interpreter::centre_from_radius(const Vec3& to, bool clockwise) {
    const double radius = block_['r'] * unit();
    const PlaneVec a = in_plane(programmed(), modes_.normal);
    const PlaneVec b = in_plane(to, modes_.normal);
    const double du = b.u - a.u;
    const double dv = b.v - a.v;
    const double chord = std::hypot(du, dv);
    const double far = std::abs(radius); // of the end
    const double near = far - beside_first_arc(clockwise);
    const double allowed = arc_tolerance();
    if (!(chord > 0)) {
        fault(Kind::arc, "an arc by radius (R) that ends where it begins", 'r');
        return std::nullopt;
    }
    if (chord > near + far + allowed) {
        fault(Kind::arc,
              fmt::format("the ends of the arc are {:.4f} mm apart, more than twice its radius of {:.4f} mm", chord,
                          (near + far) / 2),
              'r');
        return std::nullopt;
    }
    // Where the circles about both ends meet.
    const double along = (near * near - far * far + chord * chord) / (2 * chord * chord);
    const double height = std::sqrt(std::max(0.0, near * near - along * chord * (along * chord)));
    // The centre lies left of the chord for a short counter-clockwise arc; every change of sense or of length flips it.
    const double side = (clockwise ? -1 : 1) * (radius < 0 ? -1 : 1) * height / chord;
    const Vec3 centre = from_plane({a.u + du * along - dv * side, a.v + dv * along + du * side, a.w}, modes_.normal);
    if (!within_range(centre)) return std::nullopt;
    return centre;
}

} // namespace kerfwright::program
