#include "layout/solid.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

struct Edge {
    plane::Vec a, b;
};

plane::Box common(const plane::Box& a, const plane::Box& b) {
    return {{std::max(a.low.x, b.low.x), std::max(a.low.y, b.low.y)},
            {std::min(a.high.x, b.high.x), std::min(a.high.y, b.high.y)}};
}

/// Edges whose box meets the given one.
void edges_in(const Outline& outline, const plane::Box& box, std::vector<Edge>& edges) {
    edges.clear();
    plane::Vec a = outline.back();
    for (const plane::Vec b : outline) {
        const bool apart = std::max(a.x, b.x) < box.low.x || std::min(a.x, b.x) > box.high.x ||
                           std::max(a.y, b.y) < box.low.y || std::min(a.y, b.y) > box.high.y;
        if (!apart) edges.push_back({a, b});
        a = b;
    }
}

double square_distance(plane::Vec a, plane::Vec b) {
    return plane::dot(a - b, a - b);
}

/// A rotation, its sine and cosine taken once, and a shift.
struct Motion {
    double cosine, sine;
    plane::Vec shift;
    explicit Motion(const plane::Placement& placement) : shift{placement.x, placement.y} {
        const plane::Vec x = plane::placed({1, 0}, {0, 0, placement.angle_deg});
        cosine = x.x;
        sine = x.y;
    }
    plane::Vec operator()(plane::Vec v) const {
        return {cosine * v.x - sine * v.y + shift.x, sine * v.x + cosine * v.y + shift.y};
    }
};

} // namespace

std::vector<Circle> inner_circles(const Outline& outline) {
    constexpr int kGridLines = 40;
    constexpr std::size_t kMost = 12;
    constexpr double kLeast = 0.12; // of the first radius
    struct Candidate {
        plane::Vec at;
        double depth;
    };
    const plane::Box box = bounds(outline);
    std::vector<Candidate> candidates;
    for (int i = 0; i < kGridLines; ++i) {
        for (int j = 0; j < kGridLines; ++j) {
            const plane::Vec at{box.low.x + (i + 0.5) / kGridLines * box.width(),
                                box.low.y + (j + 0.5) / kGridLines * box.height()};
            if (!inside(outline, at)) continue;
            double square = 1e300;
            plane::Vec a = outline.back();
            for (const plane::Vec b : outline) {
                const plane::Vec ab = b - a;
                const double long_square = plane::dot(ab, ab);
                const double t = long_square > 0 ? std::clamp(plane::dot(at - a, ab) / long_square, 0.0, 1.0) : 0;
                square = std::min(square, square_distance(at, a + ab * t));
                a = b;
            }
            candidates.push_back({at, std::sqrt(square)});
        }
    }
    std::vector<Circle> circles;
    while (circles.size() < kMost && !candidates.empty()) {
        const auto best = std::max_element(candidates.begin(), candidates.end(),
                                           [](const Candidate& a, const Candidate& b) { return a.depth < b.depth; });
        if (!circles.empty() && best->depth < kLeast * circles.front().radius) break;
        circles.push_back({best->at, best->depth});
        for (Candidate& c : candidates)
            c.depth = std::min(c.depth, plane::distance(c.at, circles.back().at) - circles.back().radius);
        std::erase_if(candidates, [](const Candidate& c) { return c.depth <= 0; });
    }
    if (circles.empty()) circles.push_back({outline.front(), 1e-3}); // too thin for the search lines
    return circles;
}

Solid make_solid(Outline outline, std::vector<Circle> circles) {
    Solid solid;
    solid.outline = std::move(outline);
    solid.circles = std::move(circles);
    solid.box = bounds(solid.outline);
    solid.size = std::sqrt(solid.box.width() * solid.box.height());
    solid.centre = (solid.box.low + solid.box.high) * 0.5;
    for (const plane::Vec v : solid.outline)
        solid.reach = std::max(solid.reach, std::sqrt(square_distance(v, solid.centre)));
    return solid;
}

void move_circles(const Solid& solid, const plane::Placement& placement, Solid& out) {
    const Motion motion(placement);
    out.size = solid.size;
    out.reach = solid.reach;
    out.centre = motion(solid.centre);
    out.circles.clear();
    for (const Circle& circle : solid.circles)
        out.circles.push_back({motion(circle.at), circle.radius});
}

void move_outline(const Solid& solid, const plane::Placement& placement, Solid& out) {
    const Motion motion(placement);
    out.outline.resize(solid.outline.size());
    plane::Box box;
    for (std::size_t i = 0; i < out.outline.size(); ++i) {
        const plane::Vec v = motion(solid.outline[i]);
        out.outline[i] = v;
        box.low = {std::min(box.low.x, v.x), std::min(box.low.y, v.y)};
        box.high = {std::max(box.high.x, v.x), std::max(box.high.y, v.y)};
    }
    out.box = box;
}

Solid moved(const Solid& solid, const plane::Placement& placement) {
    Solid out;
    move_circles(solid, placement, out);
    move_outline(solid, placement, out);
    return out;
}

bool far_apart(const Solid& a, const Solid& b) {
    const double reach = a.reach + b.reach;
    return square_distance(a.centre, b.centre) > reach * reach;
}

bool surely_collide(const Solid& a, const Solid& b) {
    for (const Circle& p : a.circles) {
        for (const Circle& q : b.circles) {
            const double reach = p.radius + q.radius;
            if (square_distance(p.at, q.at) < reach * reach) return true;
        }
    }
    return false;
}

bool collide(const Solid& a, const Solid& b) {
    if (!plane::overlap(a.box, b.box)) return false;
    if (surely_collide(a, b)) return true;
    const plane::Box both = common(a.box, b.box);
    thread_local std::vector<Edge> a_edges;
    thread_local std::vector<Edge> b_edges;
    edges_in(a.outline, both, a_edges);
    edges_in(b.outline, both, b_edges);
    for (const Edge& p : a_edges)
        for (const Edge& q : b_edges)
            if (meet(p.a, p.b, q.a, q.b)) return true;
    const auto within = [](const Solid& outer, plane::Vec v) {
        return outer.box.low.x <= v.x && v.x <= outer.box.high.x && outer.box.low.y <= v.y && v.y <= outer.box.high.y &&
               inside(outer.outline, v);
    };
    return within(a, b.outline.front()) || within(b, a.outline.front());
}

double depth(const Solid& a, const Solid& b) {
    const double soft = 0.01 * std::max(a.size, b.size);
    double sum = 0;
    for (const Circle& p : a.circles) {
        for (const Circle& q : b.circles) {
            const double overlap = p.radius + q.radius - std::sqrt(square_distance(p.at, q.at));
            const double softened = overlap >= soft ? overlap : soft * soft / (2 * soft - overlap);
            sum += softened * 2 * std::min(p.radius, q.radius);
        }
    }
    return std::sqrt(sum) * std::sqrt(a.size * b.size);
}

} // namespace kerfwright::layout
