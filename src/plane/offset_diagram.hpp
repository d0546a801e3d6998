#pragma once
// Inward offsets on the Voronoi diagram of a shape's edges: one diagram serves all depths, each level is exact (no
// drift from level to level) and its arcs stay arcs. It pays where many levels of one shape are asked for; for one or
// two of them `offset` is quicker.

#include "plane/arcs.hpp"
#include "plane/nearest.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace kerfwright::plane {

/// All points of a shape that lie deeper than `depth` mm, by their borders. The area lies left of every loop.
struct OffsetLevel {
    double depth = 0;
    std::vector<Path> loops;
    std::string note; ///< why the plain library answered (chords, 1 µm); empty when the diagram did
};

/// The Voronoi diagram inside of a shape (Boost.Polygon: exact on the grid). Repeated and exactly collinear points are
/// left out first. A shape whose edges cross, or touch elsewhere than in common corners, is left to the plain library.
class OffsetDiagram {
  public:
    explicit OffsetDiagram(Shape shape);

    /// REQUIRES: depth >= kGrid. The answer was checked against the shape's edges, independently of the diagram; where
    /// the check fails the plain library answers. Cost without the check: O(edges of the diagram).
    [[nodiscard]] OffsetLevel level(double depth) const;

    /// Why no diagram could be made; empty when there is one.
    [[nodiscard]] const std::string& fault() const { return fault_; }

  private:
    struct Site {
        Vec a, b; ///< of a segment, whose left is inside; a point has a = b
        bool segment = false;
    };
    struct Corner {
        Vec at;
        double depth = -1; ///< mm; negative outside of the shape
        std::uint32_t leaving = 0;
    };
    /// Runs with its site's cell at its left.
    struct Border {
        std::uint32_t start = 0, twin = 0, previous = 0, site = 0;
        double dip = 1e300; ///< least depth, where that lies between ends that are both deeper
    };

    void build(const std::vector<Ring>& rings);
    void find_depths();
    void find_dips();
    [[nodiscard]] std::vector<Path> walked(double depth) const;
    [[nodiscard]] Path loop_from(std::uint32_t first, double depth, std::vector<bool>& seen) const;
    [[nodiscard]] bool descends(std::uint32_t edge, double depth) const;
    [[nodiscard]] Vec crossing(std::uint32_t edge, double depth) const;
    [[nodiscard]] std::uint32_t end_of(std::uint32_t edge) const { return edges_[edges_[edge].twin].start; }

    Shape shape_;
    EdgeIndex index_; ///< for the check
    std::string fault_;
    std::vector<Site> sites_;
    std::vector<Corner> corners_;
    std::vector<Border> edges_;
};

/// The level as a normal shape, arcs as chords within `tolerance` mm.
[[nodiscard]] Shape to_shape(const OffsetLevel& level, double tolerance);

} // namespace kerfwright::plane
