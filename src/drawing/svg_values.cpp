#include "drawing/svg_values.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <numbers>

namespace kerfwright::drawing {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

double radians_in(std::string_view unit) {
    if (unit.empty() || unit == "deg") return kDegree;
    if (unit == "rad") return 1;
    if (unit == "grad") return std::numbers::pi / 200;
    if (unit == "turn") return 2 * std::numbers::pi;
    return 0;
}

} // namespace

void Scanner::skip_space() {
    while (!done() && is_space(text_[at_]))
        ++at_;
}

void Scanner::skip_comma_space() {
    skip_space();
    if (take(',')) skip_space();
}

bool Scanner::number(double& value) {
    std::size_t at = at_;
    const bool plus = at < text_.size() && text_[at] == '+';
    if (plus) ++at;
    const std::size_t first = at < text_.size() && text_[at] == '-' && !plus ? at + 1 : at;
    if (first >= text_.size() || !((text_[first] >= '0' && text_[first] <= '9') || text_[first] == '.')) return false;
    const auto [end, error] = std::from_chars(text_.data() + at, text_.data() + text_.size(), value);
    if (error != std::errc{} || !std::isfinite(value)) return false;
    at_ = static_cast<std::size_t>(end - text_.data());
    return true;
}

bool Scanner::flag(bool& value) {
    if (peek() != '0' && peek() != '1') return false;
    value = text_[at_++] == '1';
    return true;
}

bool Scanner::take(char c) {
    if (peek() != c || done()) return false;
    ++at_;
    return true;
}

std::string_view Scanner::word() {
    const std::size_t begin = at_;
    const auto letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
    };
    while (!done() && letter(text_[at_]))
        ++at_;
    return text_.substr(begin, at_ - begin);
}

double pixels_in(std::string_view unit) {
    // CSS Values and Units Level 4, section 6.2.
    if (unit.empty() || unit == "px") return 1;
    if (unit == "in") return 96;
    if (unit == "cm") return 96 / 2.54;
    if (unit == "mm") return 96 / 25.4;
    if (unit == "Q" || unit == "q") return 96 / 101.6;
    if (unit == "pt") return 96.0 / 72;
    if (unit == "pc") return 16;
    return 0;
}

std::variant<double, ValueFault> parse_length(std::string_view text, double whole) {
    Scanner scan(text);
    scan.skip_space();
    double value = 0;
    if (!scan.number(value)) return ValueFault{scan.at(), "a length is wanted here"};
    const std::size_t unit_at = scan.at();
    if (scan.take('%')) {
        value *= whole / 100;
    } else {
        const std::string_view unit = scan.word();
        const double pixels = pixels_in(unit);
        if (pixels == 0)
            return ValueFault{unit_at,
                              fmt::format("'{}' is no unit of length; mm, cm, in, pt, pc, px and % are", unit)};
        value *= pixels;
    }
    scan.skip_space();
    if (!scan.done()) return ValueFault{scan.at(), "more text after the length"};
    return value;
}

std::variant<std::vector<Vec>, ValueFault> parse_points(std::string_view data) {
    Scanner scan(data);
    std::vector<Vec> points;
    scan.skip_space();
    while (!scan.done()) {
        Vec p;
        if (!scan.number(p.x)) return ValueFault{scan.at(), "a coordinate is wanted here"};
        scan.skip_comma_space();
        if (!scan.number(p.y)) return ValueFault{scan.at(), "a y coordinate is wanted here"};
        scan.skip_comma_space();
        points.push_back(p);
    }
    return points;
}

std::variant<Affine, ValueFault> parse_transform(std::string_view text) {
    Scanner scan(text);
    Affine result;
    scan.skip_space();
    if (text.substr(scan.at()) == "none") return result;
    while (!scan.done()) {
        const std::size_t begin = scan.at();
        const std::string_view name = scan.word();
        scan.skip_space();
        if (name.empty() || !scan.take('('))
            return ValueFault{begin, "a transform such as translate(10, 20) is wanted here"};
        std::array<double, 6> v{};
        std::array<std::string_view, 6> units;
        std::size_t count = 0;
        scan.skip_space();
        while (!scan.take(')')) {
            if (count == 6 || !scan.number(v[count])) return ValueFault{scan.at(), "a number is wanted here"};
            units[count] = scan.take('%') ? "%" : scan.word();
            ++count;
            scan.skip_comma_space();
        }
        for (std::size_t i = 0; i < count; ++i) {
            const bool angle = name == "skewX" || name == "skewY" || name == "skew" || (name == "rotate" && i == 0);
            const bool length = name.substr(0, 9) == "translate" || (name == "rotate" && i > 0);
            const double factor = angle              ? radians_in(units[i])
                                  : length           ? pixels_in(units[i])
                                  : units[i].empty() ? 1
                                                     : 0;
            if (factor == 0) return ValueFault{begin, fmt::format("unit '{}' does not fit in {}", units[i], name)};
            v[i] *= factor;
        }
        Affine step;
        if (name == "matrix" && count == 6)
            step = {v[0], v[1], v[2], v[3], v[4], v[5]};
        else if (name == "translate" && (count == 1 || count == 2))
            step = shift(v[0], v[1]);
        else if (name == "translateX" && count == 1)
            step = shift(v[0], 0);
        else if (name == "translateY" && count == 1)
            step = shift(0, v[0]);
        else if (name == "scale" && (count == 1 || count == 2))
            step = stretch(v[0], count == 1 ? v[0] : v[1]);
        else if (name == "scaleX" && count == 1)
            step = stretch(v[0], 1);
        else if (name == "scaleY" && count == 1)
            step = stretch(1, v[0]);
        else if (name == "rotate" && (count == 1 || count == 3)) {
            const double c = std::cos(v[0]), s = std::sin(v[0]);
            step = shift(v[1], v[2]) * Affine{c, s, -s, c, 0, 0} * shift(-v[1], -v[2]);
        } else if (name == "skewX" && count == 1)
            step = {1, 0, std::tan(v[0]), 1, 0, 0};
        else if (name == "skewY" && count == 1)
            step = {1, std::tan(v[0]), 0, 1, 0, 0};
        else if (name == "skew" && (count == 1 || count == 2))
            step = {1, std::tan(v[1]), std::tan(v[0]), 1, 0, 0};
        else
            return ValueFault{begin, fmt::format("{} with {} numbers is no transform", name, count)};
        result = result * step;
        scan.skip_comma_space();
    }
    return result;
}

std::variant<ViewBox, ValueFault> parse_view_box(std::string_view text) {
    Scanner scan(text);
    ViewBox box;
    scan.skip_space();
    for (double* value : {&box.x, &box.y, &box.width, &box.height}) {
        if (!scan.number(*value)) return ValueFault{scan.at(), "a view box has four numbers: x y width height"};
        scan.skip_comma_space();
    }
    if (!scan.done()) return ValueFault{scan.at(), "a view box has four numbers: x y width height"};
    if (!(box.width > 0) || !(box.height > 0)) return ValueFault{0, "the view box has no area"};
    return box;
}

std::variant<Affine, ValueFault> fit_view_box(const ViewBox& box, Vec viewport, std::string_view aspect_ratio) {
    Scanner scan(aspect_ratio);
    scan.skip_space();
    std::string_view align = scan.word();
    if (align == "defer") {
        scan.skip_space();
        align = scan.word();
    }
    scan.skip_space();
    const std::string_view how = scan.word();
    if (align.empty()) align = "xMidYMid";
    double x = viewport.x / box.width, y = viewport.y / box.height;
    if (align == "none") return stretch(x, y) * shift(-box.x, -box.y);
    const auto part = [](std::string_view word) {
        return word == "Min" ? 0 : word == "Mid" ? 0.5 : word == "Max" ? 1 : -1;
    };
    const bool formed = align.size() == 8 && align[0] == 'x' && align[4] == 'Y';
    const double px = formed ? part(align.substr(1, 3)) : -1, py = formed ? part(align.substr(5, 3)) : -1;
    if (px < 0 || py < 0 || (!how.empty() && how != "meet" && how != "slice"))
        return ValueFault{0, fmt::format("'{}' is no preserveAspectRatio", aspect_ratio)};
    const double both = how == "slice" ? std::max(x, y) : std::min(x, y);
    return shift(px * (viewport.x - both * box.width), py * (viewport.y - both * box.height)) * stretch(both, both) *
           shift(-box.x, -box.y);
}

Piece svg_arc(Vec from, double rx, double ry, double rotation_deg, bool large, bool sweep, Vec to) {
    rx = std::abs(rx);
    ry = std::abs(ry);
    if (rx == 0 || ry == 0 || from == to) return Line{to};
    const double phi = std::fmod(rotation_deg, 360) * kDegree;
    const Vec ex{std::cos(phi), std::sin(phi)}, ey{-ex.y, ex.x};
    // In the ellipse's frame, with the middle of the chord as origin and radii 1.
    const Vec half = (from - to) * 0.5;
    const Vec p{dot(half, ex) / rx, dot(half, ey) / ry};
    const double reach = dot(p, p);
    if (reach > 1) {
        rx *= std::sqrt(reach);
        ry *= std::sqrt(reach);
    }
    const Vec q = reach > 1 ? p * (1 / std::sqrt(reach)) : p;
    const double square = dot(q, q);
    const double along = std::sqrt(std::max(0.0, 1 - square) / square) * (large == sweep ? -1 : 1);
    const Vec c{along * q.y, -along * q.x};
    const Vec u = ex * rx, v = ey * ry;
    const Vec centre = (from + to) * 0.5 + u * c.x + v * c.y;
    const double start = std::atan2(q.y - c.y, q.x - c.x);
    double turn = std::atan2(-q.y - c.y, -q.x - c.x) - start;
    if (sweep && turn < 0) turn += 2 * std::numbers::pi;
    if (!sweep && turn > 0) turn -= 2 * std::numbers::pi;
    return EllipseArc{centre, u, v, start, turn, to};
}

} // namespace kerfwright::drawing
