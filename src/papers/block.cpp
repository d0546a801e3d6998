#include "papers/typeset.hpp"

#include <algorithm>

namespace kerfwright::papers {
namespace {

constexpr Type kHeading{10, true, 0};
constexpr Type kName{8, false, 0.35};
constexpr Type kBody{8.5, false, 0};
constexpr double kBetweenBlocks = 5; // mm
constexpr double kUnderHeading = 1.4;
constexpr double kLineGap = 0.9;
constexpr double kGutter = 8;   // between the two columns of facts
constexpr double kIndent = 3.6; // of listed sentences

// Bytes that go on a page without fail.
constexpr std::size_t kLongestName = 200;
constexpr std::size_t kLongestValue = 1000;
constexpr std::size_t kLongestSentence = 2000;

void add_space(Rows& rows, double height, bool stay_with_next = false) {
    rows.rows.push_back({height, stay_with_next, nullptr});
}

void add_heading(Rows& rows, const Canvas& canvas, const std::string& heading) {
    if (!heading.empty()) rows.rows.push_back(heading_row(canvas, heading));
}

/// Name and value, side by side in a column of `width`.
struct Fact {
    std::string name, value;
};

double fact_height(const Canvas& canvas, const Fact& fact, double name_width, double width) {
    return std::max(canvas.measure(fact.name, kName, name_width).height,
                    canvas.measure(fact.value, kBody, width - name_width).height) +
           kLineGap;
}

void draw_fact(Canvas& canvas, const Fact& fact, double name_width, double width, double x, double y) {
    canvas.text(x, y + 0.1, fact.name, kName, name_width);
    canvas.text(x + name_width, y, fact.value, kBody, width - name_width);
}

/// Down the first column, then down the second one.
void add_facts(Rows& rows, const Canvas& canvas, const std::vector<std::pair<std::string, std::string>>& facts,
               double width, std::size_t columns) {
    const double column = columns == 1 ? width : (width - kGutter) / 2;
    double name_width = 0;
    std::vector<Fact> all;
    for (const auto& [name, value] : facts) {
        all.push_back({shortened(name, kLongestName), shortened(value, kLongestValue)});
        name_width = std::max(name_width, canvas.measure(all.back().name, kName).width + 3);
    }
    name_width = std::min(name_width, 0.45 * column);
    const std::size_t half = (all.size() + columns - 1) / columns;
    for (std::size_t i = 0; i < half; ++i) {
        const Fact left = all[i];
        const bool pair = half + i < all.size();
        const Fact right = pair ? all[half + i] : Fact{};
        double height = fact_height(canvas, left, name_width, column);
        if (pair) height = std::max(height, fact_height(canvas, right, name_width, column));
        rows.rows.push_back({height, false, [=](Canvas& on, double x, double y) {
                                 draw_fact(on, left, name_width, column, x, y);
                                 if (pair) draw_fact(on, right, name_width, column, x + column + kGutter, y);
                             }});
    }
}

void add_lines(Rows& rows, const Canvas& canvas, const std::vector<std::string>& lines, double width) {
    for (const std::string& raw : lines) {
        const std::string line = shortened(raw, kLongestSentence);
        const double height = canvas.measure(line, kBody, width - kIndent).height + kLineGap;
        rows.rows.push_back({height, false, [=](Canvas& on, double x, double y) {
                                 on.text(x, y, "–", kBody);
                                 on.text(x + kIndent, y, line, kBody, width - kIndent);
                             }});
    }
}

void add_contents(Rows& rows, const Canvas& canvas, const Block& block, double width) {
    if (!block.facts.empty()) add_facts(rows, canvas, block.facts, width, 2);
    if (!block.facts.empty() && !block.table.rows.empty()) add_space(rows, 2);
    add_table(rows, canvas, block.table, block.heading, width);
    if (!block.lines.empty() && (!block.table.rows.empty() || !block.facts.empty())) add_space(rows, 2);
    add_lines(rows, canvas, block.lines, width);
}

/// In a frame with a sign, unbroken where it fits on a page at all.
void add_framed(Rows& rows, const Canvas& canvas, const Block& block, double width) {
    constexpr double kPad = 3;
    constexpr double kSign = 8;
    constexpr double kSignRoom = 14;
    constexpr double kFrame = 0.6;
    const double inner_width = width - 2 * kPad - kSignRoom;
    Rows inner;
    add_heading(inner, canvas, block.heading);
    add_contents(inner, canvas, block, inner_width);
    // As few frames as pages allow: mostly one.
    for (std::size_t first = 0; first < inner.rows.size();) {
        constexpr double kHighest = 220;
        double height = 2 * kPad;
        std::size_t last = first;
        while (last < inner.rows.size() && (last == first || height + inner.rows[last].height <= kHighest))
            height += inner.rows[last++].height;
        height = std::max(height, kSign + 2 * kPad);
        const std::vector<Row> contents(inner.rows.begin() + static_cast<std::ptrdiff_t>(first),
                                        inner.rows.begin() + static_cast<std::ptrdiff_t>(last));
        if (first > 0) add_space(rows, kBetweenBlocks);
        rows.rows.push_back({height, false, [=](Canvas& on, double x, double y) {
                                 on.box(x + kFrame / 2, y + kFrame / 2, width - kFrame, height - kFrame, kFrame);
                                 on.caution_sign(x + kPad, y + kPad, kSign);
                                 double at = y + kPad;
                                 for (const Row& row : contents) {
                                     if (row.draw) row.draw(on, x + kPad + kSignRoom, at);
                                     at += row.height;
                                 }
                             }});
        first = last;
    }
}

} // namespace

Row heading_row(const Canvas& canvas, const std::string& heading) {
    const std::string text = shortened(heading, kLongestName);
    return {canvas.measure(text, kHeading).height + kUnderHeading, true,
            [=](Canvas& on, double x, double y) { on.text(x, y, text, kHeading); }};
}

void add_facts_column(Rows& rows, const Canvas& canvas, const Block& block, double width) {
    add_heading(rows, canvas, block.heading);
    add_facts(rows, canvas, block.facts, width, 1);
}

void add_block(Rows& rows, const Canvas& canvas, const Block& block, double width) {
    const bool empty = block.facts.empty() && block.table.rows.empty() && block.lines.empty();
    if (empty && block.heading.empty()) return;
    if (!rows.rows.empty()) add_space(rows, kBetweenBlocks);
    if (block.caution) {
        add_framed(rows, canvas, block, width);
        return;
    }
    add_heading(rows, canvas, block.heading);
    add_contents(rows, canvas, block, width);
}

} // namespace kerfwright::papers
