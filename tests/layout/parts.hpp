#pragma once
// Made-up parts and sheets for the tests of layout/, and an independent judge of layouts by GEOS.

#include "support/geos.hpp"

#include "base/random.hpp"
#include "layout/layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

namespace kerfwright::layout {

/// A wobbly outline of about `radius` mm, star-shaped about the origin, some way off the origin of the drawing.
inline plane::Ring blob(Random& random, double radius, int points) {
    double phase[6];
    for (double& p : phase)
        p = random.uniform(0, 2 * std::numbers::pi);
    const double stretch = random.uniform(0.6, 1.0);
    const plane::Vec at{random.uniform(-500, 500), random.uniform(-500, 500)};
    plane::Ring ring;
    for (int i = 0; i < points; ++i) {
        const double t = 2 * std::numbers::pi * i / points;
        double r = 1;
        for (int k = 0; k < 6; ++k)
            r += 0.25 / (k + 1) * std::cos((k + 2) * t + phase[k]);
        r = std::max(0.2, r) * radius;
        ring.push_back(plane::to_grid(at + plane::Vec{r * std::cos(t), stretch * r * std::sin(t)}));
    }
    return ring;
}

inline Part part(const std::string& id, const std::string& material, plane::Ring outer, double kerf = 3) {
    Part p;
    p.id = id;
    p.material = material;
    p.outline = {std::move(outer), {}};
    p.kerf = kerf;
    return p;
}

inline Part box_part(const std::string& id, const std::string& material, plane::Vec size, double kerf = 3) {
    return part(id, material, plane::rectangle({0, 0}, size), kerf);
}

inline shop::Sheet sheet(const std::string& name, const std::string& material, plane::Vec size, double thickness = 6) {
    shop::Sheet s;
    s.name = name;
    s.material = material;
    s.outline = {plane::rectangle({0, 0}, size), {}};
    s.thickness = thickness;
    return s;
}

inline const Placed* find(const std::vector<Placed>& placed, const std::string& id) {
    const auto at = std::find_if(placed.begin(), placed.end(), [&](const Placed& p) { return p.id == id; });
    return at == placed.end() ? nullptr : &*at;
}

#ifdef KERFWRIGHT_HAS_GEOS
/// The first rule that the layout breaks by GEOS's distances, or "" for none.
inline std::string broken_rule(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                               const std::vector<Placed>& placed, const LayoutOptions& options) {
    constexpr double kRounding = 2e-4;
    const oracle::Geos geos;
    if (placed.size() != parts.size()) return "not every part is placed";
    struct One {
        const Part* part;
        const shop::Sheet* sheet;
        oracle::Geos::Geometry shape;
    };
    std::vector<One> all;
    for (const Part& p : parts) {
        const Placed* at = find(placed, p.id);
        if (at == nullptr) return p.id + " is missing";
        const auto s =
            std::find_if(sheets.begin(), sheets.end(), [&](const shop::Sheet& x) { return x.name == at->sheet; });
        if (s == sheets.end()) return p.id + " is nowhere";
        if (s->material != p.material) return p.id + " is on another material";
        if (p.thickness > 0 && std::abs(p.thickness - s->thickness) > 0.0101) return p.id + " is on another thickness";
        if (p.keep_grain) {
            // sin of twice half a turn: the part's direction, turned with it, is the sheet's or its opposite.
            const double off = (p.grain_deg + at->placement.angle_deg - s->grain_deg) * std::numbers::pi / 180;
            if (std::abs(std::sin(off)) > 1e-9) return p.id + " is across the grain";
        }
        all.push_back({&p, &*s, geos.polygon(plane::placed(p.outline, at->placement))});
    }
    for (const One& a : all) {
        const auto stock = geos.polygon(a.sheet->outline);
        if (geos.difference_area(a.shape, stock) > 0) return a.part->id + " leaves the sheet";
        plane::Polygon rim{plane::rectangle({-1e4, -1e4}, {1e4, 1e4}), {plane::reversed(a.sheet->outline.outer)}};
        if (geos.distance(a.shape, geos.polygon(rim)) < options.edge + a.part->kerf - kRounding)
            return a.part->id + " is too near the edge";
        for (const shop::Clamp& clamp : a.sheet->clamps) {
            const auto box = geos.polygon({plane::rectangle(clamp.at, clamp.at + clamp.size), {}});
            if (geos.distance(a.shape, box) < options.clamp_room + a.part->kerf - kRounding)
                return a.part->id + " is too near a clamp";
        }
        for (const One& b : all) {
            if (a.part == b.part || a.sheet != b.sheet) continue;
            if (geos.distance(a.shape, b.shape) < std::max(a.part->kerf, b.part->kerf) - kRounding)
                return a.part->id + " is too near " + b.part->id;
        }
    }
    return "";
}
#endif

} // namespace kerfwright::layout
