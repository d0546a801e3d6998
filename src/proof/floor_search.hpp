#pragma once
// Private to proof/: divides a floor into squares until each is known to be right as a whole, or a place is found.

#include "plane/nearest.hpp"
#include "plane/shape.hpp"

#include <numbers>
#include <utility>

namespace kerfwright::proof {

inline constexpr double kFirstSquare = 8;            ///< mm
inline constexpr std::size_t kMostSquares = 400'000; ///< of one search: more are not looked at, as when all is wrong
inline constexpr std::size_t kMostSpots = 200;       ///< of one search

/// How far a place lies inside a shape, mm; negative outside. Rings keep the shape on their left.
class Depth {
  public:
    explicit Depth(const plane::Shape& shape) : shape_(shape), edges_(shape) {}

    [[nodiscard]] double at(plane::Vec p) const {
        const auto near = edges_.nearest(p);
        if (!near) return -1e300;
        const plane::Ring& ring = edges_.rings()[near->ring];
        const plane::Vec a = plane::to_mm(ring[near->segment]);
        const plane::Vec b = plane::to_mm(ring[(near->segment + 1) % ring.size()]);
        const bool corner = near->at == a || near->at == b;
        const bool inside = corner ? plane::contains(shape_, plane::to_grid(p)) : cross(b - a, p - a) > 0;
        return inside ? near->distance : -near->distance;
    }
    /// Where borders run back over themselves, as at the thin end of a floor, the nearest edge does not tell the side.
    [[nodiscard]] bool holds(plane::Vec p) const { return plane::contains(shape_, plane::to_grid(p)); }
    [[nodiscard]] plane::Box box() const { return plane::bounds(shape_); }

  private:
    const plane::Shape& shape_;
    plane::EdgeIndex edges_;
};

/// Divides squares while `excess` may be above 0 somewhere in them, down to `smallest`; `found(centre, excess)` hears
/// of the smallest and tells whether it counts towards kMostSpots. `excess` must not change faster than the place does;
/// `found` may make it smaller.
template <class Excess, class Found>
class FloorSearch {
  public:
    FloorSearch(const Depth& depth, double border, double smallest, Excess excess, Found found)
        : depth_(depth), border_(border), smallest_(smallest), excess_(std::move(excess)), found_(std::move(found)) {}

    void run() {
        const plane::Box box = depth_.box();
        for (double y = box.low.y; y < box.high.y; y += kFirstSquare)
            for (double x = box.low.x; x < box.high.x; x += kFirstSquare)
                look({x + kFirstSquare / 2, y + kFirstSquare / 2}, kFirstSquare / 2, false);
    }
    /// False where the search gave up.
    [[nodiscard]] bool complete() const { return squares_ <= kMostSquares && spots_ < kMostSpots; }

  private:
    void look(plane::Vec centre, double half, bool inside) {
        if (++squares_ > kMostSquares || spots_ >= kMostSpots) return;
        const double reach = half * std::numbers::sqrt2;
        if (!inside) {
            const double depth = depth_.at(centre) - border_;
            if (depth + reach < 0) return;
            inside = depth >= reach;
            if (!inside && half <= smallest_ && depth < 0) return;
        }
        const double excess = excess_(centre);
        if (excess + reach <= 0) return;
        if (half <= smallest_) {
            if (excess > 0 && found_(centre, excess)) ++spots_;
            return;
        }
        const double next = half / 2;
        for (const plane::Vec to :
             {plane::Vec{-next, -next}, plane::Vec{next, -next}, plane::Vec{-next, next}, plane::Vec{next, next}})
            look(centre + to, next, inside);
    }

    const Depth& depth_;
    double border_, smallest_;
    Excess excess_;
    Found found_;
    std::size_t squares_ = 0, spots_ = 0;
};

} // namespace kerfwright::proof
