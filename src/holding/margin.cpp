#include "holding/margin.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::holding {
namespace {

using plane::Vec;

constexpr double kMeanRadius = 0.85; ///< mean radius over radius of gyration: 0.94 of a disc, 0.87 of a rod
constexpr double kVacuumEdge = 5;    ///< mm along the edge where suction leaks away (common practice)
constexpr double kGravity = 9.81e-9; ///< N per mm³ and kg/m³
constexpr double kMostMargin = 1e6;

/// Second moments of area about `about`, mm⁴; signed by the ring's sense.
struct SecondMoments {
    double xx = 0, yy = 0, xy = 0; ///< ∫ x², ∫ y², ∫ xy
};

void add_ring(SecondMoments& sum, const plane::Ring& ring, Vec about) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec a = plane::to_mm(ring[i]) - about, b = plane::to_mm(ring[(i + 1) % ring.size()]) - about;
        const double c = plane::cross(a, b);
        sum.xx += c * (a.x * a.x + a.x * b.x + b.x * b.x) / 12;
        sum.yy += c * (a.y * a.y + a.y * b.y + b.y * b.y) / 12;
        sum.xy += c * (2 * a.x * a.y + a.x * b.y + b.x * a.y + 2 * b.x * b.y) / 24;
    }
}

/// ∫ x² over a segment whose ends lie at x = a and b.
double square_moment(double a, double b, double length) {
    return (a * a + a * b + b * b) / 3 * length;
}

Vec normal_of(Vec a, Vec b) {
    const double length = plane::distance(a, b);
    return length > 0 ? Vec{(b.y - a.y) / length, (a.x - b.x) / length} : Vec{};
}

PartShape::Tip tip_of(const plane::Ring& ring, const PartShape& shape, const SecondMoments& moments, Vec up,
                      const SpanStrength& strength) {
    double least = 1e300, most = -1e300;
    for (const plane::Point& p : ring) {
        const double at = plane::dot(plane::to_mm(p) - shape.centre, up);
        least = std::min(least, at);
        most = std::max(most, at);
    }
    PartShape::Tip tip{most - least, -least, 0, 0};
    const double about_centre = moments.xx * up.x * up.x + 2 * moments.xy * up.x * up.y + moments.yy * up.y * up.y;
    tip.area_arm = (about_centre + shape.area * tip.arm * tip.arm) / tip.width;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec a = plane::to_mm(ring[i]), b = plane::to_mm(ring[(i + 1) % ring.size()]);
        tip.edge_arm += square_moment(plane::dot(a - shape.centre, up) - least,
                                      plane::dot(b - shape.centre, up) - least, plane::distance(a, b)) *
                        strength(normal_of(a, b));
    }
    tip.edge_arm /= tip.width;
    return tip;
}

double low(const std::optional<shop::Sourced>& strength) {
    return strength ? strength->low : 0;
}

/// What the holds stand, already over their safety factors.
struct Capacity {
    double slide = 0, twist = 0, lift = 0;            ///< N, N·mm, N
    std::array<double, PartShape::kDirections> tip{}; ///< N·mm
};

void add_tape(Capacity& c, const MarginInput& in, const Holds& holds) {
    if (holds.tape_share <= 0) return;
    const double area = in.shape->area * holds.tape_share * in.material->tape_factor.value / in.factors.tape;
    const double shear = in.machine->tape_shear * area, tension = in.machine->tape_tension * area;
    c.slide += shear;
    c.twist += shear * kMeanRadius * in.shape->gyration;
    c.lift += tension;
    for (std::size_t d = 0; d < c.tip.size(); ++d)
        c.tip[d] += tension / in.shape->area * in.shape->tips[d].area_arm;
}

void add_vacuum(Capacity& c, const MarginInput& in, const Holds& holds) {
    if (holds.vacuum_kpa <= 0) return;
    const double area = std::max(0.0, in.shape->area - kVacuumEdge * in.shape->perimeter);
    const double normal = vacuum_force(holds.vacuum_kpa, area) / in.factors.vacuum;
    c.slide += in.material->friction.low * normal;
    c.twist += in.material->friction.low * normal * kMeanRadius * in.shape->gyration;
    c.lift += normal;
    for (std::size_t d = 0; d < c.tip.size(); ++d)
        c.tip[d] += normal * in.shape->tips[d].arm;
}

void add_skin(Capacity& c, const MarginInput& in, const Holds& holds) {
    if (holds.skin <= 0) return;
    const double flow = low(in.material->shear) * holds.skin / in.factors.skin; // N/mm along the edge
    const double up = low(in.material->bending) * holds.skin * holds.skin / (3 * in.slot) / in.factors.skin;
    c.slide += flow * in.shape->perimeter;
    c.twist += flow * 2 * in.shape->area; // ∮ p ds = 2 A
    c.lift += up * in.shape->edge;
    for (std::size_t d = 0; d < c.tip.size(); ++d)
        c.tip[d] += up * in.shape->tips[d].edge_arm;
}

void add_tabs(Capacity& c, const MarginInput& in, const Holds& holds) {
    for (const Tab& tab : holds.tabs) {
        const TabStrength s =
            tab_strength(tab.width, tab.thickness, in.slot, low(in.material->tensile), low(in.material->bending));
        const Vec from_centre = tab.at - in.shape->centre;
        const double in_plane = std::min(s.pull, s.in_plane) / in.factors.tabs, up = s.lift / in.factors.tabs;
        c.slide += in_plane;
        c.twist += in_plane * plane::length(from_centre);
        c.lift += up;
        for (std::size_t d = 0; d < c.tip.size(); ++d) {
            const PartShape::Tip& tip = in.shape->tips[d];
            const double x = std::max(0.0, plane::dot(from_centre, direction(static_cast<int>(d))) + tip.arm);
            c.tip[d] += up * x * x / tip.width;
        }
    }
}

Capacity capacity_of(const MarginInput& in, const Holds& holds) {
    Capacity c;
    add_tape(c, in, holds);
    add_vacuum(c, in, holds);
    add_skin(c, in, holds);
    add_tabs(c, in, holds);
    return c;
}

double over(double demand, double capacity) {
    if (demand <= 0) return 0;
    return capacity > 0 ? demand / capacity : kMostMargin;
}

} // namespace

Vec direction(int index) {
    const double angle = 2 * std::numbers::pi * index / PartShape::kDirections;
    return {std::cos(angle), std::sin(angle)};
}

double SpanStrength::operator()(Vec normal) const {
    const double c = plane::dot(normal, grain), r = along_over_across;
    return r / (r * (1 - c * c) + c * c);
}

PartShape shape_of(const plane::Polygon& outline, const SpanStrength& strength) {
    PartShape shape;
    shape.area = plane::area(outline);
    shape.perimeter = plane::perimeter(outline.outer);
    shape.centre = plane::centroid(outline);
    SecondMoments moments;
    for (const plane::Ring& ring : plane::rings_of(outline))
        add_ring(moments, ring, shape.centre);
    shape.gyration = std::sqrt(std::max(0.0, (moments.xx + moments.yy) / shape.area));
    for (const plane::Point& p : outline.outer)
        shape.lever = std::max(shape.lever, plane::distance(plane::to_mm(p), shape.centre));
    for (std::size_t i = 0; i < outline.outer.size(); ++i) {
        const Vec a = plane::to_mm(outline.outer[i]), b = plane::to_mm(outline.outer[(i + 1) % outline.outer.size()]);
        shape.edge += plane::distance(a, b) * strength(normal_of(a, b));
    }
    for (int d = 0; d < PartShape::kDirections; ++d)
        shape.tips[static_cast<std::size_t>(d)] = tip_of(outline.outer, shape, moments, direction(d), strength);
    return shape;
}

Verdict margin_of(const MarginInput& in, const Holds& holds) {
    const double weight = kGravity * in.material->density.low * in.shape->area * in.thickness;

    Verdict verdict{kMostMargin, "", ""};
    const auto take = [&](double use, const char* moment, const char* weakest) {
        const double margin = use > 0 ? std::min(kMostMargin, 1 / (use * in.divisor)) : kMostMargin;
        if (verdict.moment[0] == '\0' || margin < verdict.margin) verdict = {margin, moment, weakest};
    };
    for (Moment m : in.moments) {
        Holds now = holds;
        if (holds.tabs.empty()) {
            now.skin += m.layer;
            m.force += m.layer_force;
            m.lift += m.layer_lift;
        }
        const Capacity c = capacity_of(in, now);
        const double slide = over(m.force, c.slide), twist = over(m.force * in.shape->lever, c.twist);
        take(slide + twist, m.name, slide >= twist ? "slide" : "twist");
        take(over(m.force, holds.sheet_force), m.name, "sheet");
        take(over(m.lift - weight, c.lift), m.name, "lift");
        double tip = 0;
        for (std::size_t d = 0; d < c.tip.size(); ++d) {
            const PartShape::Tip& pivot = in.shape->tips[d];
            tip = std::max(tip, over(m.lift * pivot.width + m.force * m.height - weight * pivot.arm, c.tip[d]));
        }
        take(tip, m.name, "tip");
    }
    if (verdict.margin < 1e-5) verdict.margin = 0; // nothing holds
    return verdict;
}

} // namespace kerfwright::holding
