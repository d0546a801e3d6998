#pragma once
// Does the set go together? Every piece may shift and turn in the tray; a linear program finds the poses with the
// largest smallest gap. Above zero the set goes together. Its dual is a set of contact forces in equilibrium and names
// the seams that are tight. A Monte Carlo run over the errors of cutting and the climate gives the chance that it still
// does. Method: docs/fit.md, "Assembly".

#include "base/result.hpp"
#include "plane/shape.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace kerfwright::fit {

/// Symmetric strain in the drawing's frame; 0.001 is 1 mm per m. Shear xy is the tensor component (half the angle).
struct Growth {
    double xx = 0, xy = 0, yy = 0;
};
/// Growth of a sheet with `along` and `across` strains, its grain at `degrees` from X in the drawing's frame.
[[nodiscard]] Growth growth_of_grain(double along, double across, double degrees);

/// Growth that goes with one standard deviation of a cause, such as the humidity of a room.
struct Swing {
    std::string cause;
    Growth growth;
};

/// What is known about how far a solid may differ from its as-cut outline. All deviations are of normal distributions;
/// causes with the same name are shared: one draw hits everything that carries it.
struct Errors {
    std::string cutter;          ///< a cutter that is larger than believed takes the same from every edge it cuts
    double cutter_radius_sd = 0; ///< mm; the largest of those given for a cutter counts
    double edge_sd = 0;          ///< mm, of this solid alone, the same all around it
    std::string setup;           ///< the machine's scale error in this setup
    double scale_sd = 0;         ///< strain
    Growth growth;               ///< mean
    std::vector<Swing> swings;   ///< about the mean: humidities and temperatures
};

struct AssemblyPiece {
    std::string id;
    plane::Polygon as_cut;
    Errors errors;
};

struct AssemblyWall {
    plane::Shape as_cut; ///< the recess; empty: no tray, nothing holds the set together but itself
    Errors errors;       ///< of the tray's solid: a larger cutter makes the solid smaller and the recess larger
};

struct AssemblyOptions {
    double spacing = 0.25; ///< mm between contacts looked at; at most a sixth of the smallest cutter radius
    double reach = 1.2;    ///< mm; contacts further apart than this cannot matter
    double most_shift = 2; ///< mm
    double most_turn_deg = 1;
    double needed = 0; ///< mm of slack for a draw to count as going together
    int samples = 0;   ///< of the Monte Carlo run; 0: none
    std::uint64_t seed = 1;
    int threads = 0;
};

/// A seam that holds the set at its slack; `share` of the contact force, 0 to 1.
struct TightSeam {
    std::string a, b; ///< piece ids; b may be "tray"
    double share = 0;
};

struct Pose {
    double x = 0, y = 0; ///< mm, shift
    double turn_deg = 0; ///< about the piece's own centre of area, counter-clockwise
};

struct Assembly {
    double slack = 0; ///< mm: true smallest gap after moving; negative: interference
    bool goes_together = false;
    double linear_slack = 0;      ///< mm, what the linear program says; the difference is its error
    std::vector<TightSeam> tight; ///< largest share first
    std::vector<Pose> poses;      ///< in the order of the pieces
    // Monte Carlo; samples = 0: not run.
    int samples = 0;
    std::uint64_t seed = 0;
    double chance = 0;                                 ///< share of the draws with slack above `needed`
    double chance_low = 0, chance_high = 0;            ///< 95 % interval (Wilson 1927)
    double slack_p5 = 0, slack_p50 = 0, slack_p95 = 0; ///< mm
    double accuracy = 0; ///< mm: largest difference of linear and true slack over the first draws
};

/// Fails on no pieces, or numbers that are not finite.
[[nodiscard]] Result<Assembly> assemble(const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall,
                                        const AssemblyOptions& options = {});

} // namespace kerfwright::fit
