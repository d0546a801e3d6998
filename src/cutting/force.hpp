#pragma once
// The mechanistic force model, tooth by tooth (Altintas, Manufacturing Automation, 2nd ed. 2012, ch. 2; Budak, Altintas
// and Armarego 1996): every slice of every edge feels a tangential, a radial and an axial force from its uncut chip
// thickness h = fz sin φ and from its edge.
//
// Axes: x along the feed, y normal to it; φ clockwise from y, so that a slot is engaged from 0 to π. Up-milling engages
// [0, φs], down-milling (climb) [π - φs, π]. Positive z is along the cutter's axis towards the spindle: it lifts the
// part.

#include "shop/cutter.hpp"
#include "shop/material.hpp"

#include <vector>

namespace kerfwright::cutting {

/// Force on 1 mm of edge at chip thickness h: k h^(1-m) + e, N/mm. m = 0 is the linear-edge form, e = 0 Kienzle's.
struct ForceLaw {
    double m = 0;
    double kt = 0, kr = 0, ka = 0; ///< N/mm^(2-m)
    double et = 0, er = 0, ea = 0; ///< N/mm
    [[nodiscard]] double tangential(double h) const;
};

/// Which side of a range of values to work with.
enum class Side {
    cautious, ///< high forces, tight windows: what a plan keeps to
    likely,   ///< the best estimate of loads, and windows as wide as they are known to have worked: what a setting that
              ///< is already in use is judged by
};

/// The law of a material under a cutter. Where radial or axial constants are not known: radial = radial_ratio times
/// tangential; axial = 0.75 tan(helix) times tangential (ratio of the 6082-T6 constants at 30°: 273/631 = 0.75 tan 30°;
/// that their cutter had 30° is from memory).
[[nodiscard]] ForceLaw force_law(const shop::Material& material, const shop::Cutter& cutter, Side side);

/// An engagement of a cutter with the stock.
struct Cut {
    double diameter = 6;
    int teeth = 2;
    double helix = 30;          ///< degrees
    double runout = 0;          ///< mm, total indicator reading
    double ap = 1;              ///< mm
    double fz = 0.1;            ///< mm
    double entry = 0, exit = 0; ///< rad
};

/// Engagement angles of a radial width, into `cut`: a slot when ae >= D.
void engage(Cut& cut, double ae, bool climb = true);

struct Force {
    double x = 0, y = 0, z = 0; ///< N
};

/// Means over a revolution; they do not depend on helix or run-out while every tooth cuts. Closed form in the
/// linear-edge form (Altintas 2012, §2.8); the chip term of Kienzle's form is integrated numerically.
[[nodiscard]] Force mean_force(const ForceLaw& law, const Cut& cut);
/// Mean torque, N·mm: (N a D / 4π) [kt c (cos φst - cos φex) + et (φex - φst)] for m = 0.
[[nodiscard]] double mean_torque(const ForceLaw& law, const Cut& cut);

/// What happens during one revolution.
struct PeakForce {
    double in_plane = 0; ///< N, largest resultant in x, y
    double axial = 0;    ///< N, largest z (signed: positive lifts)
    double torque = 0;   ///< N·mm, largest
    Force mean;          ///< N, by summation: a check of mean_force
    double mean_torque = 0;
};

/// Integrals of the force law over the arc of engagement, tabled once for an engagement and a law: peaks for any fz and
/// ap cost a few microseconds.
class ForceTable {
  public:
    /// `cut.fz` and `cut.ap` are not used here.
    ForceTable(const ForceLaw& law, const Cut& cut);
    [[nodiscard]] PeakForce peak(double fz, double ap) const;
    /// mean_force() and mean_torque() (N·mm) from the table: within 1e-4 of them.
    [[nodiscard]] Force mean(double fz, double ap) const;
    [[nodiscard]] double torque(double fz, double ap) const;

  private:
    struct Row { ///< integrals from 0 to φ inside the engagement
        double chip = 0, chip_cos = 0, chip_sin = 0;
        double edge = 0, edge_cos = 0, edge_sin = 0;
    };
    [[nodiscard]] Row upto(double phi) const;

    ForceLaw law_;
    Cut cut_;
    std::vector<Row> rows_;
};

/// Peaks of one cut; see ForceTable.
[[nodiscard]] PeakForce peak_force(const ForceLaw& law, const Cut& cut);

} // namespace kerfwright::cutting
