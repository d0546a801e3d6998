#pragma once
// Chatter: how deep a cutter may cut before it regenerates its own waves. Zero-order solution of Altintas and Budak
// (CIRP Annals 44(1), 1995; Altintas, Manufacturing Automation, 2nd ed. 2012, ch. 4). Its floor is true to about 13 %,
// its pockets to about 35 % (checked against time-domain simulation); at small radial immersion it misses period-2
// lobes. Frequencies in Hz, stiffness in N/m, receptances in m/N, coefficients in N/mm², depths in mm, speeds in
// rev/min.

#include <complex>
#include <vector>

namespace kerfwright::cutting {

/// One mode of a tool point: receptance (a + b s)/(s² + 2 ζ ωn s + ωn²) at s = iω.
struct Mode {
    double frequency = 0; ///< natural, Hz
    double damping = 0;   ///< ratio ζ
    double a = 0, b = 0;
};
/// From stiffness: a = ωn²/k, b = 0. `share` scales it (cos² of the angle to the direction of interest).
[[nodiscard]] Mode mode_of_stiffness(double frequency, double damping, double stiffness, double share = 1);
/// From a residue σ + iν of a modal fit: a = 2 (ζ ωn σ - ωd ν), b = 2 σ.
[[nodiscard]] Mode mode_of_residue(double frequency, double damping, std::complex<double> residue);

using Modes = std::vector<Mode>;
[[nodiscard]] std::complex<double> receptance(const Modes& modes, double frequency);

struct MillingSystem {
    Modes x, y; ///< along the feed and across it; empty is rigid
    int teeth = 2;
    double ktc = 600;                                ///< N/mm²
    double kr = 0.3;                                 ///< radial over tangential: krc/ktc
    double entry = 0, exit = 3.14159265358979323846; ///< rad, as in force.hpp
    double frequency_from = 0;                       ///< Hz; lobes of slower vibrations are left out
};

/// One point of the border between quiet and chattering.
struct LobePoint {
    double n = 0, depth = 0, frequency = 0;
    int lobe = 0;
};

/// The unconditional limit: no speed chatters below it. `n` is that of lobe 0. Depth 0 when nothing is flexible.
[[nodiscard]] LobePoint stability_floor(const MillingSystem& system);
/// The border at one speed: the least depth over all lobes.
[[nodiscard]] LobePoint depth_limit(const MillingSystem& system, double n);
/// The border at `count` speeds from n_low to n_high, evenly spaced in the logarithm, in one pass: depths within 2 % of
/// depth_limit's. Depth 1e300 where no lobe reaches.
[[nodiscard]] std::vector<LobePoint> lobe_envelope(const MillingSystem& system, double n_low, double n_high, int count);
/// The deepest pockets between n_low and n_high, deepest first, at most `count`, at least 3 % apart.
[[nodiscard]] std::vector<LobePoint> quiet_speeds(const MillingSystem& system, double n_low, double n_high,
                                                  int count = 3);

/// Turning, shaping: a = -1/(2 Kf Re G) where Re G < 0; the least of it and its frequency. `n` is that of lobe 0.
[[nodiscard]] LobePoint turning_floor(const Modes& oriented, double kf);
/// Phase between the waves of successive cuts at a chatter frequency, rad: ε = 3π + 2 atan2(Im G, Re G).
[[nodiscard]] double turning_phase(const Modes& oriented, double frequency);

/// What a line in a recording says: whole waves between teeth and the phase left over, of f_c = f_T (k + ε/2π).
struct ChatterSign {
    double tooth_passing = 0; ///< Hz
    int waves = 0;
    double phase = 0; ///< rad
};
[[nodiscard]] ChatterSign chatter_sign(double frequency, int teeth, double n);

} // namespace kerfwright::cutting
