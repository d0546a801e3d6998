// DXF entities as chains (DXF reference, ENTITIES section: group codes of each).

#include "drawing/dxf_record.hpp"
#include "drawing/spline.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>

namespace kerfwright::drawing {

DxfValues::DxfValues(const std::vector<Group>& groups, const Record& record, const std::string& file,
                     std::optional<Problem>& problem)
    : record_(record), begin_(groups.data() + record.first), end_(groups.data() + record.last), file_(file),
      problem_(problem) {
    end_ = std::find_if(begin_, end_, [](const Group& g) { return g.code == 101 || g.code >= 1000; });
}

const Group* DxfValues::find(int code) const {
    const Group* found = std::find_if(begin_, end_, [&](const Group& g) { return g.code == code; });
    return found == end_ ? nullptr : found;
}

std::string_view DxfValues::text(int code) const {
    const Group* group = find(code);
    return group == nullptr ? std::string_view{} : group->value;
}

double DxfValues::number(int code, double otherwise) const {
    const Group* group = find(code);
    return group == nullptr ? otherwise : number(*group);
}

double DxfValues::number(const Group& group) const {
    std::string_view text = group.value;
    const auto blank = [](char c) { return c == ' ' || c == '\t'; };
    while (!text.empty() && blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && blank(text.back()))
        text.remove_suffix(1);
    if (!text.empty() && text.front() == '+') text.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error == std::errc{} && end == text.data() + text.size() && std::isfinite(value)) return value;
    if (!problem_)
        problem_ = Problem{
            file_, group.line, 0,
            fmt::format("'{}' is no number (group {} of {})", plain_text(text.substr(0, 40)), group.code, record_.type),
            "mend the value, or save the drawing again"};
    return 0;
}

int DxfValues::whole(int code, int otherwise) const {
    return static_cast<int>(std::clamp(number(code, otherwise), -2147483647.0, 2147483647.0));
}

Vec3 DxfValues::point(int code) const {
    return {number(code), number(code + 10), number(code + 20)};
}

namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kDegree = std::numbers::pi / 180;

/// The counter-clockwise sweep from one angle to another, above 0 and up to a full turn.
double sweep_between(double from, double to) {
    double sweep = std::fmod(to - from, kTurn);
    if (sweep <= 1e-12) sweep += kTurn;
    return std::min(sweep, kTurn);
}

Chain arc_chain(Vec centre, Vec u, Vec v, double start, double sweep) {
    const auto at = [&](double t) { return centre + u * std::cos(t) + v * std::sin(t); };
    if (sweep >= kTurn - 1e-9) return full_ellipse(centre, u, v);
    return {at(start), {EllipseArc{centre, u, v, start, sweep, at(start + sweep)}}, false};
}

/// A vertex of a polyline in its own plane, and the bulge of the edge that leaves it.
struct Vertex {
    Vec at;
    double bulge = 0;
};

Chain polyline_chain(const std::vector<Vertex>& vertices, bool closed) {
    if (vertices.size() < 2) return {};
    Chain chain{vertices[0].at, {}, closed};
    const std::size_t edges = closed ? vertices.size() : vertices.size() - 1;
    for (std::size_t i = 0; i < edges; ++i)
        chain.pieces.push_back(bulged(vertices[i].at, vertices[(i + 1) % vertices.size()].at, vertices[i].bulge));
    return chain;
}

DxfShape light_polyline(const DxfValues& values, const Affine3& map) {
    std::vector<Vertex> vertices;
    for (const Group& group : values) {
        if (group.code == 10) vertices.push_back({{values.number(group), 0}, 0});
        if (vertices.empty()) continue;
        if (group.code == 20) vertices.back().at.y = values.number(group);
        if (group.code == 42) vertices.back().bulge = values.number(group);
    }
    const Affine plane = seen(map * object_coordinates(values.normal()), values.number(38));
    return {{mapped(plane, polyline_chain(vertices, (values.whole(70) & 1) != 0))}, ""};
}

DxfShape heavy_polyline(const DxfValues& values, const std::vector<DxfValues>& parts, const Affine3& map) {
    const int flags = values.whole(70);
    if ((flags & (16 | 64)) != 0) return {{}, "is a mesh; only outlines are cut"};
    const bool space = (flags & 8) != 0, closed = (flags & 1) != 0;
    std::vector<Vertex> vertices;
    for (const DxfValues& part : parts) {
        if ((part.whole(70) & 16) != 0) continue; // control frame of a fitted spline
        if (space)
            vertices.push_back({seen(map(part.point(10))), 0});
        else
            vertices.push_back({{part.number(10), part.number(20)}, part.number(42)});
    }
    Chain chain = polyline_chain(vertices, closed);
    if (!space) chain = mapped(seen(map * object_coordinates(values.normal()), values.number(30)), std::move(chain));
    return {{std::move(chain)}, ""};
}

DxfShape ellipse(const DxfValues& values, const Affine3& map) {
    const Vec3 centre = values.point(10), major = values.point(11);
    const Vec3 minor = cross(unit(values.normal()), major) * values.number(40, 1);
    const double start = values.number(41, 0), end = values.number(42, kTurn);
    return {{arc_chain(seen(map(centre)), seen(map.turned(major)), seen(map.turned(minor)), std::fmod(start, kTurn),
                       sweep_between(start, end))},
            ""};
}

/// SOLID and TRACE: a filled quadrangle whose last two corners are crossed over.
DxfShape solid(const DxfValues& values, const Affine3& map) {
    const Affine3 world = map * object_coordinates(values.normal());
    Chain chain{seen(world(values.point(10))), {}, true};
    for (const int code : {11, 13, 12})
        if (code != 13 || values.has(13)) chain.pieces.emplace_back(Line{seen(world(values.point(code)))});
    return {{std::move(chain)}, ""};
}

DxfShape spline(const DxfValues& values, const Affine3& map, const std::string& file, std::optional<Problem>& problem) {
    std::vector<double> knots, weights;
    std::vector<Vec3> points, through;
    for (const Group& group : values) {
        std::vector<Vec3>& list = group.code % 10 == 0 ? points : through;
        switch (group.code) {
        case 40:
            knots.push_back(values.number(group));
            break;
        case 41:
            weights.push_back(values.number(group));
            break;
        case 10:
        case 11:
            list.push_back({values.number(group), 0, 0});
            break;
        case 20:
        case 21:
            if (!list.empty()) list.back().y = values.number(group);
            break;
        case 30:
        case 31:
            if (!list.empty()) list.back().z = values.number(group);
            break;
        default:
            break;
        }
    }
    const bool closed = (values.whole(70) & 1) != 0;
    if (points.empty()) {
        std::vector<Vec> flat;
        for (const Vec3 p : through)
            flat.push_back(seen(map(p)));
        const Vec start = seen(map.turned(values.point(12))), end = seen(map.turned(values.point(13)));
        return {{spline_through(std::move(flat), closed, start, end)},
                "has fit points only; it was taken as the cubic spline through them"};
    }
    const int degree = values.whole(71, 3);
    const auto refuse = [&](const std::string& what) {
        if (!problem)
            problem = Problem{file, values.record().line, 0, "SPLINE: " + what,
                              "draw the curve again, or turn it to a polyline"};
        return DxfShape{};
    };
    if (degree < 1 || degree > kMostDegree)
        return refuse(fmt::format("degree {} (1 to {} can be read)", degree, kMostDegree));
    if (points.size() < static_cast<std::size_t>(degree) + 1)
        return refuse(fmt::format("{} control points are too few for degree {}", points.size(), degree));
    if (knots.size() != points.size() + static_cast<std::size_t>(degree) + 1)
        return refuse(
            fmt::format("{} knots do not fit {} control points of degree {}", knots.size(), points.size(), degree));
    if (!std::is_sorted(knots.begin(), knots.end())) return refuse("its knots do not rise");
    if (!weights.empty() && weights.size() != points.size())
        return refuse("it has not one weight for each control point");
    if (std::any_of(weights.begin(), weights.end(), [](double w) { return !(w > 0); }))
        return refuse("a weight is not above 0");
    std::vector<Rational::Control> controls;
    for (std::size_t i = 0; i < points.size(); ++i)
        controls.push_back({seen(map(points[i])), weights.empty() ? 1 : weights[i]});
    Chain chain = spline_chain(degree, knots, controls);
    chain.closed = closed;
    return {{std::move(chain)}, ""};
}

} // namespace

bool is_dxf_shape(std::string_view type) {
    constexpr std::array<std::string_view, 9> kShapes{"LINE",     "ARC",    "CIRCLE", "ELLIPSE", "LWPOLYLINE",
                                                      "POLYLINE", "SPLINE", "SOLID",  "TRACE"};
    return std::find(kShapes.begin(), kShapes.end(), type) != kShapes.end();
}

DxfShape dxf_shape(const DxfValues& values, const std::vector<DxfValues>& parts, const Affine3& map,
                   const std::string& file, std::optional<Problem>& problem) {
    const std::string_view type = values.record().type;
    if (type == "LINE") return {{Chain{seen(map(values.point(10))), {Line{seen(map(values.point(11)))}}, false}}, ""};
    if (type == "LWPOLYLINE") return light_polyline(values, map);
    if (type == "POLYLINE") return heavy_polyline(values, parts, map);
    if (type == "ELLIPSE") return ellipse(values, map);
    if (type == "SPLINE") return spline(values, map, file, problem);
    if (type == "SOLID" || type == "TRACE") return solid(values, map);
    // CIRCLE and ARC
    const Affine plane = seen(map * object_coordinates(values.normal()), values.number(30));
    const double radius = values.number(40);
    const Vec centre = plane({values.number(10), values.number(20)}), u = plane.turned({radius, 0}),
              v = plane.turned({0, radius});
    if (type == "CIRCLE") return {{full_ellipse(centre, u, v)}, ""};
    const double start = std::fmod(values.number(50), 360) * kDegree, end = std::fmod(values.number(51), 360) * kDegree;
    return {{arc_chain(centre, u, v, start, sweep_between(start, end))}, ""};
}

} // namespace kerfwright::drawing
