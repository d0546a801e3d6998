#include "program/write.hpp"

#include "program/block_writer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace kerfwright::program {
namespace {

using motion::Move;
using motion::MoveKind;
using motion::PlaneVec;
using motion::Vec3;

constexpr double kFarthest = 9999; // mm

/// A place in steps of the last written decimal.
struct Steps {
    std::int64_t x = 0, y = 0, z = 0;
    bool operator==(const Steps&) const = default;
};

bool writable(const Vec3& v) {
    return std::abs(v.x) <= kFarthest && std::abs(v.y) <= kFarthest && std::abs(v.z) <= kFarthest; // false for NaN
}

/// Writes moves one after another, keeping what the controller has in force.
class Writer {
  public:
    Writer(const ProgramToWrite& program, const shop::Machine& machine)
        : program_(program), machine_(machine), able_(machine.abilities), blocks_(machine.abilities) {
        decimals_ = std::clamp(able_.decimals, 1, 6);
        step_ = std::pow(10.0, -decimals_) * unit();
        clearance_ = to_steps({0, 0, program.clearance}).z;
    }

    Result<std::string> write() {
        if (!writable({0, 0, program_.clearance}))
            return Problem{"", 0, 0, "the clearance height is no usable number", "give a height within 9999 mm"};
        begin();
        for (const Section& section : program_.sections) {
            blocks_.comment(section.comment);
            for (std::size_t i = 0; i < section.moves.size(); ++i) {
                const std::string wrong = write_move(section.moves[i]);
                if (!wrong.empty())
                    return Problem{
                        "", 0, 0, fmt::format("move {} of \"{}\" cannot be written: {}", i + 1, section.comment, wrong),
                        "this is a fault of the toolpath, not of the job"};
            }
        }
        end();
        if (blocks_.too_long())
            return Problem{
                "", 0, 0,
                fmt::format("a block does not fit the machine's longest line of {} characters", able_.longest_line),
                "raise longest_line in the machine file if the controller takes it"};
        return blocks_.text();
    }

  private:
    [[nodiscard]] double unit() const { return able_.inches ? 25.4 : 1; }
    [[nodiscard]] Steps to_steps(const Vec3& v) const {
        return {std::llround(v.x / step_), std::llround(v.y / step_), std::llround(v.z / step_)};
    }
    [[nodiscard]] Vec3 to_mm(const Steps& s) const {
        return Vec3{static_cast<double>(s.x), static_cast<double>(s.y), static_cast<double>(s.z)} * step_;
    }

    void begin() {
        for (const std::string& line : program_.header)
            blocks_.comment(line);
        for (const char* word : {able_.inches ? "G20" : "G21", "G17", "G90", "G94", "G40", "G49", "G80", "G54"})
            blocks_.add(word);
        blocks_.finish();
        go(0);
        axis('Z', clearance_);
        blocks_.finish();
        at_.z = clearance_;
        if (!(program_.n > 0)) return;
        speed_ = std::llround(program_.n);
        blocks_.add(fmt::format("S{}", speed_));
        blocks_.add("M3");
        blocks_.finish();
        const double seconds = machine_.spindle.seconds_to_speed;
        if (seconds > 0) wait(seconds);
    }

    void end() {
        if (at_.z < clearance_) rapid({at_.x, at_.y, clearance_});
        blocks_.add("M5");
        blocks_.finish();
        blocks_.add("M2");
        blocks_.finish();
    }

    /// Empty, or what is wrong with the move.
    std::string write_move(const Move& move) {
        if (!writable(move.from) || !writable(move.to)) return "a coordinate is not finite or beyond 9999 mm";
        if (std::string wrong = reach_start(move); !wrong.empty()) return wrong;
        switch (move.kind) {
        case MoveKind::rapid:
            rapid(to_steps(move.to));
            return {};
        case MoveKind::dwell:
            if (!(move.seconds >= 0 && move.seconds < 1e6)) return "a dwell of no usable time";
            wait(move.seconds);
            return {};
        case MoveKind::stop:
            blocks_.add("M0");
            blocks_.finish();
            return {};
        case MoveKind::line:
        case MoveKind::arc:
            break;
        }
        if (!(move.feed > 0 && move.feed < 1e6)) return "it has no usable feed";
        if (move.spindle < 0) return "its spindle turns counter-clockwise";
        set_feed(move);
        if (move.kind == MoveKind::line)
            line(to_steps(move.to));
        else
            return arc(move);
        return {};
    }

    /// Gets to where the move begins, if that takes no more than a rapid at clearance.
    std::string reach_start(const Move& move) {
        constexpr std::int64_t kNoise = 2; // steps
        const Steps from = to_steps(move.from);
        const bool near = std::abs(from.x - at_.x) <= kNoise && std::abs(from.y - at_.y) <= kNoise &&
                          std::abs(from.z - at_.z) <= kNoise;
        if (placed_ && near) return {};
        if (!placed_ && move.kind == MoveKind::rapid) return {}; // from wherever the machine stands, at clearance
        if (at_.z >= clearance_ && from.z >= clearance_) {
            rapid(from);
            return {};
        }
        return fmt::format("it begins at X{:.4f} Y{:.4f} Z{:.4f}, away from where the one before ended", move.from.x,
                           move.from.y, move.from.z);
    }

    /// Rapids may leave the straight line, so up comes before sideways and sideways before down.
    void rapid(const Steps& to) {
        const auto rise = [&] {
            if (to.z == at_.z) return;
            go(0);
            axis('Z', to.z);
            blocks_.finish();
            at_.z = to.z;
        };
        if (to.z > at_.z) rise();
        if (!placed_ || to.x != at_.x || to.y != at_.y) {
            go(0);
            if (!placed_ || to.x != at_.x) axis('X', to.x);
            if (!placed_ || to.y != at_.y) axis('Y', to.y);
            blocks_.finish();
            at_.x = to.x;
            at_.y = to.y;
            placed_ = true;
        }
        rise();
    }

    void line(const Steps& to) {
        if (to == at_) return;
        go(1);
        if (to.x != at_.x) axis('X', to.x);
        if (to.y != at_.y) axis('Y', to.y);
        if (to.z != at_.z) axis('Z', to.z);
        finish_feed_block();
        at_ = to;
    }

    std::string arc(const Move& move) {
        if (!writable(move.centre)) return "its centre is not finite or beyond 9999 mm";
        const double radius = radius_of(move);
        if (!(radius > 0)) return "it is an arc without a radius";
        const double sweep = sweep_of(move);
        const auto normal_part = [&](const Vec3& v) { return in_plane(v, move.normal).w; };
        const bool helical = std::abs(normal_part(move.to) - normal_part(move.from)) > step_ / 2;
        // Half circles at most: nearly full ones are ill-conditioned, and not every controller takes full ones.
        const int pieces = sweep > std::numbers::pi * (1 + 1e-6) ? 2 : 1;
        for (int i = 0; i < pieces; ++i) {
            const double first = static_cast<double>(i) / pieces;
            const double last = static_cast<double>(i + 1) / pieces;
            const bool able = able_.arcs && (able_.helical_arcs || !helical);
            if (!able || !arc_piece(move, point_at(move, first), point_at(move, last), radius, sweep / pieces))
                chords(move, first, last, radius, sweep / pieces);
        }
        return {};
    }

    /// One arc block of at most half a turn. False when a line serves as well or the radius rule cannot be kept.
    ///
    /// Ends are rounded first; the centre goes onto the perpendicular bisector of the rounded ends, as far from the
    /// chord as it was, and is then rounded relative to the start: so the two radii differ by 2 sqrt(2) half steps at
    /// most (1.41 µm for three decimals of a millimetre, where 2 µm are allowed).
    bool arc_piece(const Move& move, const Vec3& from, const Vec3& to, double radius, double sweep) {
        const double sagitta = radius * (1 - std::cos(sweep / 2));
        if (sagitta <= step_ / 2 || radius > kFarthest / 2) return false;
        const Steps end = to_steps(to);
        const PlaneVec a = in_plane(to_mm(at_), move.normal);
        const PlaneVec b = in_plane(to_mm(end), move.normal);
        const double chord = std::hypot(b.u - a.u, b.v - a.v);
        const double asked_chord =
            length(Vec3{in_plane(to - from, move.normal).u, in_plane(to - from, move.normal).v, 0});
        if (chord < 2 * step_ || std::abs(chord - asked_chord) > 4 * step_) return false;
        const double height = radius * std::cos(sweep / 2) / chord * (move.clockwise ? -1 : 1);
        const PlaneVec spoke{(b.u - a.u) / 2 - (b.v - a.v) * height, (b.v - a.v) / 2 + (b.u - a.u) * height, 0};
        const auto offset = rounded_centre(spoke, {b.u - a.u, b.v - a.v, 0});
        if (!offset) return false;
        plane_word(move.normal);
        go(move.clockwise ? 2 : 3);
        static constexpr char kEnds[][3] = {{'Y', 'Z', 'X'}, {'Z', 'X', 'Y'}, {'X', 'Y', 'Z'}};
        static constexpr char kOffsets[][2] = {{'J', 'K'}, {'K', 'I'}, {'I', 'J'}};
        const auto p = static_cast<std::size_t>(move.normal);
        // In the order of the alphabet, both words of the plane always.
        const bool turned = move.normal == motion::Normal::y;
        const auto value = [&](const Steps& s, char letter) { return letter == 'X' ? s.x : letter == 'Y' ? s.y : s.z; };
        const char third = kEnds[p][2];
        for (const char letter : {'X', 'Y', 'Z'})
            if (letter != third || value(end, third) != value(at_, third)) axis(letter, value(end, letter));
        const auto [first, second] = *offset;
        if (turned) axis(kOffsets[p][1], second);
        axis(kOffsets[p][0], first);
        if (!turned) axis(kOffsets[p][1], second);
        finish_feed_block();
        at_ = end;
        return true;
    }

    /// The centre's offsets in steps, if some near the wanted ones keep the radius rule.
    [[nodiscard]] std::optional<std::pair<std::int64_t, std::int64_t>> rounded_centre(const PlaneVec& spoke,
                                                                                      const PlaneVec& chord) const {
        constexpr double kReserve = 1e-7; // mm, for the reader's own rounding
        const double language = able_.inches ? 0.0002 * 25.4 : 0.002;
        const double allowed = std::min(able_.arc_tolerance, language) - kReserve;
        const auto mismatch = [&](std::int64_t u, std::int64_t v) {
            const double x = static_cast<double>(u) * step_;
            const double y = static_cast<double>(v) * step_;
            return std::abs(std::hypot(x, y) - std::hypot(chord.u - x, chord.v - y));
        };
        const std::int64_t u = std::llround(spoke.u / step_);
        const std::int64_t v = std::llround(spoke.v / step_);
        std::pair best{u, v};
        if (mismatch(u, v) <= allowed) return best;
        for (std::int64_t i = u - 1; i <= u + 1; ++i)
            for (std::int64_t j = v - 1; j <= v + 1; ++j)
                if (mismatch(i, j) < mismatch(best.first, best.second)) best = {i, j};
        if (mismatch(best.first, best.second) <= allowed) return best;
        return std::nullopt;
    }

    void chords(const Move& move, double first, double last, double radius, double sweep) {
        constexpr int kMost = 100'000;
        const double flatness = std::clamp(1 - std::max(able_.arc_tolerance, 1e-4) / radius, 0.0, 1.0);
        const double count = std::ceil(sweep / (2 * std::acos(flatness)));
        const int parts = count < kMost ? std::max(1, static_cast<int>(count)) : kMost;
        for (int i = 1; i <= parts; ++i)
            line(to_steps(point_at(move, first + (last - first) * i / parts)));
    }

    void wait(double seconds) {
        if (!able_.dwell) {
            blocks_.comment(fmt::format("wait {:.1f} s here", seconds));
            return;
        }
        blocks_.add(fmt::format("G4 P{:.1f}", std::ceil(seconds * 10 - 1e-9) / 10));
        blocks_.finish();
    }

    void go(int code) {
        if (code != motion_) blocks_.add(fmt::format("G{}", code));
        motion_ = code;
    }
    void plane_word(motion::Normal normal) {
        if (normal == plane_) return;
        static constexpr const char* kWords[] = {"G19", "G18", "G17"};
        blocks_.add(kWords[static_cast<std::size_t>(normal)]);
        plane_ = normal;
    }
    void axis(char letter, std::int64_t steps) { blocks_.add(letter + decimal(steps, decimals_)); }

    void set_feed(const Move& move) {
        const int decimals = able_.inches ? 2 : 1;
        const double scale = std::pow(10.0, decimals);
        feed_ = std::max<std::int64_t>(1, std::llround(move.feed / unit() * scale));
        speed_wanted_ = program_.n > 0 && move.spindle > 0 ? std::llround(move.spindle) : speed_;
    }
    void finish_feed_block() {
        if (feed_ != feed_written_) blocks_.add_movable("F" + decimal(feed_, able_.inches ? 2 : 1));
        if (speed_wanted_ != speed_) blocks_.add_movable(fmt::format("S{}", speed_wanted_));
        feed_written_ = feed_;
        speed_ = speed_wanted_;
        blocks_.finish();
    }

    const ProgramToWrite& program_;
    const shop::Machine& machine_;
    const shop::Abilities& able_;
    BlockWriter blocks_;
    int decimals_ = 3;
    double step_ = 0.001; ///< mm
    std::int64_t clearance_ = 0;
    Steps at_;
    bool placed_ = false; ///< X and Y are known
    int motion_ = -1;
    motion::Normal plane_ = motion::Normal::z;
    std::int64_t feed_ = 0, feed_written_ = 0;
    std::int64_t speed_ = 0, speed_wanted_ = 0;
};

} // namespace

Result<std::string> write_program(const ProgramToWrite& program, const shop::Machine& machine) {
    return Writer(program, machine).write();
}

} // namespace kerfwright::program
