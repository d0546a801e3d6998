// Curves against closed forms, and flattening against the curves themselves.

#include "sketching.hpp"

#include "drawing/curves.hpp"
#include "drawing/spline.hpp"
#include "drawing/svg_values.hpp"

#include <rapidcheck/gtest.h>

#include <numbers>

namespace kerfwright::drawing {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr std::size_t kMany = 10'000'000;

double polygon_area(const std::vector<Vec>& points) {
    double twice = 0;
    for (std::size_t i = 0; i < points.size(); ++i)
        twice += cross(points[i], points[(i + 1) % points.size()]);
    return twice / 2;
}

double distance_to(const std::vector<Vec>& points, Vec p) {
    double best = 1e300;
    for (std::size_t i = 1; i < points.size(); ++i)
        best = std::min(best, plane::distance_to_segment(p, points[i - 1], points[i]));
    return best;
}

TEST(Curves, CircleHasItsAreaAndItsWidth) {
    const Chain circle = full_ellipse({3, 4}, {25, 0}, {0, 25});
    const auto points = flattened(circle, 0.002, kMany);
    // An inscribed polygon of n equal chords: area n/2 r² sin(2π/n).
    const auto n = static_cast<double>(points.size());
    EXPECT_NEAR(polygon_area(points), n / 2 * 625 * std::sin(2 * kPi / n), 1e-9);
    EXPECT_LE(25 * (1 - std::cos(kPi / n)), 0.002);
    EXPECT_GT(25 * (1 - std::cos(kPi / (n - 4))), 0.002) << "more points than needed";
    plane::Box box;
    for (const Vec p : points)
        plane::extend(box, p);
    EXPECT_NEAR(box.width(), 50, 1e-12);
    EXPECT_NEAR(box.height(), 50, 1e-12);
}

TEST(Curves, BezierAreaIsExact) {
    // Area under a closed cubic: the integral of x dy, in closed form 3/20 of cross products (Green; de Casteljau
    // basis).
    const Vec a{0, 0}, b{0, 40}, c{50, -20}, d{60, 30};
    const double area =
        (3 * (2 * cross(a, b) + cross(a, c) + cross(b, c) + cross(b, d) + 2 * cross(c, d)) + cross(a, d)) / 20 +
        cross(d, a) / 2;
    const auto points = flattened(Chain{a, {Cubic{b, c, d}}, true}, 1e-6, kMany);
    EXPECT_NEAR(polygon_area(points), area, 1e-3);
}

TEST(Curves, BulgesAreArcs) {
    for (const double bulge : {1.0, -1.0, 0.3, -0.3, 2.5, 1e-3, -1e-6}) {
        const Vec a{10, 20}, b{40, 25};
        const Piece piece = bulged(a, b, bulge);
        const auto& arc = std::get<EllipseArc>(piece);
        const double radius = length(arc.u), chord = distance(a, b);
        EXPECT_NEAR(radius, chord * (1 + bulge * bulge) / (4 * std::abs(bulge)), 1e-9 * radius);
        // The arc's middle stands bulge * chord / 2 off the chord's middle, to the right for a left turn.
        const double t = arc.start + arc.sweep / 2;
        const Vec middle = arc.centre + arc.u * std::cos(t) + arc.v * std::sin(t);
        const Vec right{(b - a).y / chord, -(b - a).x / chord};
        EXPECT_NEAR(dot(middle - (a + b) * 0.5, right), bulge * chord / 2, 1e-8 * std::max(1.0, radius / 1e3));
        const Vec last = arc.centre + arc.u * std::cos(arc.start + arc.sweep) + arc.v * std::sin(arc.start + arc.sweep);
        EXPECT_NEAR(distance(last, b), 0, 1e-14 * radius + 1e-10);
    }
    EXPECT_TRUE(std::holds_alternative<Line>(bulged({0, 0}, {1, 0}, 0)));
    EXPECT_TRUE(std::holds_alternative<Line>(bulged({1, 1}, {1, 1}, 0.5)));
}

TEST(Curves, RationalQuadraticIsACircle) {
    // A quarter of a circle as in every text on NURBS: weights 1, sqrt(1/2), 1.
    const Rational quarter{{{{10, 0}, 1}, {{10, 10}, std::sqrt(0.5)}, {{0, 10}, 1}}};
    for (const Vec p : flattened(Chain{{10, 0}, {quarter}, false}, 1e-4, kMany))
        EXPECT_NEAR(length(p), 10, 1e-12);
}

TEST(Curves, SplineOfOneSpanIsItsBezier) {
    const std::vector<Rational::Control> controls{{{0, 0}}, {{0, 40}}, {{50, -20}}, {{60, 30}}};
    const Chain chain = spline_chain(3, {0, 0, 0, 0, 1, 1, 1, 1}, controls);
    ASSERT_EQ(chain.pieces.size(), 1U);
    const auto& piece = std::get<Rational>(chain.pieces[0]);
    for (std::size_t i = 0; i < 4; ++i)
        EXPECT_NEAR(distance(piece.points[i].at, controls[i].at), 0, 1e-14);
}

/// Cox and de Boor's recurrence, the other way to a B-spline.
double basis(int p, std::size_t i, const std::vector<double>& knots, double u) {
    if (p == 0) return u >= knots[i] && u < knots[i + 1] ? 1 : 0;
    const double left = knots[i + static_cast<std::size_t>(p)] - knots[i],
                 right = knots[i + static_cast<std::size_t>(p) + 1] - knots[i + 1];
    double sum = 0;
    if (left > 0) sum += (u - knots[i]) / left * basis(p - 1, i, knots, u);
    if (right > 0) sum += (knots[i + static_cast<std::size_t>(p) + 1] - u) / right * basis(p - 1, i + 1, knots, u);
    return sum;
}

RC_GTEST_PROP(Curves, SplinesPassWhereCoxAndDeBoorSay, ()) {
    const int degree = *rc::gen::inRange(1, 6);
    const int count = degree + 1 + *rc::gen::inRange(0, 6);
    std::vector<Rational::Control> controls;
    for (int i = 0; i < count; ++i)
        controls.push_back(
            {{static_cast<double>(*rc::gen::inRange(-100, 100)), static_cast<double>(*rc::gen::inRange(-100, 100))},
             0.25 * *rc::gen::inRange(1, 9)});
    // Knots of multiplicity 1 to degree: more would let the curve jump.
    std::vector<double> knots;
    for (double value = 0; static_cast<int>(knots.size()) < count + degree + 1;
         value += 0.5 + 0.25 * *rc::gen::inRange(0, 5))
        for (int times = *rc::gen::inRange(1, degree + 1);
             times > 0 && static_cast<int>(knots.size()) < count + degree + 1; --times)
            knots.push_back(value);
    const double from = knots[static_cast<std::size_t>(degree)], to = knots[static_cast<std::size_t>(count)];
    RC_PRE(to > from);
    const auto points = flattened(spline_chain(degree, knots, controls), 1e-4, kMany);
    for (int k = 0; k < 20; ++k) {
        const double u = from + (to - from) * (k + 0.5) / 20;
        Vec sum;
        double weight = 0;
        for (std::size_t i = 0; i < controls.size(); ++i) {
            const double share = basis(degree, i, knots, u) * controls[i].weight;
            sum = sum + controls[i].at * share;
            weight += share;
        }
        RC_ASSERT(distance_to(points, sum * (1 / weight)) < 1.1e-4);
    }
}

TEST(Curves, SplineThroughPoints) {
    // The cubic spline through points of a cubic with its own end directions would need its own parameters; what holds
    // for every spline: it passes the points, and its first and second derivatives by chord length do not jump.
    const std::vector<Vec> points{{0, 0}, {10, 8}, {25, 5}, {30, -10}, {12, -14}};
    for (const bool closed : {false, true}) {
        const Chain chain = spline_through(points, closed, {}, {});
        ASSERT_EQ(chain.pieces.size(), closed ? 5U : 4U);
        for (std::size_t i = 0; i < chain.pieces.size(); ++i) {
            const std::size_t next = (i + 1) % chain.pieces.size();
            const auto& here = std::get<Cubic>(chain.pieces[i]);
            const auto& then = std::get<Cubic>(chain.pieces[next]);
            const Vec from = i == 0 ? chain.start : end_of(chain.pieces[i - 1]);
            EXPECT_EQ(here.to, points[(i + 1) % points.size()]);
            if (!closed && next == 0) continue;
            const double h = distance(from, here.to), g = distance(here.to, then.to);
            const Vec slope_before = (here.to - here.second) * (3 / h), slope_after = (then.first - here.to) * (3 / g);
            EXPECT_NEAR(distance(slope_before, slope_after), 0, 1e-12);
            const Vec bend_before = (from - from + here.first - here.second * 2 + here.to) * (6 / (h * h));
            const Vec bend_after = (here.to - then.first * 2 + then.second) * (6 / (g * g));
            EXPECT_NEAR(distance(bend_before, bend_after), 0, 1e-11);
        }
    }
    // Directions at the ends are kept; without one there is no curvature.
    const Chain led = spline_through(points, false, {0, 7}, {});
    const auto& first = std::get<Cubic>(led.pieces[0]);
    EXPECT_NEAR((first.first - led.start).x, 0, 1e-12);
    EXPECT_GT((first.first - led.start).y, 0);
    const Vec before = std::get<Cubic>(led.pieces[2]).to;
    const auto& last = std::get<Cubic>(led.pieces[3]);
    EXPECT_NEAR(length(last.to - last.second * 2 + last.first), 0, 1e-11) << before.x;
    EXPECT_TRUE(spline_through({{1, 1}, {1, 1}}, false, {}, {}).pieces.empty());
}

Chain random_chain() {
    const auto vec = [] {
        return Vec{*rc::gen::inRange(-10000, 10000) / 100.0, *rc::gen::inRange(-10000, 10000) / 100.0};
    };
    Chain chain{vec(), {}, false};
    const int count = *rc::gen::inRange(1, 5);
    for (int i = 0; i < count; ++i) {
        const Vec from = end_of(chain);
        switch (*rc::gen::inRange(0, 5)) {
        case 0:
            chain.pieces.emplace_back(Line{vec()});
            break;
        case 1:
            chain.pieces.emplace_back(quadratic(from, vec(), vec()));
            break;
        case 2:
            chain.pieces.push_back(bulged(from, vec(), *rc::gen::inRange(-300, 300) / 100.0));
            break;
        case 3:
            chain.pieces.push_back(svg_arc(from, *rc::gen::inRange(1, 100), *rc::gen::inRange(1, 100),
                                           *rc::gen::inRange(-180, 180), *rc::gen::arbitrary<bool>(),
                                           *rc::gen::arbitrary<bool>(), vec()));
            break;
        default:
            chain.pieces.emplace_back(Cubic{vec(), vec(), vec()});
        }
    }
    return chain;
}

RC_GTEST_PROP(Curves, FlatteningStaysWithinTolerance, ()) {
    const Chain chain = random_chain();
    const double coarse = 0.05, fine = 0.0005;
    const auto few = flattened(chain, coarse, kMany), many = flattened(chain, fine, kMany);
    for (std::size_t i = 0; i < many.size(); i += 1 + many.size() / 300)
        RC_ASSERT(distance_to(few, many[i]) <= coarse + fine);
    for (const Vec p : few)
        RC_ASSERT(distance_to(many, p) <= fine + 1e-9);
    // Not wastefully: a hundredth of the tolerance takes ten times the points.
    RC_ASSERT(few.size() <= 8 + many.size() / 4 + 2 * chain.pieces.size());
}

RC_GTEST_PROP(Curves, BackwardsGivesTheSamePoints, ()) {
    const Chain chain = random_chain();
    auto there = flattened(chain, 0.002, kMany), back = flattened(reversed(chain), 0.002, kMany);
    std::reverse(back.begin(), back.end());
    RC_ASSERT(there.size() == back.size());
    for (std::size_t i = 0; i < there.size(); ++i)
        RC_ASSERT(distance(there[i], back[i]) < 1e-9);
}

RC_GTEST_PROP(Curves, BoxHoldsTheCurveTightly, ()) {
    const Chain chain = random_chain();
    plane::Box box, of_points;
    extend(box, chain);
    for (const Vec p : flattened(chain, 1e-6, kMany))
        plane::extend(of_points, p);
    RC_ASSERT(box.low.x <= of_points.low.x + 1e-9);
    RC_ASSERT(box.low.y <= of_points.low.y + 1e-9);
    RC_ASSERT(box.high.x >= of_points.high.x - 1e-9);
    RC_ASSERT(box.high.y >= of_points.high.y - 1e-9);
    RC_ASSERT(std::abs(box.width() - of_points.width()) < 3e-6);
    RC_ASSERT(std::abs(box.height() - of_points.height()) < 3e-6);
}

RC_GTEST_PROP(Curves, MapsGoBeforeOrAfterFlattening, ()) {
    const Chain chain = random_chain();
    const auto number = [] { return *rc::gen::inRange(-200, 200) / 100.0; };
    const Affine map{number(), number(), number(), number(), number(), number()};
    const auto after = flattened(mapped(map, chain), 1e-3, kMany);
    for (const Vec p : flattened(chain, 1e-3, kMany))
        RC_ASSERT(distance_to(after, map(p)) < 1.1e-3);
}

RC_GTEST_PROP(Curves, TransformsCompose, ()) {
    const auto number = [] { return *rc::gen::inRange(-3000, 3000) / 10.0; };
    const double tx = number(), ty = number(), angle = number(), cx = number(), cy = number(), sx = number() / 100,
                 skew = number() / 10;
    const auto parsed = [](const std::string& text) { return std::get<Affine>(parse_transform(text)); };
    const std::string first = "translate(" + std::to_string(tx) + " " + std::to_string(ty) + ")";
    const std::string second =
        "rotate(" + std::to_string(angle) + "," + std::to_string(cx) + "," + std::to_string(cy) + ")";
    const std::string third = "scale(" + std::to_string(sx) + ") skewX(" + std::to_string(skew) + ")";
    const Affine all = parsed(first + " " + second + third), steps = parsed(first) * parsed(second) * parsed(third);
    for (const Vec p : {Vec{0, 0}, Vec{1, 0}, Vec{0, 1}, Vec{-37, 81}}) {
        RC_ASSERT(distance(all(p), steps(p)) < 1e-9);
        // By hand: skew and scale, turn about the centre, shift.
        Vec q{sx * (p.x + std::tan(skew * kPi / 180) * p.y), sx * p.y};
        const Vec arm = q - Vec{cx, cy};
        const double c = std::cos(angle * kPi / 180), s = std::sin(angle * kPi / 180);
        q = Vec{cx + c * arm.x - s * arm.y + tx, cy + s * arm.x + c * arm.y + ty};
        RC_ASSERT(distance(all(p), q) < 1e-9);
    }
}

RC_GTEST_PROP(Curves, ArcsMeetTheirEndsOnTheirEllipse, ()) {
    const auto number = [] { return *rc::gen::inRange(-5000, 5000) / 100.0; };
    const Vec from{number(), number()}, to{number(), number()};
    const double rx = *rc::gen::inRange(1, 60), ry = *rc::gen::inRange(1, 60), turn = *rc::gen::inRange(-360, 360);
    const bool large = *rc::gen::arbitrary<bool>(), sweep = *rc::gen::arbitrary<bool>();
    RC_PRE(distance(from, to) > 0.1);
    const auto arc = std::get<EllipseArc>(svg_arc(from, rx, ry, turn, large, sweep, to));
    const auto at = [&](double t) { return arc.centre + arc.u * std::cos(t) + arc.v * std::sin(t); };
    RC_ASSERT(distance(at(arc.start), from) < 1e-6);
    RC_ASSERT(distance(at(arc.start + arc.sweep), to) < 1e-6);
    RC_ASSERT((arc.sweep > 0) == sweep);
    const bool scaled_up = std::abs(length(arc.u) - rx) > 1e-9;
    RC_ASSERT(length(arc.u) >= rx - 1e-9);
    RC_ASSERT(std::abs(length(arc.u) / rx - length(arc.v) / ry) < 1e-9);
    const double turned = std::abs(arc.sweep);
    const bool right_turn =
        scaled_up ? std::abs(turned - kPi) < 1e-6 : (large ? turned > kPi - 1e-4 : turned < kPi + 1e-4);
    RC_ASSERT(right_turn);
}

} // namespace
} // namespace kerfwright::drawing
