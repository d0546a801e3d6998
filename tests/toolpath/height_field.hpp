#pragma once
// A coarse removal of material, to see what moves meet: rapids, straight plunges, depth and width of cut.

#include "toolpath/path_check.hpp"

namespace kerfwright::pathcheck {

/// What a run of moves met. Cells count when they lie a cell's width inside the cutter, so that the grid adds nothing.
struct Met {
    double rapid = 0;     ///< mm of material above the deepest rapid that met any
    double plunge = 0;    ///< mm of material under the cutter's straight ways down
    double depth = 0;     ///< mm, deepest cut into standing material at once
    double level_way = 0; ///< mm of level cutting
    double wide_way = 0;  ///< mm of it with a width of cut above the asked one
    Vec3 rapid_at, plunge_at, depth_at;
};

class HeightField {
  public:
    HeightField(plane::Box box, double top, double cell)
        : box_(box), cell_(cell), columns_(static_cast<int>(box.width() / cell) + 1),
          rows_(static_cast<int>(box.height() / cell) + 1),
          heights_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), top), top_(top) {}

    void run(const std::vector<Move>& moves, double radius, double asked_width, Met& met) {
        for (const Move& move : moves) {
            const bool straight_down = move.from.x == move.to.x && move.from.y == move.to.y && move.to.z < move.from.z;
            const auto points = points_of(move, cell_);
            double removed = 0;
            for (const Vec3 p : points) {
                double deepest = 0;
                removed += stamp(p, radius - cell_, move.kind != MoveKind::rapid, deepest);
                if (move.kind == MoveKind::rapid && deepest > met.rapid) met.rapid = deepest, met.rapid_at = p;
                if (move.kind == MoveKind::line && straight_down && deepest > met.plunge)
                    met.plunge = deepest, met.plunge_at = p;
                if (deepest > met.depth) met.depth = deepest, met.depth_at = p;
            }
            if (move.kind == MoveKind::rapid || move.from.z != move.to.z) continue;
            met.level_way += length(move);
            // Width of cut: area removed over the way. Short moves say little.
            if (length(move) > 2 * cell_ && removed / length(move) > asked_width + 2 * cell_)
                met.wide_way += length(move);
        }
    }
    [[nodiscard]] double at(Vec p) const {
        const int i = static_cast<int>((p.x - box_.low.x) / cell_);
        const int j = static_cast<int>((p.y - box_.low.y) / cell_);
        return i < 0 || j < 0 || i >= columns_ || j >= rows_ ? top_ : heights_[index(i, j)];
    }

    /// The middle of the cell around p.
    [[nodiscard]] Vec centre_near(Vec p) const {
        return {box_.low.x + (std::floor((p.x - box_.low.x) / cell_) + 0.5) * cell_,
                box_.low.y + (std::floor((p.y - box_.low.y) / cell_) + 0.5) * cell_};
    }

  private:
    [[nodiscard]] std::size_t index(int i, int j) const {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
    }
    /// Gives the area removed, mm².
    double stamp(Vec3 p, double radius, bool cut, double& deepest) {
        if (p.z >= top_) return 0;
        double area = 0;
        const auto clamp = [](double v, int last) { return std::clamp(static_cast<int>(std::floor(v)), 0, last); };
        const int i0 = clamp((p.x - radius - box_.low.x) / cell_, columns_ - 1),
                  i1 = clamp((p.x + radius - box_.low.x) / cell_, columns_ - 1);
        const int j0 = clamp((p.y - radius - box_.low.y) / cell_, rows_ - 1),
                  j1 = clamp((p.y + radius - box_.low.y) / cell_, rows_ - 1);
        for (int j = j0; j <= j1; ++j)
            for (int i = i0; i <= i1; ++i) {
                const double x = box_.low.x + (i + 0.5) * cell_ - p.x;
                const double y = box_.low.y + (j + 0.5) * cell_ - p.y;
                double& h = heights_[index(i, j)];
                const double square = x * x + y * y;
                if (square > radius * radius || h <= p.z + 1e-6) continue;
                // Cells at the very rim may have been missed by an earlier pass along the same way.
                if (square < (radius - cell_) * (radius - cell_)) deepest = std::max(deepest, h - p.z);
                if (!cut) continue;
                h = p.z;
                area += cell_ * cell_;
            }
        return area;
    }
    plane::Box box_;
    double cell_;
    int columns_, rows_;
    std::vector<double> heights_;
    double top_;
};

} // namespace kerfwright::pathcheck
