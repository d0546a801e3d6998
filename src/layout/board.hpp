#pragma once
// Private to layout/: one sheet while parts are put on it, as cells and as exact obstacles, once per kerf.

#include "layout/obstacles.hpp"
#include "layout/raster.hpp"

#include <optional>

namespace kerfwright::layout {

/// How places are compared: the lower `x` times the right end plus `y` times the upper end of the part's box, the
/// better.
struct Pull {
    double x = 1, y = 0.01;
};

class Board {
  public:
    Board(const shop::Sheet& sheet, const std::vector<double>& kerfs, const LayoutOptions& options);

    /// Where the item would lie best, in the item's frame; nothing when it finds no place.
    [[nodiscard]] std::optional<plane::Placement> find(const Item& item, const Pull& pull) const;
    void put(const Item& item, const plane::Placement& placement);

    [[nodiscard]] bool free(const Item& item, const plane::Placement& placement) const;
    [[nodiscard]] const shop::Sheet& sheet() const { return *sheet_; }

  private:
    struct Layer {
        Obstacles obstacles;
        Raster raster;
    };
    [[nodiscard]] plane::Placement settled(const Item& item, plane::Placement placement, const Pull& pull) const;

    const shop::Sheet* sheet_;
    std::vector<Layer> layers_; ///< per kerf class
};

/// From the item's frame to the drawing's: what `Placed` holds.
[[nodiscard]] plane::Placement of_drawing(const Item& item, const plane::Placement& placement);
/// The other way.
[[nodiscard]] plane::Placement of_item(const Item& item, const plane::Placement& placement);

} // namespace kerfwright::layout
