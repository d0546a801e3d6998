#pragma once
// Shapes on the rows of a grid of cell centres.

#include "plane/shape.hpp"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace kerfwright::proof {

/// Square cells over a box. Cell (column, row) has its centre at low + ((column, row) + 1/2) * cell.
struct Grid {
    plane::Vec low;
    double cell = 0.25;
    int columns = 0, rows = 0;

    [[nodiscard]] double x(int column) const { return low.x + (column + 0.5) * cell; }
    [[nodiscard]] double y(int row) const { return low.y + (row + 0.5) * cell; }
};

/// A grid over `box` with cells of `cell` mm, or larger ones where that would be more than `most` cells.
[[nodiscard]] Grid grid_over(const plane::Box& box, double cell, double most);

/// Where each row of cell centres crosses the border of a shape (even-odd), so that any part of the grid can be filled.
class RowSpans {
  public:
    RowSpans() = default;
    RowSpans(const plane::Shape& shape, const Grid& grid);

    /// Sets mask[i] to 1 for cells first_column + i of `row` that lie inside, else 0. Rows off the grid are outside.
    void fill(int row, int first_column, int count, std::uint8_t* mask) const;
    [[nodiscard]] const plane::Box& box() const { return box_; }

  private:
    Grid grid_;
    plane::Box box_;
    std::vector<std::uint32_t> first_; ///< of each row in crossings_; one more at the end
    std::vector<float> crossings_;     ///< columns, as real numbers: cell i is inside after an odd number of them
};

} // namespace kerfwright::proof
