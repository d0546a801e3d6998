#pragma once
// Private to papers/: blocks as rows of known height, which pages are then filled with.

#include "papers/canvas.hpp"

#include <functional>
#include <vector>

namespace kerfwright::papers {

/// Something of the full text width that is never broken.
struct Row {
    double height = 0;
    bool stay_with_next = false;                           ///< no page ends after it
    std::function<void(Canvas&, double x, double y)> draw; ///< upper left corner
    int head = -1;                                         ///< index of the row that is repeated on a new page
};

/// Rows in order; heads that may be repeated.
struct Rows {
    std::vector<Row> rows;
    std::vector<Row> heads;
};

/// Appends the rows of a block.
void add_block(Rows& rows, const Canvas& canvas, const Block& block, double width);
/// Appends the heading and the facts alone, one below the other.
void add_facts_column(Rows& rows, const Canvas& canvas, const Block& block, double width);
/// Appends a table's rows; on every page that it continues on, its head is repeated under the block's heading.
void add_table(Rows& rows, const Canvas& canvas, const Table& table, const std::string& heading, double width);
/// Of a block, with the space below it.
[[nodiscard]] Row heading_row(const Canvas& canvas, const std::string& heading);

} // namespace kerfwright::papers
