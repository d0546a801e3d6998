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

bool circles_collide(const Solid& a, const Solid& b) {
    for (const Circle& p : a.circles)
        for (const Circle& q : b.circles) {
            const double reach = p.radius + q.radius;
            if (square_distance(p.at, q.at) < reach * reach) return true;
        }
    return false;
}

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
    Solid solid{std::move(outline), std::move(circles), {}, 0};
    solid.box = bounds(solid.outline);
    solid.size = std::sqrt(solid.box.width() * solid.box.height());
    return solid;
}

Solid moved(const Solid& solid, const plane::Placement& placement) {
    Solid out;
    out.outline = moved(solid.outline, placement);
    out.circles.reserve(solid.circles.size());
    for (const Circle& circle : solid.circles)
        out.circles.push_back({plane::placed(circle.at, placement), circle.radius});
    out.box = bounds(out.outline);
    out.size = solid.size;
    return out;
}

bool collide(const Solid& a, const Solid& b) {
    if (!plane::overlap(a.box, b.box)) return false;
    if (circles_collide(a, b)) return true;
    const plane::Box both = common(a.box, b.box);
    thread_local std::vector<Edge> a_edges;
    thread_local std::vector<Edge> b_edges;
    edges_in(a.outline, both, a_edges);
    edges_in(b.outline, both, b_edges);
    for (const Edge& p : a_edges)
        for (const Edge& q : b_edges)
            if (meet(p.a, p.b, q.a, q.b)) return true;
    return inside(a.outline, b.outline.front()) || inside(b.outline, a.outline.front());
}

double depth(const Solid& a, const Solid& b) {
    const double soft = 0.01 * std::max(a.size, b.size);
    double sum = 0;
    for (const Circle& p : a.circles) {
        for (const Circle& q : b.circles) {
            const double overlap = p.radius + q.radius - plane::distance(p.at, q.at);
            const double softened = overlap >= soft ? overlap : soft * soft / (2 * soft - overlap);
            sum += softened * 2 * std::min(p.radius, q.radius);
        }
    }
    return std::sqrt(sum) * std::sqrt(a.size * b.size);
}

} // namespace kerfwright::layout
