#include "papers/label_map.hpp"

#include "papers/hatch.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::papers {
namespace {
constexpr double kCell = 0.4; // mm
}

LabelMap::LabelMap(double width, double height)
    : columns_(static_cast<int>(std::ceil(width / kCell))), rows_(static_cast<int>(std::ceil(height / kCell))),
      owner_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), 0) {}

void LabelMap::claim(const std::vector<std::vector<plane::Vec>>& rings, int owner) {
    for (int row = 0; row < rows_; ++row) {
        const std::vector<double> xs = crossings(rings, (row + 0.5) * kCell);
        for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
            const int first = std::max(0, static_cast<int>(std::ceil(xs[i] / kCell - 0.5)));
            const int last = std::min(columns_ - 1, static_cast<int>(std::floor(xs[i + 1] / kCell - 0.5)));
            for (int column = first; column <= last; ++column)
                owner_[at(column, row)] = owner;
        }
    }
}

void LabelMap::claim(const plane::Box& box, int owner) {
    claim({{box.low, {box.high.x, box.low.y}, box.high, {box.low.x, box.high.y}}}, owner);
}

void LabelMap::claim_line(plane::Vec from, plane::Vec to, double half_width, int owner) {
    const plane::Vec half{half_width, half_width};
    const int steps = static_cast<int>(plane::distance(from, to) / half_width) + 1;
    for (int k = 0; k <= steps; ++k) {
        const plane::Vec at = from + (to - from) * (static_cast<double>(k) / steps);
        const int last_column = std::min(columns_ - 1, static_cast<int>(std::floor((at.x + half.x) / kCell)));
        const int last_row = std::min(rows_ - 1, static_cast<int>(std::floor((at.y + half.y) / kCell)));
        for (int row = std::max(0, static_cast<int>(std::floor((at.y - half.y) / kCell))); row <= last_row; ++row)
            for (int column = std::max(0, static_cast<int>(std::floor((at.x - half.x) / kCell))); column <= last_column;
                 ++column)
                owner_[this->at(column, row)] = owner;
    }
}

int LabelMap::owner_at(plane::Vec v) const {
    const int column = static_cast<int>(std::floor(v.x / kCell));
    const int row = static_cast<int>(std::floor(v.y / kCell));
    return column < 0 || row < 0 || column >= columns_ || row >= rows_ ? 0 : owner_[at(column, row)];
}

std::optional<plane::Vec> LabelMap::find(int owner, plane::Vec near, double width, double height,
                                         double most_distance) const {
    const int across = static_cast<int>(std::ceil(width / kCell));
    const int up = static_cast<int>(std::ceil(height / kCell));
    // clear[c]: how many of the owner's cells lie one above the other below this row, in column c.
    std::vector<int> clear(static_cast<std::size_t>(columns_), 0);
    std::optional<plane::Vec> best;
    double best_distance = most_distance;
    for (int row = 0; row < rows_; ++row) {
        int run = 0;
        for (int column = 0; column < columns_; ++column) {
            int& c = clear[static_cast<std::size_t>(column)];
            c = owner_[at(column, row)] == owner ? c + 1 : 0;
            run = c >= up ? run + 1 : 0;
            if (run < across) continue;
            const plane::Vec middle{(column + 1 - across / 2.0) * kCell, (row + 1 - up / 2.0) * kCell};
            if (const double d = plane::distance(middle, near); d < best_distance) {
                best_distance = d;
                best = middle;
            }
        }
    }
    return best;
}

} // namespace kerfwright::papers
