#include "drawing/curves.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace kerfwright::drawing {
namespace {

using plane::Box;

/// Below this an arc is a line: at a chord of 1 m the sagitta is 0.05 µm, and the centre would be lost in rounding.
constexpr double kFlatBulge = 1e-7;

/// A Bézier curve in homogeneous coordinates: (w x, w y, w).
struct Bezier {
    struct Hom {
        double x, y, w;
    };
    std::array<Hom, kMostDegree + 1> p{};
    int degree = 0;
    bool rational = false;

    [[nodiscard]] Vec at(int i) const {
        const Hom& h = p[static_cast<std::size_t>(i)];
        return rational ? Vec{h.x / h.w, h.y / h.w} : Vec{h.x, h.y};
    }
    void push(Vec v, double w = 1) { p[static_cast<std::size_t>(degree++)] = {v.x * w, v.y * w, w}; }
};

Bezier to_bezier(Vec start, const Cubic& c) {
    Bezier b;
    for (const Vec v : {start, c.first, c.second, c.to})
        b.push(v);
    --b.degree;
    return b;
}

Bezier to_bezier(const Rational& r) {
    Bezier b;
    for (const auto& point : r.points) {
        b.push(point.at, point.weight);
        b.rational = b.rational || point.weight != 1;
    }
    --b.degree;
    return b;
}

/// De Casteljau at 1/2; the arithmetic is the same from either end, so a border drawn in both senses gives one
/// polyline.
std::pair<Bezier, Bezier> halves(Bezier b) {
    Bezier left = b, right = b;
    const auto n = static_cast<std::size_t>(b.degree);
    for (std::size_t level = 0; level <= n; ++level) {
        left.p[level] = b.p[0];
        right.p[n - level] = b.p[n - level];
        for (std::size_t i = 0; i + level < n; ++i)
            b.p[i] = {(b.p[i].x + b.p[i + 1].x) / 2, (b.p[i].y + b.p[i + 1].y) / 2, (b.p[i].w + b.p[i + 1].w) / 2};
    }
    return {left, right};
}

void flatten(const Bezier& b, double tolerance, std::size_t most, int depth, std::vector<Vec>& points) {
    const Vec from = b.at(0), to = b.at(b.degree);
    double far = 0;
    for (int i = 1; i < b.degree; ++i)
        far = std::max(far, plane::distance_to_segment(b.at(i), from, to));
    const double factor = b.rational ? 1 : 1 - std::ldexp(1, 1 - b.degree);
    if (factor * far <= tolerance || depth == 0) {
        points.push_back(to);
        return;
    }
    if (points.size() >= most) return;
    const auto [left, right] = halves(b);
    flatten(left, tolerance, most, depth - 1, points);
    flatten(right, tolerance, most, depth - 1, points);
}

Vec at(const EllipseArc& arc, double t) {
    return arc.centre + arc.u * std::cos(t) + arc.v * std::sin(t);
}

/// The larger half axis: the largest singular value of the matrix with columns u, v.
double larger_half_axis(const EllipseArc& arc) {
    const double sum = dot(arc.u, arc.u) + dot(arc.v, arc.v);
    const double area = cross(arc.u, arc.v);
    return std::sqrt((sum + std::sqrt(std::max(0.0, sum * sum - 4 * area * area))) / 2);
}

void flatten(const EllipseArc& arc, double tolerance, std::size_t most, std::vector<Vec>& points) {
    const double radius = larger_half_axis(arc);
    // The sagitta r (1 - cos(step / 2)) written as 2 r sin²(step / 4), which keeps its digits for large radii.
    const double step = radius > tolerance ? 4 * std::asin(std::sqrt(tolerance / (2 * radius))) : std::numbers::pi / 2;
    double steps = std::ceil(std::abs(arc.sweep) / std::min(step, std::numbers::pi / 2));
    // Whole turns in multiples of four: the ends of both axes become vertices, and a round disc is as wide as asked.
    if (std::abs(arc.sweep) == 2 * std::numbers::pi) steps = 4 * std::ceil(steps / 4);
    const double room = most > points.size() ? static_cast<double>(most - points.size()) : 0;
    if (steps > room) { // the caller sees that the number of points is exhausted
        points.resize(most, arc.to);
        return;
    }
    for (double i = 1; i < steps; ++i)
        points.push_back(at(arc, arc.start + arc.sweep * (i / steps)));
    points.push_back(arc.to);
}

/// Branch and bound: only those parts are halved whose control points reach out of the box.
void extend(Box& box, const Bezier& b, double slack, int depth) {
    plane::extend(box, b.at(0));
    plane::extend(box, b.at(b.degree));
    Box hull = box;
    for (int i = 1; i < b.degree; ++i)
        plane::extend(hull, b.at(i));
    const bool inside = hull.low.x >= box.low.x - slack && hull.low.y >= box.low.y - slack &&
                        hull.high.x <= box.high.x + slack && hull.high.y <= box.high.y + slack;
    if (inside || depth == 0) return;
    const auto [left, right] = halves(b);
    extend(box, left, slack, depth - 1);
    extend(box, right, slack, depth - 1);
}

void extend(Box& box, const Bezier& b) {
    Box hull;
    for (int i = 0; i <= b.degree; ++i)
        plane::extend(hull, b.at(i));
    extend(box, b, 1e-12 * std::max(hull.width(), hull.height()), 30);
}

void extend(Box& box, const EllipseArc& arc) {
    plane::extend(box, arc.to);
    // Extremes where the derivative of one coordinate is zero: tan t = v / u, and half a turn on.
    for (const double extreme : {std::atan2(arc.v.x, arc.u.x), std::atan2(arc.v.y, arc.u.y)}) {
        for (const double t : {extreme, extreme + std::numbers::pi}) {
            double turn = std::fmod((t - arc.start) * (arc.sweep < 0 ? -1 : 1), 2 * std::numbers::pi);
            if (turn < 0) turn += 2 * std::numbers::pi;
            if (turn <= std::abs(arc.sweep)) plane::extend(box, at(arc, t));
        }
    }
}

bool fits(Vec v, double most) {
    return std::abs(v.x) <= most && std::abs(v.y) <= most;
} // false for NaN

template <class... F>
struct Overloaded : F... {
    using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

} // namespace

Affine operator*(const Affine& outer, const Affine& inner) {
    const Vec x = outer.turned({inner.a, inner.b}), y = outer.turned({inner.c, inner.d});
    const Vec origin = outer({inner.e, inner.f});
    return {x.x, x.y, y.x, y.y, origin.x, origin.y};
}

Affine shift(double x, double y) {
    return {1, 0, 0, 1, x, y};
}

Affine stretch(double x, double y) {
    return {x, 0, 0, y, 0, 0};
}

Vec end_of(const Piece& piece) {
    return std::visit(
        Overloaded{[](const Rational& r) { return r.points.back().at; }, [](const auto& p) { return p.to; }}, piece);
}

Vec end_of(const Chain& chain) {
    return chain.pieces.empty() ? chain.start : end_of(chain.pieces.back());
}

Chain mapped(const Affine& map, Chain chain) {
    chain.start = map(chain.start);
    const auto change = Overloaded{
        [&](Line& l) { l.to = map(l.to); },
        [&](Cubic& c) {
            c = {map(c.first), map(c.second), map(c.to)};
        },
        [&](EllipseArc& a) { a = {map(a.centre), map.turned(a.u), map.turned(a.v), a.start, a.sweep, map(a.to)}; },
        [&](Rational& r) {
            for (auto& point : r.points)
                point.at = map(point.at);
        },
    };
    for (Piece& piece : chain.pieces)
        std::visit(change, piece);
    return chain;
}

Chain reversed(Chain chain) {
    Chain back{end_of(chain), {}, chain.closed};
    back.pieces.reserve(chain.pieces.size());
    for (std::size_t i = chain.pieces.size(); i-- > 0;) {
        const Vec to = i > 0 ? end_of(chain.pieces[i - 1]) : chain.start;
        const auto turn = Overloaded{
            [&](const Line&) -> Piece { return Line{to}; },
            [&](const Cubic& c) -> Piece {
                return Cubic{c.second, c.first, to};
            },
            [&](const EllipseArc& a) -> Piece {
                return EllipseArc{a.centre, a.u, a.v, a.start + a.sweep, -a.sweep, to};
            },
            [&](Rational& r) -> Piece {
                std::reverse(r.points.begin(), r.points.end());
                return std::move(r);
            },
        };
        back.pieces.push_back(std::visit(turn, chain.pieces[i]));
    }
    return back;
}

Chain full_ellipse(Vec centre, Vec u, Vec v) {
    return {centre + u, {EllipseArc{centre, u, v, 0, 2 * std::numbers::pi, centre + u}}, true};
}

Cubic quadratic(Vec from, Vec control, Vec to) {
    return {from + (control - from) * (2.0 / 3), to + (control - to) * (2.0 / 3), to};
}

Piece bulged(Vec from, Vec to, double bulge) {
    if (std::abs(bulge) < kFlatBulge || from == to) return Line{to};
    // The centre lies on the chord's bisector, (1/b - b)/4 chords to the left of its middle.
    const Vec chord = to - from;
    const double aside = (1 / bulge - bulge) / 4;
    const Vec centre = (from + to) * 0.5 + Vec{-chord.y, chord.x} * aside;
    const Vec u = from - centre;
    return EllipseArc{centre, u, {-u.y, u.x}, 0, 4 * std::atan(bulge), to};
}

void extend(plane::Box& box, const Chain& chain) {
    Vec from = chain.start;
    plane::extend(box, from);
    for (const Piece& piece : chain.pieces) {
        std::visit(Overloaded{[&](const Line& l) { plane::extend(box, l.to); },
                              [&](const Cubic& c) { extend(box, to_bezier(from, c)); },
                              [&](const EllipseArc& a) { extend(box, a); },
                              [&](const Rational& r) { extend(box, to_bezier(r)); }},
                   piece);
        from = end_of(piece);
    }
}

bool within(const Chain& chain, double most) {
    const auto good = Overloaded{
        [&](const Line& l) { return fits(l.to, most); },
        [&](const Cubic& c) { return fits(c.first, most) && fits(c.second, most) && fits(c.to, most); },
        [&](const EllipseArc& a) {
            return fits(a.centre, 1e4 * most) && fits(a.u, 1e4 * most) && fits(a.v, 1e4 * most) && fits(a.to, most) &&
                   std::abs(a.start) <= 1e6 && std::abs(a.sweep) <= 7;
        },
        [&](const Rational& r) {
            return std::all_of(r.points.begin(), r.points.end(),
                               [&](const auto& p) { return fits(p.at, most) && p.weight >= 1e-9 && p.weight <= 1e9; });
        },
    };
    return fits(chain.start, most) && std::all_of(chain.pieces.begin(), chain.pieces.end(),
                                                  [&](const Piece& piece) { return std::visit(good, piece); });
}

std::vector<Vec> flattened(const Chain& chain, double tolerance, std::size_t most) {
    std::vector<Vec> points{chain.start};
    for (const Piece& piece : chain.pieces) {
        if (points.size() >= most) break;
        const Vec from = points.back();
        std::visit(Overloaded{[&](const Line& l) { points.push_back(l.to); },
                              [&](const Cubic& c) { flatten(to_bezier(from, c), tolerance, most, 24, points); },
                              [&](const EllipseArc& a) { flatten(a, tolerance, most, points); },
                              [&](const Rational& r) { flatten(to_bezier(r), tolerance, most, 24, points); }},
                   piece);
    }
    if (chain.closed && points.size() > 1 && points.back() == points.front()) points.pop_back();
    return points;
}

} // namespace kerfwright::drawing
