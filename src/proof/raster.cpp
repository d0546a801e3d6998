#include "raster.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace kerfwright::proof {

using plane::Vec;

Grid grid_over(const plane::Box& box, double cell, double most) {
    Grid grid;
    grid.low = box.low;
    const double width = std::max(box.width(), cell);
    const double height = std::max(box.height(), cell);
    grid.cell = std::max(cell, std::sqrt(width * height / most));
    grid.columns = static_cast<int>(std::ceil(width / grid.cell - 1e-9));
    grid.rows = static_cast<int>(std::ceil(height / grid.cell - 1e-9));
    return grid;
}

namespace {

/// Calls f(row, column as a real number) for each row whose line of centres the edge a-b crosses (half open in Y).
template <class F>
void cross_rows(Vec a, Vec b, const Grid& grid, F&& f) {
    if (a.y > b.y) std::swap(a, b);
    const int first = std::max(0, static_cast<int>(std::ceil((a.y - grid.low.y) / grid.cell - 0.5)));
    for (int row = first; row < grid.rows && grid.y(row) < b.y; ++row) {
        const double x = a.x + (b.x - a.x) * (grid.y(row) - a.y) / (b.y - a.y);
        f(row, static_cast<float>((x - grid.low.x) / grid.cell - 0.5));
    }
}

template <class F>
void cross_rows(const plane::Shape& shape, const Grid& grid, F&& f) {
    for (const plane::Ring& ring : plane::rings_of(shape))
        for (std::size_t i = 0; i < ring.size(); ++i)
            cross_rows(plane::to_mm(ring[i]), plane::to_mm(ring[(i + 1) % ring.size()]), grid, f);
}

} // namespace

RowSpans::RowSpans(const plane::Shape& shape, const Grid& grid)
    : grid_(grid), box_(plane::bounds(shape)), first_(static_cast<std::size_t>(grid.rows) + 1, 0) {
    cross_rows(shape, grid, [&](int row, float) { ++first_[static_cast<std::size_t>(row) + 1]; });
    for (std::size_t row = 1; row < first_.size(); ++row)
        first_[row] += first_[row - 1];
    crossings_.resize(first_.back());
    std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
    cross_rows(shape, grid, [&](int row, float column) { crossings_[next[static_cast<std::size_t>(row)]++] = column; });
    for (std::size_t row = 0; row + 1 < first_.size(); ++row)
        std::sort(crossings_.begin() + first_[row], crossings_.begin() + first_[row + 1]);
}

void RowSpans::fill(int row, int first_column, int count, std::uint8_t* mask) const {
    std::memset(mask, 0, static_cast<std::size_t>(count));
    if (row < 0 || row >= grid_.rows || crossings_.empty()) return;
    const std::uint32_t last = first_[static_cast<std::size_t>(row) + 1];
    for (std::uint32_t i = first_[static_cast<std::size_t>(row)]; i + 1 < last; i += 2) {
        const double from = std::ceil(static_cast<double>(crossings_[i])) - first_column;
        const double to = std::ceil(static_cast<double>(crossings_[i + 1])) - first_column;
        for (int c = static_cast<int>(std::clamp(from, 0.0, double(count)));
             c < static_cast<int>(std::clamp(to, 0.0, double(count))); ++c)
            mask[c] = 1;
    }
}

} // namespace kerfwright::proof
