// Path data: SVG 2, section 9.3.

#include "drawing/svg_values.hpp"

#include <fmt/format.h>

#include <array>

namespace kerfwright::drawing {
namespace {

class PathReader {
  public:
    explicit PathReader(std::string_view data) : scan_(data) {}

    std::variant<std::vector<Chain>, ValueFault> read() {
        scan_.skip_space();
        while (!scan_.done() && !fault_)
            command();
        if (fault_) return *fault_;
        finish(false);
        return std::move(chains_);
    }

  private:
    void refuse(std::string what) {
        if (!fault_) fault_ = ValueFault{scan_.at(), std::move(what)};
    }

    static constexpr int arguments(char upper) {
        switch (upper) {
        case 'M':
        case 'L':
        case 'T':
            return 2;
        case 'H':
        case 'V':
            return 1;
        case 'C':
            return 6;
        case 'S':
        case 'Q':
            return 4;
        case 'A':
            return 7;
        case 'Z':
            return 0;
        default:
            return -1;
        }
    }

    /// One letter with all its groups of numbers.
    void command() {
        const char letter = scan_.peek();
        const bool relative = letter >= 'a' && letter <= 'z';
        char upper = relative ? static_cast<char>(letter - 'a' + 'A') : letter;
        const int count = arguments(upper);
        if (count < 0)
            return refuse(fmt::format("'{}' is no path command", letter >= ' ' && letter <= '~' ? letter : '?'));
        if (!begun_ && upper != 'M') return refuse("path data must begin with M");
        scan_.take(letter);
        scan_.skip_space();
        begun_ = true;
        if (upper == 'Z') {
            finish(true);
            previous_ = 'Z';
            return;
        }
        std::array<double, 7> v{};
        do {
            if (!numbers(upper, count, v)) return;
            run(upper, v, relative ? at_ : Vec{});
            previous_ = upper;
            if (upper == 'M') upper = 'L'; // more pairs after a moveto are linetos
            scan_.skip_comma_space();
        } while (more());
    }

    [[nodiscard]] bool more() const {
        const char c = scan_.peek();
        return (c >= '0' && c <= '9') || c == '.' || c == '-' || c == '+';
    }

    bool numbers(char upper, int count, std::array<double, 7>& v) {
        for (int i = 0; i < count; ++i) {
            if (i > 0) scan_.skip_comma_space();
            auto& value = v[static_cast<std::size_t>(i)];
            if (upper == 'A' && (i == 3 || i == 4)) {
                bool flag = false;
                if (!scan_.flag(flag)) return refuse("an arc's flag must be 0 or 1"), false;
                value = flag ? 1 : 0;
            } else if (!scan_.number(value)) {
                return refuse(fmt::format("a number is wanted here ({} of {} for '{}')", i + 1, count, upper)), false;
            }
        }
        return true;
    }

    void run(char upper, const std::array<double, 7>& v, Vec from) {
        const auto point = [&](std::size_t i) { return Vec{v[i], v[i + 1]} + from; };
        switch (upper) {
        case 'M':
            finish(false);
            at_ = begin_ = point(0);
            break;
        case 'L':
            put(Line{point(0)});
            break;
        case 'H':
            put(Line{{v[0] + from.x, at_.y}});
            break;
        case 'V':
            put(Line{{at_.x, v[0] + from.y}});
            break;
        case 'C':
            control_ = point(2);
            put(Cubic{point(0), control_, point(4)});
            break;
        case 'S': {
            const Vec first = previous_ == 'C' || previous_ == 'S' ? at_ * 2 - control_ : at_;
            control_ = point(0);
            put(Cubic{first, control_, point(2)});
            break;
        }
        case 'Q':
            control_ = point(0);
            put(quadratic(at_, control_, point(2)));
            break;
        case 'T':
            control_ = previous_ == 'Q' || previous_ == 'T' ? at_ * 2 - control_ : at_;
            put(quadratic(at_, control_, point(0)));
            break;
        case 'A':
            put(svg_arc(at_, v[0], v[1], v[2], v[3] != 0, v[4] != 0, point(5)));
            break;
        default:
            break;
        }
    }

    void put(Piece piece) {
        at_ = end_of(piece);
        pieces_.push_back(std::move(piece));
    }

    /// Ends the subpath; the next one begins where this one began unless a moveto comes.
    void finish(bool closed) {
        if (!pieces_.empty()) chains_.push_back({begin_, std::move(pieces_), closed});
        pieces_.clear();
        at_ = closed ? begin_ : at_;
        begin_ = at_;
    }

    Scanner scan_;
    std::vector<Chain> chains_;
    std::vector<Piece> pieces_;
    Vec begin_, at_, control_;
    char previous_ = 0;
    bool begun_ = false;
    std::optional<ValueFault> fault_;
};

} // namespace

std::variant<std::vector<Chain>, ValueFault> parse_path(std::string_view data) {
    Scanner scan(data);
    scan.skip_space();
    if (data.substr(scan.at()) == "none") return std::vector<Chain>{};
    return PathReader(data).read();
}

} // namespace kerfwright::drawing
