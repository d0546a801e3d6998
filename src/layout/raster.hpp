#pragma once
// Private to layout/: a sheet as cells, to find in a moment where a part would fit. Every cell that anything touches
// counts as taken, so that a place found here is free; what the cells give away is won back by exact steps afterwards.

#include "layout/room.hpp"

namespace kerfwright::layout {

/// The cells of a column that something touches: rows `low` to `high`.
struct Span {
    int column = 0, low = 0, high = 0;
};

/// A turned part as cells; (0, 0) is the cell at the lower left of its box.
struct Stencil {
    std::vector<Span> spans; ///< the longest first: they fail soonest
    int columns = 0, rows = 0;
    plane::Vec corner; ///< of cell (0, 0), in the part's turned frame
};
[[nodiscard]] Stencil make_stencil(const Outline& turned, double cell);

class Raster {
  public:
    /// Nothing is taken at first, but all that lies outside of `area`.
    Raster(plane::Box area, double cell);

    /// Takes every cell that the even-odd inside of the rings touches.
    void take(const std::vector<Outline>& rings);
    /// Takes every cell that the outside of the rings touches.
    void take_outside(const std::vector<Outline>& rings);

    /// The lowest row at which the stencil is free with its left edge in `column`; -1 when there is none.
    [[nodiscard]] int lowest(const Stencil& stencil, int column) const;

    [[nodiscard]] int columns() const { return columns_; }
    [[nodiscard]] int rows() const { return rows_; }
    [[nodiscard]] double cell() const { return cell_; }
    [[nodiscard]] plane::Vec corner(int column, int row) const;

  private:
    void take_spans(const std::vector<Span>& spans);
    void reindex(int column);
    [[nodiscard]] std::size_t at(int column, int row) const {
        return static_cast<std::size_t>(column) * static_cast<std::size_t>(rows_ + 1) + static_cast<std::size_t>(row);
    }

    plane::Box area_;
    double cell_;
    int columns_, rows_;
    std::vector<char> taken_;
    std::vector<int> next_; ///< first taken row at or above; `rows_` when none
    std::vector<int> last_; ///< last row of the run of taken rows
};

} // namespace kerfwright::layout
