#pragma once
// Private to fit/: edges of rings in square cells. For questions about what is near, asked along whole borders, cells
// answer several times faster than a tree; for edges of about one length spread along lines they are as good a fit.

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace kerfwright::fit {

struct Side {
    plane::Vec from, to;
    plane::Vec along; ///< unit
    double length = 0;
    [[nodiscard]] plane::Vec outward() const { return {along.y, -along.x}; } ///< with the solid to the left
};
[[nodiscard]] std::vector<Side> sides_of(const std::vector<plane::Ring>& rings);

/// Each side in every cell that it comes near.
class EdgeCells {
  public:
    /// `size` is what a cell should measure; it is made larger where there would be too many.
    EdgeCells(const std::vector<Side>& sides, const plane::Box& box, double size);

    /// Calls with the index of every side in the cells that meet the box, until a call says that it is enough; may call
    /// several times for one side. True when it was enough.
    template <class Call>
    bool near(const plane::Box& box, Call enough) const {
        if (held_.empty()) return false;
        const int x0 = column(box.low.x), x1 = column(box.high.x);
        const int y0 = row(box.low.y), y1 = row(box.high.y);
        for (int y = y0; y <= y1; ++y) {
            const std::size_t first = cell(x0, y), last = cell(x1, y);
            for (std::uint32_t k = start_[first]; k < start_[last + 1]; ++k)
                if (enough(held_[k])) return true;
        }
        return false;
    }
    [[nodiscard]] double size() const { return size_; }

  private:
    [[nodiscard]] int column(double x) const { return place(x - low_.x, columns_); }
    [[nodiscard]] int row(double y) const { return place(y - low_.y, rows_); }
    [[nodiscard]] int place(double off, int count) const {
        return static_cast<int>(std::clamp(off / size_, 0.0, static_cast<double>(count - 1)));
    }
    [[nodiscard]] std::size_t cell(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(x);
    }
    template <class Call>
    void visit(const Side& side, Call call) const;

    plane::Vec low_;
    double size_ = 1;
    int columns_ = 1, rows_ = 1;
    std::vector<std::uint32_t> start_, held_;
};

/// The same answers as plane::EdgeIndex.
class NearEdges {
  public:
    explicit NearEdges(std::vector<plane::Ring> rings);
    explicit NearEdges(const plane::Shape& shape) : NearEdges(plane::rings_of(shape)) {}

    /// The nearest edge within `within` mm of `p`, if there is one. Ties go to the lowest ring, then segment.
    [[nodiscard]] std::optional<plane::Nearest> nearest(plane::Vec p, double within = 1e300) const;
    /// Some edge is within `within` mm of `p` for which `wanted(ring, segment)` holds.
    template <class Wanted>
    [[nodiscard]] bool any_within(plane::Vec p, double within, Wanted wanted) const {
        return cells_.near(grown(plane::Box{p, p}, within), [&](std::uint32_t s) {
            return wanted(place_[s].ring, place_[s].segment) &&
                   plane::distance_to_segment(p, sides_[s].from, sides_[s].to) < within;
        });
    }
    /// The bounding box of some edge meets the box.
    [[nodiscard]] bool any_meets(const plane::Box& box) const;
    [[nodiscard]] const std::vector<plane::Ring>& rings() const { return rings_; }

  private:
    struct Place {
        std::uint32_t ring, segment;
    };
    std::vector<plane::Ring> rings_;
    std::vector<Side> sides_;
    std::vector<Place> place_;
    plane::Box box_;
    EdgeCells cells_;
};

/// Distance to the shape whose edges are in `index`; negative inside (interior to the left of every edge).
[[nodiscard]] double signed_distance(const NearEdges& index, plane::Vec p);

} // namespace kerfwright::fit
