#pragma once
// The margin of one part under one set of holds. Private to holding/.

#include "holding/holding.hpp"
#include "holding/holds.hpp"

#include <array>

namespace kerfwright::holding {

/// How a skin's bending strength goes with the direction of the slot it spans. Along the grain wood is many times
/// stronger than across; between, by Hankinson's formula (1921; in the Wood Handbook, from memory):
/// σ(θ) = σ0 σ90/(σ0 sin²θ + σ90 cos²θ), θ between span and grain.
struct SpanStrength {
    double along_over_across = 1;
    plane::Vec grain{1, 0};                                   ///< unit vector
    [[nodiscard]] double operator()(plane::Vec normal) const; ///< over that across the grain; `normal` to the edge
};

/// Measures of a part that do not change while holds are tried.
struct PartShape {
    static constexpr int kDirections = 72; ///< of a turn: every 5°
    double area = 0, perimeter = 0;        ///< mm², mm
    plane::Vec centre;                     ///< of area
    double gyration = 0;                   ///< mm, polar
    double lever = 0;                      ///< mm, from the centre to the farthest place of the edge
    double edge = 0;                       ///< mm, the outline weighted by the strength of the skin that spans its slot
    /// For each direction the part tips that way up about the far side of its outline, which stays on the bed.
    struct Tip {
        double width = 0;    ///< mm from the pivot to the lifted side
        double arm = 0;      ///< mm from the pivot to the centre
        double area_arm = 0; ///< mm³, ∫ x²/width dA: holds that work on the area, in proportion to their lift
        double edge_arm = 0; ///< mm², ∮ x²/width ds, weighted like `edge`: a skin
    };
    std::array<Tip, kDirections> tips;
};
[[nodiscard]] PartShape shape_of(const plane::Polygon& outline, const SpanStrength& strength = {});
[[nodiscard]] plane::Vec direction(int index);

/// What holds the part.
struct Holds {
    double tape_share = 0; ///< of the part's area times the material's tape factor; 0 without tape
    double vacuum_kpa = 0;
    double skin = 0; ///< mm, as thin as it may turn out
    std::vector<Tab> tabs;
    double sheet_force = 1e300; ///< N in the plane that the sheet itself stands, factored
};

/// One moment of the work.
struct Moment {
    const char* name;
    double force = 0;  ///< N in the plane
    double lift = 0;   ///< N, upwards
    double height = 0; ///< mm above the bed where the force acts
    // Without tabs a last layer stays until finishing (kLastLayer); with tabs none of this counts.
    double layer = 0;       ///< mm that hold like a skin at this moment, as thin as it may turn out
    double layer_force = 0; ///< N in the plane, besides, of taking the layer
    double layer_lift = 0;  ///< N
};

struct Verdict {
    double margin = 0;
    const char* moment = "";
    const char* weakest = "";
};

struct MarginInput {
    const PartShape* shape;
    const shop::Material* material;
    const shop::Machine* machine;
    double thickness = 0, slot = 0; ///< mm
    SafetyFactors factors;
    std::vector<Moment> moments;
    double divisor = 1; ///< what the shop's log says that margins of this kind are too large by
};

/// Margin over the moments: 1 over the largest use. In the plane: F/H + F e/T (slide and twist). Out of it: L/V (lift)
/// and (L w + F z)/M (tip) about the worst pivot, holds pulling in proportion to how far they are lifted. H, T, V, M
/// are sums over the holds with their factors; weight helps.
[[nodiscard]] Verdict margin_of(const MarginInput& input, const Holds& holds);

} // namespace kerfwright::holding
