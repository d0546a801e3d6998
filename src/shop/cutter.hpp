#pragma once
// Cutters, by the symbols of ISO 13399.

#include "base/result.hpp"
#include "shop/value.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

enum class CutterKind { flat, ball, tapered, drill, clearing };
[[nodiscard]] const char* to_string(CutterKind kind);

struct Cutter {
    std::string name;  ///< "flat-6"
    std::string title; ///< "flat end mill 6 mm, two teeth"
    CutterKind kind = CutterKind::flat;
    std::string
        family;    ///< "flat", "single-flute", "compression", "laminate", "clearing", "drill": what a material asks for
    double DC = 6; ///< cutting diameter, mm
    int ZEFP = 2;  ///< teeth that cut the periphery
    double APMX = 20;           ///< usable depth of cut, mm
    double LPR = 30;            ///< protruding length from the collet, mm
    double DCON = 6;            ///< shank diameter, mm
    double helix = 30;          ///< degrees; positive lifts chips (up-cut), negative presses down, 0 is straight
    double tip_angle = 180;     ///< degrees, drills; 180 is flat
    double taper = 0;           ///< degrees per side
    double edge_radius = 0.005; ///< mm
    double runout = 0.02;       ///< mm, total indicator reading at the tip
    double up_length = 0;       ///< mm from the tip that lifts chips before the flutes turn; compression cutters only
    double chip_room = 0.45;    ///< flutes' share of the cutter's circle, where chips can go
    double n_max = 30000;       ///< rev/min marked on the tool; 0: not marked
    bool centre_cutting = true; ///< may plunge straight down
    double max_ramp = 90;       ///< degrees
    bool carbide = true;
    double elastic_modulus = 600'000; ///< MPa
    double strength = 1000;           ///< MPa, design bending strength
    double price = 0;
    std::vector<std::string> sources; ///< where its numbers come from
    [[nodiscard]] double radius() const { return DC / 2; }
};

/// The [[cutter]] tables of a TOML text; as read_materials.
[[nodiscard]] Result<std::vector<Cutter>> read_cutters(std::string_view toml, const std::string& file);

} // namespace kerfwright::shop
