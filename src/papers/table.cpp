#include "papers/typeset.hpp"

#include <algorithm>
#include <cctype>
#include <memory>

namespace kerfwright::papers {
namespace {

constexpr Type kHead{7.5, true, 0};
constexpr Type kCell{8.5, false, 0};
constexpr double kGap = 4;      // mm between columns
constexpr double kAbove = 0.75; // mm above and below the text of a row
constexpr double kRule = 0.3;
constexpr double kHair = 0.1;
constexpr double kHairGrey = 0.6;
constexpr double kHighestRow = 150;        // mm
constexpr std::size_t kLongestCell = 1000; // bytes

/// A number, perhaps with sign, unit of one word, or a range of two.
bool reads_as_number(const std::string& cell) {
    std::size_t i = 0;
    if (i < cell.size() && (cell[i] == '+' || cell[i] == '-')) ++i;
    const std::size_t first = i;
    while (i < cell.size() &&
           (std::isdigit(static_cast<unsigned char>(cell[i])) != 0 || cell[i] == '.' || cell[i] == ','))
        ++i;
    return i > first && i == cell.size();
}

struct Columns {
    std::vector<double> x, width;
    std::vector<bool> right;
    std::vector<std::string> head;
};

std::string cell_of(const std::vector<std::string>& row, std::size_t column) {
    return column < row.size() ? shortened(row[column], kLongestCell) : std::string();
}

/// The widest word, which is the least a column can have.
double widest_word(const Canvas& canvas, const std::string& text, const Type& type) {
    double widest = 0;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t to = std::min(text.find(' ', from), text.size());
        widest = std::max(widest, canvas.measure(text.substr(from, to - from), type).width);
        from = to + 1;
    }
    return widest;
}

/// Shares out `width`: columns that want less than an even share get what they want, the others part the rest evenly,
/// but get at least their widest word while there is room for it.
std::vector<double> shared_out(const std::vector<double>& least, const std::vector<double>& wanted, double width) {
    std::vector<double> out(least.size(), 0);
    std::vector<bool> settled(least.size(), false);
    double rest = width;
    std::size_t open = least.size();
    for (bool again = true; again && open > 0;) {
        again = false;
        const double even = rest / static_cast<double>(open);
        for (std::size_t c = 0; c < out.size(); ++c) {
            if (settled[c] || (wanted[c] > even && least[c] <= even)) continue;
            out[c] = std::min(wanted[c], std::max(least[c], even));
            settled[c] = again = true;
            rest -= out[c];
            --open;
            break;
        }
    }
    for (std::size_t c = 0; c < out.size(); ++c)
        if (!settled[c]) out[c] = rest / static_cast<double>(open);
    double sum = 0;
    for (const double w : out)
        sum += w;
    if (sum > width)
        for (double& w : out)
            w *= width / sum;
    return out;
}

Columns columns_of(const Canvas& canvas, const Table& table, double width) {
    std::size_t count = table.head.size();
    for (const auto& row : table.rows)
        count = std::max(count, row.size());
    Columns columns;
    std::vector<double> least(count, 4);
    std::vector<double> wanted(count, 4);
    for (std::size_t c = 0; c < count; ++c) {
        columns.head.push_back(cell_of(table.head, c));
        const auto take = [&](const std::string& text, const Type& type) {
            least[c] = std::max(least[c], widest_word(canvas, text, type));
            wanted[c] = std::max(wanted[c], canvas.measure(text, type).width + 0.2);
        };
        take(columns.head[c], kHead);
        bool numbers = !table.rows.empty();
        for (const auto& row : table.rows) {
            const std::string cell = cell_of(row, c);
            take(cell, kCell);
            numbers &= cell.empty() || reads_as_number(cell);
        }
        columns.right.push_back(numbers);
    }
    const double room = width - kGap * static_cast<double>(count - 1);
    columns.width = shared_out(least, wanted, room);
    double used = 0;
    for (const double w : columns.width)
        used += w;
    // What is left goes between the columns, but not without measure.
    const double gap =
        count > 1 ? kGap + std::min(12.0, std::max(0.0, room - used) / static_cast<double>(count - 1)) : 0;
    double x = 0;
    for (std::size_t c = 0; c < count; ++c) {
        columns.x.push_back(x);
        x += columns.width[c] + gap;
    }
    return columns;
}

double row_height(const Canvas& canvas, const Columns& columns, const std::vector<std::string>& cells,
                  const Type& type) {
    double height = canvas.measure("x", type).height;
    for (std::size_t c = 0; c < cells.size(); ++c)
        if (!cells[c].empty()) height = std::max(height, canvas.measure(cells[c], type, columns.width[c] + 0.1).height);
    return height + 2 * kAbove;
}

void draw_cells(Canvas& canvas, const Columns& columns, const std::vector<std::string>& cells, const Type& type,
                double x, double y) {
    for (std::size_t c = 0; c < cells.size(); ++c)
        if (!cells[c].empty())
            canvas.text(x + columns.x[c], y + kAbove, cells[c], type, columns.width[c] + 0.1,
                        columns.right[c] ? Canvas::Align::right : Canvas::Align::left);
}

} // namespace

void add_table(Rows& rows, const Canvas& canvas, const Table& table, const std::string& heading, double width) {
    if (table.rows.empty()) return;
    const auto columns = std::make_shared<const Columns>(columns_of(canvas, table, width));
    const double head_height = row_height(canvas, *columns, columns->head, kHead);
    Row head{head_height, true, [=](Canvas& on, double x, double y) {
                 on.line(x, y, x + width, y, kRule);
                 draw_cells(on, *columns, columns->head, kHead, x, y);
                 on.line(x, y + head_height, x + width, y + head_height, kRule / 2);
             }};
    if (!table.head.empty()) {
        const Row title = heading_row(canvas, heading + ", continued");
        const bool titled = !heading.empty();
        rows.heads.push_back(!titled ? head
                                     : Row{title.height + head_height, true, [=](Canvas& on, double x, double y) {
                                               title.draw(on, x, y);
                                               head.draw(on, x, y + title.height);
                                           }});
        rows.rows.push_back(head);
    }
    const int head_index = table.head.empty() ? -1 : static_cast<int>(rows.heads.size()) - 1;
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
        std::vector<std::string> cells;
        for (std::size_t c = 0; c < columns->x.size(); ++c)
            cells.push_back(cell_of(table.rows[r], c));
        double height = row_height(canvas, *columns, cells, kCell);
        // What would not go on one page is cut.
        for (std::size_t most = kLongestCell; height > kHighestRow;
             height = row_height(canvas, *columns, cells, kCell)) {
            most /= 2;
            for (std::string& cell : cells)
                cell = shortened(cell, most);
        }
        const bool last = r + 1 == table.rows.size();
        // The first row stays with the head; the last two stay together.
        rows.rows.push_back({height, r + 2 == table.rows.size() && table.rows.size() > 2,
                             [=](Canvas& on, double x, double y) {
                                 draw_cells(on, *columns, cells, kCell, x, y);
                                 on.line(x, y + height, x + width, y + height, last ? kRule : kHair,
                                         last ? 0 : kHairGrey);
                             },
                             r == 0 ? -1 : head_index});
    }
}

} // namespace kerfwright::papers
