#pragma once
// Private to toolpath/: contour-parallel levels of a region of cutter centres.

#include "plane/nearest.hpp"
#include "toolpath/track.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace kerfwright::toolpath {

/// One connected area of centres at least `depth` steps inside the region; its rings are loops of the cutter.
struct Level {
    static constexpr std::size_t kNone = ~std::size_t{0};
    plane::Polygon area;
    std::size_t parent = kNone;        ///< the level that surrounds it, one stepover further out
    std::vector<std::size_t> children; ///< the levels inside of it
};

/// Levels `stepover` mm apart until nothing is left, parents before children. With a stepover no larger than the
/// cutter's radius R the loops leave nothing standing, whatever the corners: a point between two levels is no further
/// than the stepover from the outer one, since the way to its nearest border point crosses that level.
///
/// An area that may hold kManyLevels of them takes all from one Voronoi diagram, each from the area itself: within 1 µm
/// whatever their number. One with fewer takes them one from the other by the plain library, which is quicker and off
/// by some 1.25 µm more with every level (docs/plane.md).
struct Levels {
    std::vector<Level> levels;
    std::vector<std::string> notes; ///< where the diagram did not serve
};
[[nodiscard]] Levels levels_of(const plane::Shape& centres, double stepover);
inline constexpr int kManyLevels = 25;

/// An area to look across.
class Sight {
  public:
    explicit Sight(plane::Shape area) : area_(std::move(area)), border_(area_) {}
    /// Is the straight way from a to b inside the area, or within `beyond` mm of it?
    [[nodiscard]] bool sees(plane::Vec a, plane::Vec b, double beyond) const;
    [[nodiscard]] const plane::EdgeIndex& border() const { return border_; }
    [[nodiscard]] const plane::Shape& area() const { return area_; }

  private:
    plane::Shape area_;
    plane::EdgeIndex border_;
};

/// Levels with their loops as ways of the cutter. The outermost loops are as true as finishing passes, since they may
/// be the last ones along a wall.
class LevelLoops {
  public:
    LevelLoops(const plane::Shape& centres, double stepover, bool climb);

    [[nodiscard]] const std::vector<Level>& levels() const { return levels_; }
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }
    /// The rings of a level that have a length, the outer one first, and the tracks along them.
    [[nodiscard]] const std::vector<plane::Ring>& rings(std::size_t level) const { return rings_[level]; }
    [[nodiscard]] const std::vector<Track>& tracks(std::size_t level) const { return tracks_[level]; }
    /// The outermost level around this one.
    [[nodiscard]] std::size_t root_of(std::size_t level) const;
    [[nodiscard]] const Sight& sight(std::size_t level) const { return sights_[level]; }
    /// All levels, children before their parents, connected areas in an order with short ways between them.
    [[nodiscard]] std::vector<std::size_t> inside_out(plane::Vec start) const;

  private:
    std::vector<Level> levels_;
    std::vector<std::string> notes_;
    std::vector<std::vector<plane::Ring>> rings_;
    std::vector<std::vector<Track>> tracks_;
    std::vector<Sight> sights_;
};

} // namespace kerfwright::toolpath
