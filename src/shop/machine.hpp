#pragma once
// The gantry router: what it can move, spin, and read.

#include "base/result.hpp"
#include "shop/value.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

/// One axis (X, Y, Z): mm/min, mm/s², mm/s³.
struct Axis {
    double travel = 600;
    double rapid = 6000;
    double feed_max = 5000;
    double acceleration = 400;
    double jerk = 5000;
};

/// A slice of the spindle's nose, dust shoe, nut or holder: a cylinder above the collet face.
struct Cylinder {
    std::string name;
    double diameter = 0;
    double from = 0, to = 0; ///< mm above the collet face (a shoe may reach below: negative)
};

struct Spindle {
    double n_min = 6000, n_max = 24000;
    double power = 1500;                ///< W at n_max
    double constant_power_from = 24000; ///< rev/min; below it torque is constant
    double efficiency = 0.8;
    double seconds_to_speed = 5;
    double speed_step = 100; ///< rev/min, what can be set
};

/// What the controller reads (ISO 6983 / NISTIR 6556 words).
struct Abilities {
    bool arcs = true;
    bool helical_arcs = true;
    bool tool_change = false; ///< false: one program per cutter
    bool line_numbers = false;
    bool inches = false;         ///< programs in G20
    int decimals = 3;            ///< of lengths
    std::string comments = "()"; ///< "()", ";" or "" for none
    int longest_line = 80;
    bool dwell = true;            ///< G4 P in seconds
    double arc_tolerance = 0.002; ///< mm, NISTIR 6556 §3.5.3: start and end radius may differ by this
};

/// A way in which a cutter's tip rings in this machine, from a tap or a measured frequency response. Zero-order
/// stability needs it (cutting/stability.hpp).
struct TipMode {
    std::string cutter;      ///< name of the cutter that was in the collet
    double LPR = 0;          ///< mm, the stick-out it was measured at; 0: the cutter's own
    bool x = true, y = true; ///< directions in which it rings
    double frequency = 0;    ///< natural, Hz
    double damping = 0;      ///< ratio
    double stiffness = 0;    ///< N/mm, modal, at the tip; 0: not measured, as in a tap that only a microphone heard
};

struct Machine {
    std::string name;
    std::string title;
    std::array<Axis, 3> axes; ///< X, Y, Z
    Spindle spindle;
    std::vector<Cylinder> stack; ///< from the collet face up
    Abilities abilities;
    double clearance_height = 5;      ///< mm above stock and clamps for rapids
    double corner_deviation = 0.05;   ///< mm, how far the controller rounds a corner at speed
    double stiffness = 1000;          ///< N/mm at the collet
    double collet_stiffness = 3000;   ///< N/mm
    double z_step = 0.01;             ///< mm
    double z_repeat = 0.02;           ///< mm, standard deviation of the Z zero
    double bed_flatness = 0.1;        ///< mm, low to high over the bed
    double bed_allowance = 0.3;       ///< mm, how deep programs may cut into the spoilboard
    double tape_shear = 0.030;        ///< MPa allowable, already factored
    double tape_tension = 0.020;      ///< MPa
    double hour_rate = 45;            ///< money per hour
    std::vector<TipMode> modes;       ///< as measured; empty: nothing is known of chatter
    std::vector<std::string> sources; ///< where its numbers come from
};

/// The [[machine]] tables of a TOML text; as read_materials.
[[nodiscard]] Result<std::vector<Machine>> read_machines(std::string_view toml, const std::string& file);

/// Power the spindle gives at n, W: constant torque up to constant_power_from, constant power above.
[[nodiscard]] double power_at(const Spindle& spindle, double n);

} // namespace kerfwright::shop
