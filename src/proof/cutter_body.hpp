#pragma once
// The cutter and what turns above it, as solids of revolution about the tip's path.

#include "shop/library.hpp"

#include <string>
#include <vector>

namespace kerfwright::proof {

/// The cutting part. Heights are above the tip, radii from the axis, mm.
///
/// Flat and clearing cutters have a flat bottom; a ball has the radius DC/2; a drill is a cone of `tip_angle`; a
/// tapered cutter has a flat tip of diameter DC and grows by `taper` degrees per side up to APMX.
class CutterBody {
  public:
    explicit CutterBody(const shop::Cutter& cutter);

    [[nodiscard]] double radius() const { return radius_; } ///< the largest
    [[nodiscard]] bool flat() const { return flat_; }
    /// Height of the bottom at a distance from the axis. REQUIRES: 0 <= r <= radius().
    [[nodiscard]] double height_at(double r) const;
    /// Radius at a height; 0 below the tip.
    [[nodiscard]] double radius_at(double height) const;
    /// Along a straight path of slope `m` (dz / ds), the tip position that cuts lowest at a point `a` beside the path
    /// is this far downhill of the point. Closed forms: the swept height is convex along the path.
    [[nodiscard]] double downhill_offset(double a, double m) const;
    /// The same body, thinner by `by` all around: for contact that is more than a touch.
    [[nodiscard]] CutterBody thinner(double by) const;

  private:
    double radius_ = 0;
    double tip_radius_ = 0; ///< flat part of the bottom
    double cone_ = 0;       ///< rise per mm of radius beyond the tip radius
    bool ball_ = false;
    bool flat_ = true;
};

/// A cylinder that does not cut: shank, nut, holder, dust shoe.
struct StackPart {
    std::string name;
    double radius = 0;
    double from = 0; ///< its lower face above the tip, mm
};

/// Shank and the machine's stack, lowest first.
[[nodiscard]] std::vector<StackPart> stack_above(const shop::Cutter& cutter, const shop::Machine& machine);

} // namespace kerfwright::proof
