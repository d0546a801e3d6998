#include "drawing/spline.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::drawing {
namespace {

struct Hom {
    double x = 0, y = 0, w = 0;
};
Hom mix(const Hom& a, const Hom& b, double t) {
    return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.w + (b.w - a.w) * t};
}

/// The blossom of the polynomial on [knots[span], knots[span + 1]]: `low` copies of the left knot, the rest of the
/// right.
Hom blossom(int degree, const std::vector<double>& knots, const std::vector<Hom>& points, std::size_t span, int right) {
    const auto p = static_cast<std::size_t>(degree);
    std::vector<Hom> d(points.begin() + static_cast<std::ptrdiff_t>(span - p),
                       points.begin() + static_cast<std::ptrdiff_t>(span + 1));
    for (std::size_t r = 1; r <= p; ++r) {
        const double u = static_cast<int>(r) <= right ? knots[span + 1] : knots[span];
        for (std::size_t j = p; j >= r; --j) {
            const double from = knots[span - p + j], to = knots[j + 1 + span - r];
            d[j] = mix(d[j - 1], d[j], (u - from) / (to - from));
        }
    }
    return d[p];
}

/// Solves the tridiagonal system (Thomas); below[0] and above[n-1] are not used. Diagonally dominant here.
std::vector<Vec> solve(const std::vector<double>& below, std::vector<double> middle, const std::vector<double>& above,
                       std::vector<Vec> right) {
    const std::size_t n = middle.size();
    for (std::size_t i = 1; i < n; ++i) {
        const double factor = below[i] / middle[i - 1];
        middle[i] -= factor * above[i - 1];
        right[i] = right[i] - right[i - 1] * factor;
    }
    for (std::size_t i = n; i-- > 0;) {
        if (i + 1 < n) right[i] = right[i] - right[i + 1] * above[i];
        right[i] = right[i] * (1 / middle[i]);
    }
    return right;
}

/// First derivatives at the points; steps[i] leads from point i to the next.
std::vector<Vec> derivatives(const std::vector<Vec>& points, const std::vector<double>& steps, bool closed, Vec start,
                             Vec end) {
    const std::size_t n = points.size();
    std::vector<double> below(n, 0), middle(n, 1), above(n, 0);
    std::vector<Vec> right(n);
    const auto slope = [&](std::size_t i) { return (points[(i + 1) % n] - points[i]) * (1 / steps[i]); };
    for (std::size_t i = 0; i < n; ++i) {
        if (!closed && (i == 0 || i + 1 == n)) continue;
        const std::size_t before = (i + n - 1) % n;
        below[i] = steps[i];
        middle[i] = 2 * (steps[before] + steps[i]);
        above[i] = steps[before];
        right[i] = (slope(before) * steps[i] + slope(i) * steps[before]) * 3;
    }
    if (!closed) {
        const auto set_end = [&](std::size_t i, std::size_t edge, double& beside, Vec direction) {
            const double size = length(direction);
            if (size > 0) {
                right[i] = direction * (1 / size);
            } else {
                middle[i] = 2;
                beside = 1;
                right[i] = slope(edge) * 3;
            }
        };
        set_end(0, 0, above[0], start);
        set_end(n - 1, n - 2, below[n - 1], end);
        return solve(below, middle, above, right);
    }
    // Cyclic (Sherman and Morrison 1950): the corners go into a correction of rank one.
    const double corner_a = below[0], corner_c = above[n - 1], gamma = -middle[0];
    std::vector<double> changed = middle;
    changed[0] -= gamma;
    changed[n - 1] -= corner_a * corner_c / gamma;
    std::vector<Vec> unit(n);
    unit[0] = {gamma, 0};
    unit[n - 1] = {corner_c, 0};
    std::vector<Vec> x = solve(below, changed, above, right);
    const std::vector<Vec> z = solve(below, changed, above, unit);
    const double share = 1 + z[0].x + corner_a * z[n - 1].x / gamma;
    const Vec factor = (x[0] + x[n - 1] * (corner_a / gamma)) * (1 / share);
    for (std::size_t i = 0; i < n; ++i)
        x[i] = x[i] - factor * z[i].x;
    return x;
}

} // namespace

Chain spline_chain(int degree, const std::vector<double>& knots, const std::vector<Rational::Control>& points) {
    std::vector<Hom> controls;
    for (const auto& point : points)
        controls.push_back({point.at.x * point.weight, point.at.y * point.weight, point.weight});
    Chain chain;
    for (auto span = static_cast<std::size_t>(degree); span < points.size(); ++span) {
        if (!(knots[span] < knots[span + 1])) continue;
        Rational piece;
        for (int right = 0; right <= degree; ++right) {
            const Hom h = blossom(degree, knots, controls, span, right);
            piece.points.push_back({{h.x / h.w, h.y / h.w}, h.w});
        }
        if (chain.pieces.empty()) chain.start = piece.points.front().at;
        chain.pieces.emplace_back(std::move(piece));
    }
    return chain;
}

Chain spline_through(std::vector<Vec> points, bool closed, Vec start_direction, Vec end_direction) {
    points.erase(std::unique(points.begin(), points.end()), points.end());
    if (closed && points.size() > 1 && points.front() == points.back()) points.pop_back();
    if (points.size() < 2) return {};
    if (points.size() == 2) closed = false;
    const std::size_t n = points.size(), count = closed ? n : n - 1;
    std::vector<double> steps;
    for (std::size_t i = 0; i < count; ++i)
        steps.push_back(distance(points[i], points[(i + 1) % n]));
    const std::vector<Vec> slopes = derivatives(points, steps, closed, start_direction, end_direction);
    Chain chain{points[0], {}, closed};
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t next = (i + 1) % n;
        chain.pieces.emplace_back(
            Cubic{points[i] + slopes[i] * (steps[i] / 3), points[next] - slopes[next] * (steps[i] / 3), points[next]});
    }
    return chain;
}

} // namespace kerfwright::drawing
