#pragma once
// Private to program/: the modes that lines set, and what a line does by them (NISTIR 6556, 3.5 to 3.8).

#include "program/block.hpp"
#include "program/read.hpp"

#include <optional>

namespace kerfwright::program {

struct Modes {
    int motion = 800; ///< G code times ten; 800: none
    motion::Normal normal = motion::Normal::z;
    bool incremental = false;
    bool inverse_time = false;
    bool inches = false;
    bool retract_to_start = true;     ///< G98
    int system = 1;                   ///< 1: G54, ..., 9: G59.3
    double feed = 0;                  ///< as written: units/min or 1/min
    bool feed_in_other_units = false; ///< written before the units changed
    double speed = 0;                 ///< rev/min, as written
    int turning = 0;                  ///< spindle: 1 clockwise, -1 counter-clockwise
    int tool = 0;                     ///< selected by T
    int tool_in_spindle = 0;          ///< by M6
    double tool_length = 0;           ///< mm, offset in use
    motion::Vec3 shift92;             ///< mm, G92
};

/// Cutter radius compensation in force (G41, G42).
struct Compensation {
    bool on = false;
    bool entered = false; ///< its first move is made: the tip is one radius beside `at`
    double radius = 0;    ///< mm; positive: the tip is left of the way, negative: right of it
    motion::Vec3 at;      ///< x and y of the programmed point
};

/// What stays of a canned cycle from line to line, in program units.
struct CycleWords {
    int code = 0;
    std::optional<double> depth, r, p, q, i, j, k;
};

class Interpreter {
  public:
    Interpreter(const ReadOptions& options, std::size_t text_size);

    /// Reads one line. False when the program has ended or nothing more is to be read.
    bool line(std::string_view text, int number);
    [[nodiscard]] Reading finish();

  private:
    using Kind = Fault::Kind;

    // interpreter.cpp: the order of execution
    bool execute();
    bool check_words();
    int chosen_motion(bool& good);
    void set_parameters();
    void comment();
    bool feed_and_speed();
    bool tool_and_spindle();
    bool dwell();
    bool modal_codes();
    bool tool_length();
    bool coordinate_system();
    bool stop_or_end();
    void end_program();

    // origins.cpp: G10, G28, G30, G92
    bool non_modal(int code);
    bool set_origin();
    bool go_home(int code);
    bool shift_axes(int code);
    [[nodiscard]] motion::Vec3 origin_of(int system) const;

    // motion.cpp: G0 to G3, G38.2
    bool move(int code);
    bool straight(int code);
    bool probe(const motion::Vec3& target);
    bool arc(int code);
    std::optional<motion::Vec3> centre_from_radius(const motion::Vec3& target, bool clockwise);
    std::optional<motion::Vec3> centre_from_offsets(const motion::Vec3& target, bool clockwise);
    std::optional<motion::Vec3> target();
    [[nodiscard]] double arc_tolerance() const;
    bool feed_known();
    bool within_range(const motion::Vec3& at);

    // compensation.cpp: G40 to G42
    bool allowed_with_compensation();
    bool compensate();
    std::optional<double> radius_to_compensate();
    [[nodiscard]] motion::Vec3 programmed() const;
    [[nodiscard]] double beside_first_arc(bool clockwise) const;
    std::optional<motion::Move> round_corner(motion::Vec3 direction);
    bool compensated_line(motion::MoveKind kind, const motion::Vec3& to);
    bool enter_by_line(motion::MoveKind kind, const motion::Vec3& to);
    bool compensated_arc(const motion::Vec3& to, const motion::Vec3& centre, bool clockwise);
    bool emit_together(std::optional<motion::Move> corner, motion::Move move);

    // cycles.cpp: G81 to G89
    bool cycle(int code);
    bool cycle_words(int code);
    struct CycleFrame; ///< levels of one cycle
    bool one_hole(int code, const CycleFrame& frame);
    bool peck(const CycleFrame& frame);
    bool bore_back(const CycleFrame& frame);

    // what is written down
    bool emit(motion::MoveKind kind, const motion::Vec3& to);
    bool emit(motion::Move move, double share_of_time = 1);
    bool wait(double seconds);
    void event(Event::Kind kind, double value = 0, std::string text = {});
    bool fault(Kind kind, std::string text, char letter = '\0');

    [[nodiscard]] double unit() const { return modes_.inches ? 25.4 : 1; }
    [[nodiscard]] motion::Vec3 shift() const { return origin_ - first_origin_ + modes_.shift92; }
    [[nodiscard]] double spindle() const { return modes_.turning * modes_.speed; }

    ReadOptions options_;
    Parameters parameters_;
    std::vector<bool> parameter_set_;
    BlockReader reader_;
    Block block_;
    Modes modes_;
    CycleWords cycle_;
    Compensation compensation_;
    motion::Vec3 position_;              ///< mm, tip, frame of the first coordinate system
    motion::Vec3 origin_, first_origin_; ///< mm, of the coordinate systems: now, at the start
    std::array<bool, 10> origin_set_{};
    Reading reading_;
    int line_ = 0;
    bool opened_by_percent_ = false;
    bool seen_line_ = false; ///< a line that is not blank
    bool closed_ = false;    ///< by M2, M30 or %
    bool full_ = false;      ///< too many faults or moves
};

} // namespace kerfwright::program
