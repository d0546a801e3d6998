#pragma once
// The volume a cutter sweeps along one piece of path, over the cells of one tile.

#include "path.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace kerfwright::proof {

inline constexpr int kTile = 64; ///< cells along a tile's side

/// Heights are whole numbers of 10 nm, so that sums do not depend on their order.
using Height = std::int32_t;
inline constexpr Height kNoMaterial = -2'100'000'000;
[[nodiscard]] inline Height to_height(double z) {
    return static_cast<Height>(std::lrint(std::clamp(z, -20'000.0, 20'000.0) / plane::kGrid));
}
[[nodiscard]] inline double height_mm(std::int64_t h) {
    return static_cast<double>(h) * plane::kGrid;
}

/// Where a tile's cells lie: centre of cell (0, 0), and how many there are.
struct TileFrame {
    plane::Vec first;
    double cell = 0.25;
    int columns = 0, rows = 0;

    [[nodiscard]] plane::Vec centre(int column, int row) const {
        return {first.x + column * cell, first.y + row * cell};
    }
    [[nodiscard]] plane::Vec middle() const {
        return centre(columns, rows) * 0.5 + first * 0.5 - plane::Vec{cell / 2, cell / 2};
    }
    [[nodiscard]] double half_diagonal() const { return std::hypot(columns, rows) * cell / 2; }
};

/// Cells [first, last) of a row.
struct Columns {
    int first = 0, last = 0;
};
/// The columns of a tile whose centres lie in [low, high].
[[nodiscard]] inline Columns columns_in(const TileFrame& tile, double low, double high) {
    const double first = std::ceil((low - tile.first.x) / tile.cell);
    const double last = std::floor((high - tile.first.x) / tile.cell) + 1;
    const double most = tile.columns;
    return {static_cast<int>(std::clamp(first, 0.0, most)), static_cast<int>(std::clamp(last, 0.0, most))};
}

/// The lowest height of the cutter's bottom over `at` while the tip goes along a piece; nothing if it stays clear of
/// it.
[[nodiscard]] std::optional<double> swept_height(const Piece& piece, const CutterBody& body, plane::Vec at);

/// The reach of a line's sweep on the row at `y`: [low, high], empty when low > high.
struct RowReach {
    double low = 1e300, high = -1e300;
};
[[nodiscard]] RowReach reach_of_line(const Piece& line, double radius, double y);

namespace detail {

/// Is a direction from an arc's centre within its sweep? By signs of cross products alone.
class Wedge {
  public:
    explicit Wedge(const Piece& arc);
    [[nodiscard]] bool holds(plane::Vec v) const {
        if (full_) return true;
        return reflex_ ? !(cross(last_, v) > 0 && cross(v, first_) > 0) : cross(first_, v) >= 0 && cross(v, last_) >= 0;
    }

  private:
    plane::Vec first_, last_;
    bool reflex_ = false, full_ = false;
};

template <class Op>
void sweep_line(const Piece& line, const CutterBody& body, const TileFrame& tile, int first_row, int last_row, Op& op) {
    const bool upright = line.from.x == line.to.x && line.from.y == line.to.y;
    const bool constant = body.flat() && (line.level() || upright);
    const Height z = to_height(line.lowest());
    for (int row = first_row; row < last_row; ++row) {
        const RowReach reach = reach_of_line(line, body.radius(), tile.centre(0, row).y);
        const Columns columns = columns_in(tile, reach.low, reach.high);
        if (constant) {
            op.run(row, columns.first, columns.last, z);
            continue;
        }
        for (int column = columns.first; column < columns.last; ++column)
            if (const auto height = swept_height(line, body, tile.centre(column, row)))
                op.at(row, column, to_height(*height));
    }
}

template <class Op>
void sweep_arc(const Piece& arc, const CutterBody& body, const TileFrame& tile, int first_row, int last_row, Op& op) {
    const Wedge wedge(arc);
    const double r = body.radius();
    const bool constant = body.flat() && arc.level();
    const Height z = to_height(arc.from.z);
    const double outer = arc.radius + r;
    const double inner = std::max(0.0, arc.radius - r);
    const plane::Vec a{arc.from.x, arc.from.y}, b{arc.to.x, arc.to.y};
    const auto covered = [&](plane::Vec p) {
        const plane::Vec v = p - arc.centre;
        const double square = dot(v, v);
        if (square <= outer * outer && square >= inner * inner && wedge.holds(v)) return true;
        return dot(p - a, p - a) <= r * r || dot(p - b, p - b) <= r * r;
    };
    const auto visit = [&](int row, Columns columns) {
        for (int column = columns.first; column < columns.last; ++column) {
            const plane::Vec p = tile.centre(column, row);
            if (constant) {
                if (covered(p)) op.at(row, column, z);
            } else if (const auto height = swept_height(arc, body, p)) {
                op.at(row, column, to_height(*height));
            }
        }
    };
    for (int row = first_row; row < last_row; ++row) {
        const double dy = tile.centre(0, row).y - arc.centre.y;
        const double far = std::sqrt(std::max(0.0, outer * outer - dy * dy));
        const double near = inner * inner - dy * dy;
        const double gap = near > 0 ? std::sqrt(near) * (1 - 1e-12) : 0;
        const double cx = arc.centre.x;
        const Columns left = columns_in(tile, cx - far, cx - gap);
        const Columns right = columns_in(tile, cx + gap, cx + far);
        visit(row, left);
        visit(row, {std::max(right.first, left.last), right.last});
    }
}

} // namespace detail

/// Calls op.run(row, first, last, height) or op.at(row, column, height) for every cell of the tile whose centre the
/// cutter passes over, with the lowest height of its bottom there.
template <class Op>
void sweep(const Piece& piece, const CutterBody& body, const TileFrame& tile, Op& op) {
    const double r = body.radius();
    if (nearest(piece, tile.middle()).distance > r + tile.half_diagonal()) return;
    const plane::Box box = plane::grown(box_of(piece), r);
    const double rows = tile.rows;
    const int first = static_cast<int>(std::clamp(std::ceil((box.low.y - tile.first.y) / tile.cell), 0.0, rows));
    const int last = static_cast<int>(std::clamp(std::floor((box.high.y - tile.first.y) / tile.cell) + 1, 0.0, rows));
    if (piece.is_arc())
        detail::sweep_arc(piece, body, tile, first, last, op);
    else
        detail::sweep_line(piece, body, tile, first, last, op);
}

} // namespace kerfwright::proof
