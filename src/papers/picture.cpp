#include "papers/picture.hpp"

#include "papers/hatch.hpp"
#include "papers/label_map.hpp"
#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::papers {
namespace {

using plane::Box;
using plane::Vec;

// Room around the drawing for overall sizes and the scale bar, mm.
constexpr double kLeft = 9;
constexpr double kRight = 3;
constexpr double kTop = 4;
constexpr double kBelow = 18;
constexpr std::size_t kLongestLabel = 100; // bytes
constexpr double kTypeSizes[] = {2.6, 2.2, 1.9};

struct Scale {
    double factor;
    const char* text;
};
/// Scales of ISO 5455, and 1:2.5, 1:4 and 1:8 between them as the trade uses them.
constexpr Scale kScales[] = {{10, "10:1"},         {5, "5:1"},           {2, "2:1"},           {1, "1:1"},
                             {1 / 2.0, "1:2"},     {1 / 2.5, "1:2.5"},   {1 / 4.0, "1:4"},     {1 / 5.0, "1:5"},
                             {1 / 8.0, "1:8"},     {1 / 10.0, "1:10"},   {1 / 20.0, "1:20"},   {1 / 50.0, "1:50"},
                             {1 / 100.0, "1:100"}, {1 / 200.0, "1:200"}, {1 / 500.0, "1:500"}, {1 / 1000.0, "1:1000"}};

bool finite(Vec v) {
    return std::isfinite(v.x) && std::isfinite(v.y) && std::abs(v.x) < 1e5 && std::abs(v.y) < 1e5;
}

/// Of all that is drawn; marks and boxes may lie outside of the sheet.
Box extent(const Drawn& drawing) {
    Box box = plane::bounds(drawing.frame);
    for (const DrawnArea& area : drawing.areas)
        plane::extend(box, plane::bounds(area.shape));
    for (const DrawnBox& one : drawing.boxes)
        if (finite(one.box.low) && finite(one.box.high)) plane::extend(box, one.box);
    for (const DrawnMark& mark : drawing.marks)
        if (finite(mark.at)) plane::extend(box, mark.at);
    for (const DrawnLine& line : drawing.lines)
        for (const Vec v : line.points)
            if (finite(v)) plane::extend(box, v);
    return box.empty() ? Box{{0, 0}, {1, 1}} : box;
}

/// The centre of area where that lies inside, else a point well inside.
Vec label_point(const plane::Shape& shape) {
    const plane::Polygon polygon = plane::largest(shape);
    const Vec centre = plane::centroid(polygon);
    return plane::side_of(polygon, plane::to_grid(centre)) == plane::Side::inside ? centre
                                                                                  : plane::inner_point(polygon);
}

class Composer {
  public:
    Composer(const Drawn& drawing, double most_width, double most_height)
        : drawing_(drawing), extent_(extent(drawing)), map_(1, 1) {
        const Scale* scale = std::begin(kScales);
        below_ = kBelow + kLegendLine * static_cast<double>(legend_rows());
        const auto fits = [&](const Scale& s) {
            return extent_.width() * s.factor <= most_width - kLeft - kRight &&
                   extent_.height() * s.factor <= most_height - kTop - below_;
        };
        while (scale + 1 != std::end(kScales) && !fits(*scale))
            ++scale;
        picture_.scale = scale->factor;
        picture_.scale_text = scale->text;
        const double least = drawing.classes.empty() ? kLeastWidth : 2 * kLegendColumn;
        picture_.width = std::max(extent_.width() * scale->factor, least) + kLeft + kRight;
        picture_.height = extent_.height() * scale->factor + kTop + below_;
        map_ = LabelMap(picture_.width, picture_.height);
    }

    Picture run() && {
        add_frame();
        for (const DrawnArea& area : drawing_.areas)
            add_area(area);
        for (const DrawnLine& line : drawing_.lines)
            add_line(line);
        for (const DrawnBox& box : drawing_.boxes)
            add_box(box);
        add_sizes();
        add_scale_bar();
        add_legend();
        for (const DrawnMark& mark : drawing_.marks)
            if (finite(mark.at)) add_mark(mark);
        add_labels();
        return std::move(picture_);
    }

  private:
    static constexpr double kLeastWidth = 60;
    static constexpr double kLegendLine = 4.2;
    static constexpr double kLegendColumn = 62;

    struct Wanted {
        std::string text;
        Vec at;
        int owner;
    };

    [[nodiscard]] Vec on_paper(Vec v) const { return (v - extent_.low) * picture_.scale + Vec{kLeft, below_}; }

    [[nodiscard]] std::vector<std::vector<Vec>> on_paper(const plane::Shape& shape) const {
        std::vector<std::vector<Vec>> rings;
        for (const plane::Ring& ring : plane::rings_of(shape)) {
            std::vector<Vec> out;
            for (const plane::Point p : ring)
                out.push_back(on_paper(plane::to_mm(p)));
            rings.push_back(std::move(out));
        }
        return rings;
    }

    void add_frame() {
        if (drawing_.frame.empty()) return;
        const auto rings = on_paper(drawing_.frame);
        picture_.items.push_back(Rings{rings, -1, {.width = 0.5}});
        for (const auto& ring : rings)
            for (std::size_t i = 0; i < ring.size(); ++i)
                map_.claim_line(ring[i], ring[(i + 1) % ring.size()], 0.5, kTaken);
    }

    void add_area(const DrawnArea& area) {
        if (plane::area(area.shape) <= 0) return;
        const auto rings = on_paper(area.shape);
        // An outline without fill or label lies over what is there and hides nothing.
        const bool bare = area.fill == Fill::none && area.label.empty();
        if (!bare) add_fill(picture_.items, rings, area.fill);
        if (area.outlined)
            picture_.items.push_back(
                Rings{rings, -1, {.width = area.outline_dashed ? 0.18 : 0.28, .dashed = area.outline_dashed}});
        if (bare) return;
        const int owner = next_owner_++;
        map_.claim(rings, owner);
        if (!area.label.empty())
            wanted_.push_back({shortened(area.label, kLongestLabel), on_paper(label_point(area.shape)), owner});
    }

    static Ink ink_of(const LineClass& look) {
        return {.width = look.width, .dashed = look.dashed, .colour = look.colour};
    }

    void add_line(const DrawnLine& line) {
        if (line.line_class >= drawing_.classes.size()) return;
        const LineClass& look = drawing_.classes[line.line_class];
        Polyline out{{}, ink_of(look)};
        for (const Vec v : line.points)
            if (finite(v)) out.points.push_back(on_paper(v));
        for (std::size_t i = 1; i < out.points.size(); ++i)
            map_.claim_line(out.points[i - 1], out.points[i], look.width / 2 + 0.1, kTaken);
        if (out.points.size() > 1) picture_.items.push_back(std::move(out));
    }

    [[nodiscard]] std::size_t legend_rows() const { return (drawing_.classes.size() + 1) / 2; }

    /// A sample of the line of every class and what it stands for, in two columns.
    void add_legend() {
        constexpr double kSample = 9;
        const std::size_t rows = legend_rows();
        for (std::size_t i = 0; i < drawing_.classes.size(); ++i) {
            const Vec at{kLeft + (i < rows ? 0 : kLegendColumn),
                         below_ - kBelow + 8 - kLegendLine * static_cast<double>(i % rows)};
            picture_.items.push_back(Polyline{{at, at + Vec{kSample, 0}}, ink_of(drawing_.classes[i])});
            add_text(at + Vec{kSample + 2, 0}, shortened(drawing_.classes[i].label, kLongestLabel), 2.2, Anchor::left);
        }
    }

    void add_box(const DrawnBox& one) {
        if (one.box.empty() || !finite(one.box.low) || !finite(one.box.high)) return;
        const Vec a = on_paper(one.box.low);
        const Vec b = on_paper(one.box.high);
        const std::vector<std::vector<Vec>> rings{{a, {b.x, a.y}, b, {a.x, b.y}}};
        picture_.items.push_back(Rings{rings, 1, {.width = 0.4}});
        picture_.items.push_back(Segments{{{a, b}, {{a.x, b.y}, {b.x, a.y}}}, {.width = 0.18}});
        const int owner = next_owner_++;
        map_.claim(rings, owner);
        if (!one.label.empty()) wanted_.push_back({shortened(one.label, kLongestLabel), (a + b) * 0.5, owner});
    }

    /// Overall sizes, with arrows, below and to the left.
    void add_sizes() {
        constexpr double kAway = 5;
        constexpr double kArrow = 1.8;
        const Box box = drawing_.frame.empty() ? extent_ : plane::bounds(drawing_.frame);
        const Vec a = on_paper(box.low);
        const Vec b = on_paper(box.high);
        const Vec x_left{a.x, on_paper(extent_.low).y - kAway};
        const Vec x_right{b.x, x_left.y};
        const Vec y_low{on_paper(extent_.low).x - kAway, a.y};
        const Vec y_high{y_low.x, b.y};
        const double w = kArrow;
        const double h = kArrow / 4;
        Segments lines{{{x_left, x_right}, {y_low, y_high}}, {.width = 0.13}};
        lines.segments.push_back({{a.x, a.y - 1}, x_left - Vec{0, 1}});
        lines.segments.push_back({{b.x, a.y - 1}, x_right - Vec{0, 1}});
        lines.segments.push_back({{a.x - 1, a.y}, y_low - Vec{1, 0}});
        lines.segments.push_back({{a.x - 1, b.y}, y_high - Vec{1, 0}});
        picture_.items.push_back(lines);
        const auto arrow = [&](Vec tip, Vec along) {
            const Vec side{-along.y, along.x};
            picture_.items.push_back(
                Rings{{{tip, tip + along * w + side * h, tip + along * w - side * h}}, 0, {.width = 0}});
        };
        arrow(x_left, {1, 0});
        arrow(x_right, {-1, 0});
        arrow(y_low, {0, 1});
        arrow(y_high, {0, -1});
        add_text((x_left + x_right) * 0.5, length_text(box.width()), 2.4);
        add_text((y_low + y_high) * 0.5, length_text(box.height()), 2.4);
        std::get<Text>(picture_.items.back()).upwards = true;
    }

    static std::string length_text(double mm) { return fmt::format("{}", std::round(mm * 10) / 10); }

    void add_text(Vec at, const std::string& text, double size, Anchor anchor = Anchor::middle, bool bold = false) {
        picture_.items.push_back(Text{at, text, size, anchor, bold});
    }

    /// Four fields of a round length, and the scale.
    void add_scale_bar() {
        constexpr double kLengths[] = {0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000};
        constexpr double kMost = 11; // mm on paper for one field
        constexpr double kHeight = 1.3;
        double field = kLengths[0];
        for (const double length : kLengths)
            if (length * picture_.scale <= kMost) field = length;
        const double step = field * picture_.scale;
        const Vec low{kLeft, 4.2};
        for (int k = 0; k < 4; ++k) {
            const Vec a = low + Vec{k * step, 0};
            const Vec b = a + Vec{step, kHeight};
            picture_.items.push_back(Rings{{{a, {b.x, a.y}, b, {a.x, b.y}}}, k % 2 == 0 ? 0.0 : 1.0, {.width = 0.18}});
        }
        for (const int k : {0, 2, 4})
            add_text(low + Vec{k * step, -1.9}, fmt::format("{:g}", k * field), 2);
        add_text(low + Vec{4 * step + 2.5, kHeight / 2}, fmt::format("mm, scale {}", picture_.scale_text), 2.2,
                 Anchor::left);
    }

    void add_mark(const DrawnMark& mark) {
        const Vec at = on_paper(mark.at);
        const std::string label = shortened(mark.label, kLongestLabel);
        switch (mark.kind) {
        case DrawnMark::Kind::zero:
            add_zero(at);
            break;
        case DrawnMark::Kind::measure:
            add_cross(at);
            break;
        case DrawnMark::Kind::tab:
            add_tab(at);
            return;
        case DrawnMark::Kind::opening:
            picture_.items.push_back(Rings{{circle(at, 1.1)}, -1, {.width = 0.25}});
            return;
        case DrawnMark::Kind::place:
            add_place(at);
            return;
        }
        const double reach = mark.kind == DrawnMark::Kind::zero ? 2.6 : 1.4;
        map_.claim(Box{at - Vec{reach, reach}, at + Vec{reach, reach}}, kTaken);
        if (label.empty()) return;
        // Beside the mark, on the side with more room.
        const double width = text_width(label, 2.2);
        const bool right = at.x + reach + 1 + width < picture_.width;
        add_text(at + Vec{right ? reach + 0.6 : -reach - 0.6, mark.kind == DrawnMark::Kind::zero ? 2.2 : 0}, label, 2.2,
                 right ? Anchor::left : Anchor::right, mark.kind == DrawnMark::Kind::zero);
        const Vec from = at + Vec{right ? reach : -reach - 1 - width, 0};
        map_.claim(Box{from + Vec{0, -1.3}, from + Vec{width + 1, 3.4}}, kTaken);
    }

    static std::vector<Vec> circle(Vec at, double radius, double from_deg = 0, double to_deg = 360) {
        std::vector<Vec> points;
        for (double a = from_deg; a < to_deg + 1e-9; a += 7.5) {
            const double angle = a * std::numbers::pi / 180;
            points.push_back(at + Vec{radius * std::cos(angle), radius * std::sin(angle)});
        }
        if (to_deg - from_deg < 360)
            points.push_back(at);
        else
            points.pop_back();
        return points;
    }

    /// The sign for the zero of coordinates: a circle with two black quarters, and the two axes.
    void add_zero(Vec at) {
        constexpr double kRadius = 1.6;
        constexpr double kAxis = 6;
        Segments axes{{{at, at + Vec{kAxis, 0}}, {at, at + Vec{0, kAxis}}}, {.width = 0.3}};
        picture_.items.push_back(axes);
        for (const Vec way : {Vec{1, 0}, Vec{0, 1}}) {
            const Vec tip = at + way * (kAxis + 2);
            const Vec side{way.y * 0.9, way.x * 0.9};
            picture_.items.push_back(Rings{{{tip, tip - way * 2.4 + side, tip - way * 2.4 - side}}, 0, {.width = 0}});
        }
        picture_.items.push_back(Rings{{circle(at, kRadius)}, 1, {.width = 0.25}});
        picture_.items.push_back(Rings{{circle(at, kRadius, 0, 90)}, 0, {.width = 0}});
        picture_.items.push_back(Rings{{circle(at, kRadius, 180, 270)}, 0, {.width = 0}});
    }

    void add_cross(Vec at) {
        picture_.items.push_back(Rings{{circle(at, 0.9)}, 1, {.width = 0.2}});
        picture_.items.push_back(
            Segments{{{at - Vec{1.4, 0}, at + Vec{1.4, 0}}, {at - Vec{0, 1.4}, at + Vec{0, 1.4}}}, {.width = 0.2}});
    }

    void add_place(Vec at) {
        constexpr double kHalf = 1.2;
        const std::vector<Vec> triangle{at + Vec{0, kHalf}, at + Vec{-kHalf, -kHalf}, at + Vec{kHalf, -kHalf}};
        picture_.items.push_back(Rings{{triangle}, -1, {.width = 0.25}});
    }

    void add_tab(Vec at) {
        constexpr double kHalf = 0.75;
        const std::vector<Vec> diamond{at + Vec{kHalf, 0}, at + Vec{0, kHalf}, at - Vec{kHalf, 0}, at - Vec{0, kHalf}};
        picture_.items.push_back(Rings{{diamond}, 0, {.width = 0.15, .grey = 1}});
        map_.claim(Box{at - Vec{kHalf, kHalf}, at + Vec{kHalf, kHalf}}, kTaken);
    }

    /// Inside its own area where it fits, else beside it with a line, else as a number with a key.
    void add_labels() {
        map_.claim(Box{{0, 0}, {picture_.width, below_ - 1}}, kTaken);
        map_.claim(Box{{0, 0}, {kLeft - 1, picture_.height}}, kTaken);
        std::vector<const Wanted*> left;
        for (const Wanted& label : wanted_)
            if (!label_inside(label)) left.push_back(&label);
        std::vector<const Wanted*> numbered;
        for (const Wanted* label : left)
            if (!label_beside(*label)) numbered.push_back(label);
        for (const Wanted* label : numbered)
            number(*label);
    }

    bool label_inside(const Wanted& label) {
        for (const double size : kTypeSizes) {
            const double width = text_width(label.text, size) + 0.6;
            const double height = 1.2 * size;
            const auto at = map_.find(label.owner, label.at, width, height);
            if (!at) continue;
            add_text(*at, label.text, size);
            map_.claim(Box{*at - Vec{width, height} * 0.5, *at + Vec{width, height} * 0.5}, kTaken);
            return true;
        }
        return false;
    }

    bool label_beside(const Wanted& label) {
        constexpr double kSize = 2.2;
        constexpr double kFarthest = 16;
        const double width = text_width(label.text, kSize) + 1.2;
        const double height = 1.5 * kSize;
        const auto at = map_.find(0, label.at, width, height, kFarthest);
        if (!at) return false;
        const Box box{*at - Vec{width, height} * 0.5, *at + Vec{width, height} * 0.5};
        const Vec end{std::clamp(label.at.x, box.low.x + 0.4, box.high.x - 0.4),
                      std::clamp(label.at.y, box.low.y + 0.6, box.high.y - 0.6)};
        if (crosses_others(label.at, end, label.owner)) return false;
        picture_.items.push_back(Segments{{{label.at, end}}, {.width = 0.6, .grey = 1}});
        picture_.items.push_back(Segments{{{label.at, end}}, {.width = 0.15}});
        picture_.items.push_back(Dots{{label.at}, 0.4});
        add_text(*at, label.text, kSize);
        map_.claim(box, kTaken);
        return true;
    }

    /// True when a line would run over another area.
    [[nodiscard]] bool crosses_others(Vec from, Vec to, int owner) const {
        const int steps = static_cast<int>(plane::distance(from, to) / 0.3) + 1;
        for (int k = 0; k <= steps; ++k) {
            const int there = map_.owner_at(from + (to - from) * (static_cast<double>(k) / steps));
            if (there > 0 && there != owner) return true;
        }
        return false;
    }

    void number(const Wanted& label) {
        constexpr double kRadius = 1.55;
        const std::string text = std::to_string(picture_.key.size() + 1);
        const double radius = text.size() > 2 ? 2.1 : kRadius;
        const Vec at = map_.find(label.owner, label.at, 1.6 * radius, 1.6 * radius).value_or(label.at);
        picture_.items.push_back(Rings{{circle(at, radius)}, 1, {.width = 0.18}});
        add_text(at, text, 1.8);
        map_.claim(Box{at - Vec{radius, radius}, at + Vec{radius, radius}}, kTaken);
        picture_.key.push_back(text + " " + label.text);
    }

    static constexpr int kTaken = -1;

    const Drawn& drawing_;
    Box extent_;
    double below_ = kBelow; ///< room for sizes, scale and legend
    LabelMap map_;
    Picture picture_;
    std::vector<Wanted> wanted_;
    int next_owner_ = 1;
};

/// Length of the UTF-8 character that starts at `i`; 0 when it is none.
std::size_t character_length(const std::string& text, std::size_t i) {
    const auto byte = [&](std::size_t k) { return k < text.size() ? static_cast<unsigned char>(text[k]) : 0U; };
    const unsigned first = byte(i);
    if (first < 0x80) return 1;
    const std::size_t length = first >= 0xF0 && first < 0xF5   ? 4
                               : first >= 0xE0 && first < 0xF0 ? 3
                               : first >= 0xC2 && first < 0xE0 ? 2
                                                               : 0;
    for (std::size_t k = 1; k < length; ++k)
        if ((byte(i + k) & 0xC0U) != 0x80U) return 0;
    // Overlong forms, surrogates, and what is beyond U+10FFFF.
    const unsigned second = byte(i + 1);
    if ((first == 0xE0 && second < 0xA0) || (first == 0xED && second > 0x9F) || (first == 0xF0 && second < 0x90) ||
        (first == 0xF4 && second > 0x8F))
        return 0;
    return length;
}

} // namespace

double text_width(const std::string& text, double size) {
    const auto characters = std::count_if(text.begin(), text.end(),
                                          [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; });
    return 0.62 * size * static_cast<double>(characters);
}

std::string clean_text(const std::string& text) {
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t length = character_length(text, i);
        const auto first = static_cast<unsigned char>(text[i]);
        const bool nothing = length == 3 && first == 0xEF && static_cast<unsigned char>(text[i + 1]) == 0xBF &&
                             static_cast<unsigned char>(text[i + 2]) >= 0xBE;
        if (length == 0 || nothing)
            out += "\xEF\xBF\xBD";
        else if (first < 0x20 || first == 0x7F)
            out += ' ';
        else
            out.append(text, i, length);
        i += std::max<std::size_t>(1, length);
    }
    return out;
}

std::string shortened(const std::string& text, std::size_t bytes) {
    if (text.size() <= bytes) return clean_text(text);
    while (bytes > 0 && (static_cast<unsigned char>(text[bytes]) & 0xC0U) == 0x80U)
        --bytes;
    return clean_text(text.substr(0, bytes)) + "…";
}

Picture compose(const Drawn& drawing, double most_width, double most_height) {
    return Composer(drawing, most_width, most_height).run();
}

} // namespace kerfwright::papers
