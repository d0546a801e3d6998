#pragma once
// Private to papers/: which place on the paper belongs to what, to find room for labels.

#include "plane/shape.hpp"

#include <optional>
#include <vector>

namespace kerfwright::papers {

class LabelMap {
  public:
    /// Nothing is owned at first (owner 0). Lengths in mm on paper.
    LabelMap(double width, double height);

    /// The even-odd inside of the rings belongs to `owner` from now on.
    void claim(const std::vector<std::vector<plane::Vec>>& rings, int owner);
    void claim(const plane::Box& box, int owner);
    /// A band of that half width along a line.
    void claim_line(plane::Vec from, plane::Vec to, double half_width, int owner);
    [[nodiscard]] int owner_at(plane::Vec v) const; ///< 0 outside of the paper

    /// The middle of a box of that size that lies wholly on `owner`'s ground, as near to `near` as can be.
    [[nodiscard]] std::optional<plane::Vec> find(int owner, plane::Vec near, double width, double height,
                                                 double most_distance = 1e9) const;

  private:
    [[nodiscard]] std::size_t at(int column, int row) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(column);
    }

    int columns_, rows_;
    std::vector<int> owner_;
};

} // namespace kerfwright::papers
