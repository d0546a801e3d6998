#pragma once
// Sheet materials as the cut, the hold and the fit need them.

#include "base/result.hpp"
#include "shop/evidence.hpp"
#include "shop/value.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

enum class MaterialKind { wood, panel, plastic, metal, laminate };
[[nodiscard]] const char* to_string(MaterialKind kind);

/// Specific cutting force, one of two forms; forces in N, h and widths in mm.
struct CuttingForce {
    enum class Form {
        kienzle,    ///< kc = kc11 * h^-mc (Kienzle 1952)
        linear_edge ///< dF = (Ktc h + Kte) db and likewise radial, axial (Altintas 2012)
    } form = Form::kienzle;
    Sourced kc11, mc;                     ///< N/mm², 1
    Sourced ktc, kte, krc, kre, kac, kae; ///< N/mm², N/mm, ...; axial ones at a helix of 30 degrees
    double radial_ratio = 0.4;            ///< radial over tangential force where krc, kre are not given (0)
};

struct Material {
    std::string name;  ///< as in the job file: "birch-plywood"
    std::string title; ///< for people: "birch plywood"
    MaterialKind kind = MaterialKind::panel;
    bool grain = false; ///< pieces keep their direction on the sheet
    Sourced density;    ///< kg/m³
    CuttingForce force;
    Sourced fz_min, fz_max;               ///< mm/tooth at DC = 6 mm in a slot; scales with DC (see fz_scale)
    double fz_scale_exponent = 0.7;       ///< fz limits scale with (DC / 6 mm)^exponent; common practice
    Sourced vc_min, vc_max;               ///< m/min
    Sourced hmin_over_edge;               ///< minimum chip thickness over edge radius
    Sourced ap_over_dc;                   ///< largest depth per pass in a slot over DC
    std::optional<Sourced> softening;     ///< °C: glass transition, heat distortion or melting, what comes first
    std::optional<Sourced> specific_heat; ///< J/(kg K); needed where `softening` is given
    std::optional<Sourced> conductivity;  ///< W/(m K); needed where `softening` is given
    Sourced chip_bulk;                    ///< loose volume of chips over solid volume
    bool chips_pack = false;              ///< dust packs a slot: light passes and a wider slot
    std::optional<Sourced> tensile, bending, shear; ///< MPa; strength for tabs and skins
    Sourced elastic_modulus;                        ///< MPa
    Sourced tape_factor; ///< share of the tape's strength that its surface lets work; 0 forbids tape
    Sourced friction;    ///< against MDF
    bool skin_allowed = true;
    Sourced tab_thickness, tab_width; ///< mm
    Sourced min_wall;                 ///< mm, narrowest wall that survives cutting and handling
    Sourced thickness_tolerance;      ///< ± mm, of a sheet as bought
    Sourced movement_along,
        movement_across;               ///< fraction per % of moisture content (wood) or of RH (panels); 0 for the rest
    bool movement_by_moisture = false; ///< true: per % of moisture content; false: per % RH
    Sourced expansion;                 ///< 1e-6 / K in the plane
    Sourced cutter_life;               ///< m of path for a carbide edge
    Sourced price_per_m2;              ///< for a quote where the sheet names no price
    std::vector<std::string>
        cutters; ///< kinds of cutter that suit it, best first: "flat", "single-flute", "compression", "laminate"
    std::vector<std::string> cautions; ///< sentences for the papers
    std::vector<CutterEvidence> tried; ///< by the shop's log; empty without one
    std::vector<HoldEvidence> held;    ///< likewise
};

/// The [[material]] tables of a TOML text; `file` is for messages. Fails on the first fault: a missing or unknown key,
/// a value out of its range, a name given twice, no material at all. [[cutter]] and [[machine]] tables are left alone.
[[nodiscard]] Result<std::vector<Material>> read_materials(std::string_view toml, const std::string& file);

} // namespace kerfwright::shop
