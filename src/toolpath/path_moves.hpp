#pragma once
// Private to toolpath/: writes the moves of one cutter, each beginning where the one before ended.

#include "motion/moves.hpp"
#include "shop/machine.hpp"
#include "toolpath/toolpath.hpp"
#include "toolpath/track.hpp"

namespace kerfwright::toolpath {

/// The side of the cutter's way on which material is cut.
enum class Wall { none, left, right };

struct Feeds {
    double cut = 0;  ///< mm/min
    double down = 0; ///< mm/min, where the cutter goes down
    /// Along a hollow wall the cutter's edge goes further than its centre: there the centre's feed is lowered by
    /// rho / (rho + R), rho the radius of the centre's arc (the usual correction for inside arcs), to 0.4 at the least.
    Wall wall = Wall::none;
    double radius = 0; ///< R, mm
};

/// Rapids go straight up, straight down or level, never down and across at once; level at the clearance height, or just
/// above the sheet for ways over a pocket.
class Pen {
  public:
    Pen(const SheetFrame& frame, const shop::Abilities& abilities, double spindle);

    [[nodiscard]] const motion::Vec3& at() const { return at_; }
    [[nodiscard]] plane::Vec over() const { return {at_.x, at_.y}; }
    /// At clearance height, so that it must go down before it can cut.
    [[nodiscard]] bool is_up() const { return at_.z >= frame_.clearance; }

    void raise();                      ///< rapid straight up to the clearance height
    void go_over(plane::Vec p);        ///< raise, then rapid across
    void go_over_low(plane::Vec p);    ///< the same just above the sheet, where nothing else can stand
    void lower(double z, double feed); ///< rapid down as far as the air is known to be free, then feed down
    void line(plane::Vec to, double z, double feed);
    void span(const Span& span, double z, double feed); ///< from where it stands, ending at the span's end and z
    void follow(const Track& track, double from, double to, const Heights& heights, const Feeds& feeds);

    /// The moves since the last call.
    [[nodiscard]] std::vector<motion::Move> taken();

  private:
    void add(motion::MoveKind kind, motion::Vec3 to, double feed);
    void chords(const Span& span, double z, double feed);
    SheetFrame frame_;
    shop::Abilities abilities_;
    double spindle_ = 0;
    motion::Vec3 at_;
    std::vector<motion::Move> moves_;
};

} // namespace kerfwright::toolpath
