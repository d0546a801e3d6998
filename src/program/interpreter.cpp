#include "program/interpreter.hpp"

#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::program {
namespace {

using motion::MoveKind;
using motion::Normal;
using motion::Vec3;

constexpr double kLargest = 1e7; // of a feed, a speed or a dwell: anything above is a slip of the pen

bool is_cycle(int motion) {
    return motion >= 810 && motion <= 890;
}

} // namespace

Interpreter::Interpreter(const ReadOptions& options, std::size_t text_size)
    : options_(options), parameters_(kParameterCount, 0.0), parameter_set_(kParameterCount, false),
      reader_(parameters_, std::clamp(options.expression_depth, 1, 1000)), position_(options.start) {
    constexpr std::size_t kShortLine = 20;
    reading_.moves.reserve(std::min(text_size / kShortLine + 1, options_.most_moves));
    parameters_[5220] = 1;
    for (const auto& [index, value] : options_.parameters)
        if (index >= 1 && index < kParameterCount) parameters_[static_cast<std::size_t>(index)] = value;
    modes_.inches = options_.inches_at_start;
    const double system = parameters_[5220];
    if (system >= 1 && system <= 9 && system == std::floor(system))
        modes_.system = static_cast<int>(system);
    else
        fault(Kind::other, fmt::format("parameter 5220 is {:g}, but coordinate systems go from 1 to 9", system));
    origin_ = first_origin_ = origin_of(modes_.system);
    origin_set_[static_cast<std::size_t>(modes_.system)] = true;
}

bool Interpreter::line(std::string_view text, int number) {
    constexpr std::size_t kLongestLine = 256;
    line_ = number;
    if (trimmed(text).empty()) return true;
    if (text.size() > kLongestLine) {
        block_.letters = 0;
        fault(Kind::syntax,
              fmt::format("the line has {} characters; the language allows {}", text.size(), kLongestLine));
    }
    if (!reader_.read(text, block_)) {
        seen_line_ = true;
        const Complaint& complaint = reader_.complaint();
        if (reading_.faults.size() >= options_.most_faults)
            full_ = true;
        else
            reading_.faults.push_back({Kind::syntax, line_, complaint.column, complaint.text});
        return !full_;
    }
    const bool first = !seen_line_;
    seen_line_ = true;
    if (block_.percent) {
        if (first) {
            opened_by_percent_ = true;
            return true;
        }
        closed_ = reading_.ended = true;
        return false;
    }
    if (block_.deleted && options_.block_delete) return true;
    execute();
    set_parameters();
    return !full_ && (!closed_ || options_.past_end);
}

Reading Interpreter::finish() {
    if (!closed_ && !full_) {
        block_.letters = 0;
        if (opened_by_percent_)
            fault(Kind::syntax, "the program begins with % but has no second % line, M2 or M30");
        else
            fault(Kind::syntax, "the program has no end: M2, M30, or a pair of % lines");
    }
    for (int i = 1; i < kParameterCount; ++i)
        if (parameter_set_[static_cast<std::size_t>(i)])
            reading_.parameters[i] = parameters_[static_cast<std::size_t>(i)];
    return std::move(reading_);
}

/// Everything a line does, in the order of table 8.
bool Interpreter::execute() {
    comment();
    bool good = true;
    const int motion = chosen_motion(good);
    if (!good || !check_words() || !allowed_with_compensation()) return false;
    if (!feed_and_speed() || !tool_and_spindle() || !dwell() || !modal_codes()) return false;
    const int once = block_.g[0];
    if (once != kNoCode && once != 40 && once != 530 && !non_modal(once)) return false;
    if (block_.g[1] != kNoCode) modes_.motion = block_.g[1];
    if (modes_.motion != cycle_.code) cycle_ = {};
    if (motion != kNoCode && !move(motion)) return false;
    return stop_or_end();
}

/// The motion code that acts on this line, if one does.
int Interpreter::chosen_motion(bool& good) {
    const int explicit_motion = block_.g[1];
    const int once = block_.g[0];
    const bool once_uses_axes = once == 100 || once == 280 || once == 300 || once == 920;
    if (explicit_motion != kNoCode && explicit_motion != 800 && once_uses_axes) {
        good = fault(Kind::syntax,
                     fmt::format("G{:g} and G{:g} would both use the axis words", explicit_motion / 10.0, once / 10.0));
        return kNoCode;
    }
    if (explicit_motion == 800) {
        if (block_.has_axis() && !once_uses_axes)
            good = fault(Kind::syntax, "axis words with G80, which stops all motion");
        return kNoCode;
    }
    if (once == 530) {
        const int current = explicit_motion != kNoCode ? explicit_motion : modes_.motion;
        if (current != 0 && current != 10) good = fault(Kind::syntax, "G53 without G0 or G1");
        if (block_.g[3] != kNoCode ? block_.g[3] == 910 : modes_.incremental)
            good = fault(Kind::syntax, "G53 while distances are incremental (G91)");
        if (!good) return kNoCode;
    }
    if (explicit_motion != kNoCode) return explicit_motion;
    if (!block_.has_axis() || once_uses_axes) return kNoCode;
    if (modes_.motion == 800) {
        good = fault(Kind::syntax, "axis words, but no motion word is in force");
        return kNoCode;
    }
    return modes_.motion;
}

/// Words that nothing on the line, or no mode in force, makes use of.
bool Interpreter::check_words() {
    const int motion = block_.g[1] != kNoCode ? block_.g[1] : (block_.has_axis() ? modes_.motion : kNoCode);
    const bool arc = motion == 20 || motion == 30;
    const bool cycle = is_cycle(motion);
    for (const char letter : {'a', 'b', 'c'})
        if (block_.has(letter))
            return fault(Kind::other, "turning axes (A, B, C) are not part of a three-axis router", letter);
    const bool g10 = block_.g[0] == 100;
    const bool offsets = arc || motion == 870;
    const bool dwells = motion == 820 || motion == 860 || motion == 880 || motion == 890;
    const struct {
        char letter;
        bool used;
    } uses[] = {
        {'d', block_.g[7] == 410 || block_.g[7] == 420},
        {'h', block_.g[8] == 430},
        {'i', offsets},
        {'j', offsets},
        {'k', offsets},
        {'l', g10 || cycle},
        {'p', g10 || block_.g[0] == 40 || dwells},
        {'q', motion == 830},
        {'r', arc || cycle},
    };
    for (const auto& [letter, used] : uses)
        if (block_.has(letter) && !used)
            return fault(Kind::syntax,
                         fmt::format("nothing on this line uses the {} word", static_cast<char>(letter - 'a' + 'A')),
                         letter);
    return true;
}

void Interpreter::set_parameters() {
    for (const auto& [index, value] : block_.settings) {
        parameters_[static_cast<std::size_t>(index)] = value;
        parameter_set_[static_cast<std::size_t>(index)] = true;
        const int system = (index - 5221) / 20 + 1;
        if (index >= 5221 && system <= 9 && (index - 5221) % 20 < 3)
            origin_set_[static_cast<std::size_t>(system)] = true;
    }
}

/// A comment that begins with "MSG," is for the person at the machine.
void Interpreter::comment() {
    constexpr std::string_view kMark = "msg,";
    std::string_view text = block_.comment;
    for (const char expected : kMark) {
        text = trimmed(text);
        if (text.empty()) return;
        const char c =
            text.front() >= 'A' && text.front() <= 'Z' ? static_cast<char>(text.front() - 'A' + 'a') : text.front();
        if (c != expected) return;
        text.remove_prefix(1);
    }
    event(Event::Kind::message, 0, std::string(trimmed(text)));
}

bool Interpreter::feed_and_speed() {
    if (block_.g[5] != kNoCode) {
        if (block_.g[5] == 930 && is_cycle(modes_.motion) && (block_.g[1] == kNoCode || is_cycle(block_.g[1])))
            return fault(Kind::syntax, "inverse-time feed (G93) while a canned cycle is in force");
        const bool inverse = block_.g[5] == 930;
        if (inverse != modes_.inverse_time) modes_.feed = 0; // the number means another thing now
        modes_.inverse_time = inverse;
    }
    if (block_.has('f')) {
        if (block_['f'] < 0) return fault(Kind::syntax, "a negative feed", 'f');
        if (block_['f'] > kLargest) return fault(Kind::syntax, "a feed that is too large", 'f');
        modes_.feed = block_['f'];
        modes_.feed_in_other_units = false;
    }
    if (block_.has('s')) {
        if (block_['s'] < 0) return fault(Kind::syntax, "a negative spindle speed", 's');
        if (block_['s'] > kLargest) return fault(Kind::syntax, "a spindle speed that is too large", 's');
        modes_.speed = block_['s'];
    }
    return true;
}

bool Interpreter::tool_and_spindle() {
    if (block_.has('t')) {
        const double tool = block_['t'];
        if (tool < 0 || tool > 99'999 || std::abs(tool - std::round(tool)) > 0.0001)
            return fault(Kind::tool, "a tool number must be a whole number from 0 on", 't');
        modes_.tool = static_cast<int>(std::round(tool));
        if (modes_.tool != 0 && !options_.tools.empty() && options_.tools.count(modes_.tool) == 0)
            return fault(Kind::tool, fmt::format("no tool {} is known", modes_.tool), 't');
        event(Event::Kind::tool_selected, modes_.tool);
    }
    if (block_.has_m(60)) {
        if (modes_.turning != 0) event(Event::Kind::spindle_off);
        modes_.turning = 0;
        modes_.tool_in_spindle = modes_.tool;
        event(Event::Kind::tool_change, modes_.tool);
    }
    switch (block_.m[7]) {
    case 30:
    case 40:
        modes_.turning = block_.m[7] == 30 ? 1 : -1;
        event(Event::Kind::spindle_on, spindle());
        break;
    case 50:
        modes_.turning = 0;
        event(Event::Kind::spindle_off);
        break;
    default:
        break;
    }
    return true;
}

bool Interpreter::dwell() {
    if (block_.g[0] != 40) return true;
    if (!block_.has('p')) return fault(Kind::syntax, "a dwell (G4) without its time (P)");
    if (block_['p'] < 0) return fault(Kind::syntax, "a dwell of negative time", 'p');
    return wait(block_['p']);
}

bool Interpreter::modal_codes() {
    if (block_.g[2] != kNoCode) cycle_ = {};
    switch (block_.g[2]) {
    case 170:
        modes_.normal = Normal::z;
        break;
    case 180:
        modes_.normal = Normal::y;
        break;
    case 190:
        modes_.normal = Normal::x;
        break;
    default:
        break;
    }
    if (block_.g[6] != kNoCode) {
        const bool inches = block_.g[6] == 200;
        if (inches != modes_.inches) {
            if (modes_.feed > 0 && !modes_.inverse_time && !block_.has('f')) modes_.feed_in_other_units = true;
            cycle_ = {};
        }
        modes_.inches = inches;
        event(inches ? Event::Kind::units_inch : Event::Kind::units_mm);
    }
    if (!compensate() || !tool_length() || !coordinate_system()) return false;
    if (block_.g[3] != kNoCode) {
        modes_.incremental = block_.g[3] == 910;
        event(modes_.incremental ? Event::Kind::incremental : Event::Kind::absolute);
    }
    if (block_.g[10] != kNoCode) modes_.retract_to_start = block_.g[10] == 980;
    return true;
}

bool Interpreter::tool_length() {
    if (block_.g[8] == kNoCode) return true;
    double length = 0;
    if (block_.g[8] == 430) {
        if (!block_.has('h')) return fault(Kind::tool, "a tool length offset (G43) without its number (H)");
        const double h = block_['h'];
        if (h < 0 || h > 99'999 || std::abs(h - std::round(h)) > 0.0001)
            return fault(Kind::tool, "a tool length number must be a whole number from 0 on", 'h');
        const auto entry = options_.tools.find(static_cast<int>(std::round(h)));
        if (entry == options_.tools.end() && std::round(h) != 0 && !options_.tools.empty())
            return fault(Kind::tool, fmt::format("no length is known for tool {:g}", h), 'h');
        if (entry != options_.tools.end()) length = entry->second.length;
    }
    position_.z += modes_.tool_length - length; // the spindle stays; the tip is elsewhere
    modes_.tool_length = length;
    return true;
}

bool Interpreter::coordinate_system() {
    if (block_.g[12] == kNoCode) return true;
    const int code = block_.g[12];
    const int system = code <= 590 ? code / 10 - 53 : 6 + code - 590;
    if (!options_.origins_known && !origin_set_[static_cast<std::size_t>(system)])
        fault(Kind::other, fmt::format("where the origin of G{:g} lies is not known; it is taken as the machine's zero",
                                       code / 10.0));
    modes_.system = system;
    parameters_[5220] = system;
    origin_ = origin_of(system);
    return true;
}

bool Interpreter::stop_or_end() {
    switch (block_.m[4]) {
    case 0:
    case 10:
    case 600:
        return emit(MoveKind::stop, position_);
    case 20:
    case 300:
        end_program();
        break;
    default:
        break;
    }
    return true;
}

void Interpreter::end_program() {
    event(Event::Kind::program_end);
    if (modes_.turning != 0) event(Event::Kind::spindle_off);
    modes_.shift92 = {};
    modes_.system = 1;
    origin_ = origin_of(1);
    modes_.normal = Normal::z;
    modes_.incremental = false;
    modes_.inverse_time = false;
    modes_.turning = 0;
    modes_.motion = 10;
    compensation_ = {};
    closed_ = reading_.ended = true;
}

bool Interpreter::emit(MoveKind kind, const Vec3& to) {
    motion::Move move;
    move.kind = kind;
    move.to = to;
    return emit(move);
}

/// Adds where the move begins, its feed, spindle and line. Feeds are those in force.
bool Interpreter::emit(motion::Move move, double share_of_time) {
    if (reading_.moves.size() >= options_.most_moves) {
        if (!full_)
            fault(Kind::other,
                  fmt::format("the program asks for more than {} moves; reading stopped here", options_.most_moves));
        full_ = true;
        return false;
    }
    if (!within_range(move.to)) return false;
    move.from = position_;
    move.spindle = spindle();
    move.line = line_;
    move.normal = modes_.normal;
    if (move.kind == MoveKind::line || move.kind == MoveKind::arc) {
        if (modes_.inverse_time) {
            move.seconds = modes_.feed > 0 ? share_of_time * 60 / modes_.feed : 0;
            move.feed = share_of_time > 0 ? length(move) * modes_.feed / share_of_time : 0;
        } else {
            move.feed = modes_.feed * unit();
        }
    }
    position_ = move.to;
    reading_.moves.push_back(move);
    return true;
}

bool Interpreter::wait(double seconds) {
    if (seconds > kLargest) return fault(Kind::syntax, "a dwell that is too long", 'p');
    motion::Move move;
    move.kind = MoveKind::dwell;
    move.to = position_;
    move.seconds = seconds;
    return emit(move);
}

void Interpreter::event(Event::Kind kind, double value, std::string text) {
    reading_.events.push_back({kind, line_, value, std::move(text), reading_.moves.size()});
}

bool Interpreter::fault(Kind kind, std::string text, char letter) {
    if (reading_.faults.size() >= options_.most_faults) {
        full_ = true;
        return false;
    }
    const int column = letter != '\0' && block_.has(letter)
                           ? reader_.column_of(block_.columns[static_cast<std::size_t>(letter - 'a')])
                           : 0;
    reading_.faults.push_back({kind, line_, column, std::move(text)});
    return false;
}

} // namespace kerfwright::program
