#pragma once
// Exact distances from points to the edges of rings, through a tree of boxes.

#include "plane/shape.hpp"

#include <cstddef>
#include <optional>

namespace kerfwright::plane {

struct Nearest {
    double distance = 0; ///< mm
    Vec at;              ///< the nearest point of the edges
    std::size_t ring = 0;
    std::size_t segment = 0; ///< from vertex `segment` to the next one of ring `ring`
};

/// Segments of closed rings in a box tree. Cost: O(n log n) to build, about O(log n) to ask.
class EdgeIndex {
  public:
    explicit EdgeIndex(std::vector<Ring> rings);
    explicit EdgeIndex(const Shape& shape) : EdgeIndex(rings_of(shape)) {}

    /// The nearest edge within `within` mm of `p`, if there is one. Ties go to the lowest ring, then segment.
    [[nodiscard]] std::optional<Nearest> nearest(Vec p, double within = 1e300) const;
    [[nodiscard]] const std::vector<Ring>& rings() const { return rings_; }

  private:
    struct Node {
        Box box;
        std::uint32_t first = 0, count = 0; ///< leaf: range of `edges_`; inner: `first` is the left child, count 0
        std::uint32_t right = 0;
    };
    struct Edge {
        Vec a, b;
        std::uint32_t ring, segment;
    };
    std::uint32_t build(std::uint32_t first, std::uint32_t last);

    std::vector<Ring> rings_;
    std::vector<Edge> edges_; ///< in the order of the leaves
    std::vector<Node> nodes_;
};

[[nodiscard]] double distance_to_segment(Vec p, Vec a, Vec b);
[[nodiscard]] Vec nearest_on_segment(Vec p, Vec a, Vec b);

/// Points along a ring no further apart than `step` mm, vertices included.
[[nodiscard]] std::vector<Vec> sampled(const Ring& ring, double step);

} // namespace kerfwright::plane
