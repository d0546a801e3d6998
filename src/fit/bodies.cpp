#include "fit/bodies.hpp"

#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace kerfwright::fit {
namespace {

Problem problem(std::string what, std::string remedy) {
    return {"", 0, 0, std::move(what), std::move(remedy)};
}

std::optional<Problem> check(const std::vector<RegionToFit>& regions, const FitRules& rules) {
    const auto length_within = [](double v, double low, double high) {
        return std::isfinite(v) && v >= low && v <= high;
    };
    if (!length_within(rules.clearance, 0, 20))
        return problem("the clearance must be 0 to 20 mm", "set [fit] clearance");
    if (rules.tray && !length_within(rules.tray_clearance, 0, 20))
        return problem("the tray clearance must be 0 to 20 mm", "set [fit] tray_clearance");
    if (rules.tray && rules.tray_clearance < rules.clearance / 2)
        return problem("the tray clearance is smaller than half the clearance between pieces",
                       "set tray_clearance to at least half of clearance");
    if (!length_within(rules.detail, 0, 1000)) return problem("detail must be 0 to 1000 mm", "set [fit] detail");
    if (rules.tray && !length_within(rules.tray_cutter_radius, 1e-3, 100))
        return problem("the radius of the cutter that finishes the tray wall must be 0.001 to 100 mm",
                       "choose another cutter");
    if (regions.empty()) return problem("there is no region to fit", "draw at least one closed region");
    std::set<std::string> names;
    for (const RegionToFit& region : regions) {
        if (!names.insert(region.name).second)
            return problem(fmt::format("two regions are named '{}'", region.name), "give each region its own name");
        if (!length_within(region.cutter_radius, 1e-3, 100))
            return problem(fmt::format("the cutter radius for region '{}' must be 0.001 to 100 mm", region.name),
                           "choose another cutter");
        if (plane::area(region.shape) <= 0)
            return problem(fmt::format("region '{}' has no area", region.name),
                           "draw it as a closed outline or leave it out");
    }
    return std::nullopt;
}

/// The parts of a region, largest first; ties by place, so that ids do not depend on the order of drawing.
plane::Shape by_size(plane::Shape shape) {
    std::sort(shape.begin(), shape.end(), [](const plane::Polygon& a, const plane::Polygon& b) {
        const double area_a = plane::area(a);
        const double area_b = plane::area(b);
        if (area_a != area_b) return area_a > area_b;
        return *std::min_element(a.outer.begin(), a.outer.end()) < *std::min_element(b.outer.begin(), b.outer.end());
    });
    return shape;
}

/// The union of shapes that share their borders: edges that run both ways cancel, what is left is the outer border
/// (and whatever the drawing did not share exactly, which the library's union then mends).
plane::Shape united_by_borders(const std::vector<plane::Shape>& shapes) {
    using DirectedEdge = std::pair<plane::Point, plane::Point>;
    std::vector<DirectedEdge> edges;
    for (const plane::Shape& shape : shapes)
        for (const plane::Ring& ring : plane::rings_of(shape))
            for (std::size_t k = 0; k < ring.size(); ++k)
                edges.emplace_back(ring[k], ring[(k + 1) % ring.size()]);
    std::sort(edges.begin(), edges.end());
    std::vector<DirectedEdge> left;
    for (const DirectedEdge& edge : edges)
        if (!std::binary_search(edges.begin(), edges.end(), DirectedEdge{edge.second, edge.first}))
            left.push_back(edge);
    // As many edges leave a point as reach it, so that any way of following them closes.
    std::vector<bool> used(left.size(), false);
    std::vector<plane::Ring> rings;
    const auto leaving = [&](plane::Point p) {
        auto it = std::lower_bound(left.begin(), left.end(), p,
                                   [](const DirectedEdge& e, plane::Point q) { return e.first < q; });
        for (; it != left.end() && it->first == p; ++it)
            if (!used[static_cast<std::size_t>(it - left.begin())]) return static_cast<std::size_t>(it - left.begin());
        return left.size();
    };
    for (std::size_t start = 0; start < left.size(); ++start) {
        if (used[start]) continue;
        plane::Ring ring;
        for (std::size_t e = start; e != left.size(); e = leaving(left[e].second)) {
            used[e] = true;
            ring.push_back(left[e].first);
        }
        rings.push_back(std::move(ring));
    }
    return plane::normal(rings);
}

} // namespace

Result<Bodies> make_bodies(const std::vector<RegionToFit>& regions, const FitRules& rules) {
    if (auto fault = check(regions, rules)) return *fault;
    Bodies bodies;
    plane::Box box;
    double total = 0;
    std::vector<plane::Shape> shapes;
    for (const RegionToFit& region : regions) {
        // Parts that touch in a point are parts all the same: they are cut as two pieces.
        const plane::Shape parts = by_size(region.shape);
        for (std::size_t k = 0; k < parts.size(); ++k) {
            const std::string id = parts.size() == 1 ? region.name : fmt::format("{}.{}", region.name, k + 1);
            bodies.all.push_back({id, region.name, {parts[k]}, region.cutter_radius, rules.clearance / 2});
        }
        extend(box, plane::bounds(region.shape));
        total += plane::area(region.shape);
        shapes.push_back(region.shape);
    }
    std::sort(bodies.all.begin(), bodies.all.end(), [](const Body& a, const Body& b) { return a.id < b.id; });
    for (std::size_t i = 1; i < bodies.all.size(); ++i)
        if (bodies.all[i].id == bodies.all[i - 1].id)
            return problem(fmt::format("two pieces would be named '{}'", bodies.all[i].id), "rename a region");

    const plane::Shape whole = united_by_borders(shapes);
    // Rounding of the borders to the grid costs at most about a grid step along them.
    if (const double overlap = total - plane::area(whole); overlap > 1e-3 + 4 * plane::kGrid * plane::perimeter(whole))
        return problem(fmt::format("regions of the drawing overlap by {:.3f} mm²", overlap), "clean the drawing first");

    const double far = 10 + 6 * (rules.tray_cutter_radius + rules.tray_clearance);
    bodies.frame = plane::rectangle(plane::grown(box, far).low, plane::grown(box, far).high);
    if (rules.tray) {
        bodies.tray = bodies.all.size();
        bodies.all.push_back({kTrayName, "", plane::subtract({{bodies.frame, {}}}, whole), rules.tray_cutter_radius,
                              rules.tray_clearance - rules.clearance / 2});
    }
    return bodies;
}

} // namespace kerfwright::fit
