#include "job/seam_picture.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace kerfwright::job {
namespace {

using papers::Colour;
using papers::DrawnLine;
using papers::LineClass;
using plane::Vec;

// Upper bounds of the classes, mm of gap above what was asked. The middle one is well inside the 0.01 mm that fit
// promises.
constexpr double kBounds[] = {-0.1, -0.02, -0.005, 0.005, 0.02, 0.1};
constexpr double kStep = 0.5; // mm between samples

/// Diverging and perceptual: dark grey in the middle, to blue and to orange in even steps of Oklab (Ottosson 2020;
/// constants from memory), lighter to either side alike. Blue against orange is told apart by eyes that confuse red
/// and green. `side` from -1 (blue) to 1 (orange).
Colour diverging(double side) {
    struct Oklab {
        double l, a, b;
    };
    constexpr Oklab kMiddle{0.32, 0, 0}, kNarrow{0.66, -0.05, -0.13}, kWide{0.70, 0.09, 0.13};
    const Oklab& end = side < 0 ? kNarrow : kWide;
    const double t = std::abs(side);
    const Oklab at{kMiddle.l + t * (end.l - kMiddle.l), kMiddle.a + t * (end.a - kMiddle.a),
                   kMiddle.b + t * (end.b - kMiddle.b)};
    const auto cube = [](double v) { return v * v * v; };
    const double l = cube(at.l + 0.3963377774 * at.a + 0.2158037573 * at.b);
    const double m = cube(at.l - 0.1055613458 * at.a - 0.0638541728 * at.b);
    const double s = cube(at.l - 0.0894841775 * at.a - 1.2914855480 * at.b);
    const auto encoded = [](double linear) {
        const double v = std::clamp(linear, 0.0, 1.0);
        return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
    };
    return {encoded(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
            encoded(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
            encoded(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

/// Narrow classes are dashed, wide ones solid; the further off, the thicker.
std::vector<LineClass> classes() {
    return {{"narrower by more than 0.100 mm", diverging(-1), 1.5, true},
            {"narrower by 0.020 to 0.100 mm", diverging(-0.7), 1.1, true},
            {"narrower by 0.005 to 0.020 mm", diverging(-0.4), 0.8, true},
            {"as asked, within 0.005 mm", diverging(0), 0.4, false},
            {"wider by 0.005 to 0.020 mm", diverging(0.4), 0.8, false},
            {"wider by 0.020 to 0.100 mm", diverging(0.7), 1.1, false},
            {"wider by more than 0.100 mm", diverging(1), 1.5, false}};
}

std::size_t class_of(double deviation) {
    return static_cast<std::size_t>(std::upper_bound(std::begin(kBounds), std::end(kBounds), deviation) -
                                    std::begin(kBounds));
}

struct Body {
    plane::EdgeIndex edges;
    std::vector<std::pair<std::size_t, double>> neighbours; ///< body and the gap that was asked
};

/// Pieces in their order, then the tray's wall, each with the neighbours that the seams name.
std::vector<Body> bodies_of(const Plan& plan) {
    std::vector<Body> bodies;
    std::map<std::string, std::size_t> index;
    for (const PlannedPiece& piece : plan.pieces) {
        index.emplace(piece.id, bodies.size());
        bodies.push_back({plane::EdgeIndex({piece.as_cut}), {}});
    }
    if (plan.has_tray) {
        index.emplace("tray", bodies.size());
        bodies.push_back({plane::EdgeIndex(plan.tray.wall_as_cut), {}});
    }
    for (const PlannedSeam& seam : plan.seams) {
        const auto a = index.find(seam.a), b = index.find(seam.b);
        if (a == index.end() || b == index.end()) continue;
        bodies[a->second].neighbours.emplace_back(b->second, seam.asked);
        bodies[b->second].neighbours.emplace_back(a->second, seam.asked);
    }
    return bodies;
}

struct Sample {
    Vec middle;
    std::size_t other = 0;
    std::size_t line_class = 0;
    bool operator==(const Sample& o) const { return other == o.other && line_class == o.line_class; }
};

/// The nearest neighbour's gap at a point of a body's edge, where that is near enough to count as a seam and this body
/// is the one of the two that draws it.
std::optional<Sample> sample_at(const std::vector<Body>& bodies, std::size_t self, Vec p) {
    std::optional<plane::Nearest> nearest;
    std::size_t other = self;
    double asked = 0;
    for (const auto& [body, gap] : bodies[self].neighbours) {
        const double within = nearest ? nearest->distance : 2 * gap + kStep;
        const auto near = bodies[body].edges.nearest(p, within);
        if (!near || (nearest && near->distance >= nearest->distance)) continue;
        nearest = near;
        other = body;
        asked = gap;
    }
    if (!nearest || other < self) return std::nullopt;
    return Sample{(p + nearest->at) * 0.5, other, class_of(nearest->distance - asked)};
}

/// Runs of samples of one seam and class; each ends where the next begins, so that there is no hole between them.
void add_ring(papers::Drawn& drawn, const std::vector<Body>& bodies, std::size_t self, const plane::Ring& ring) {
    std::vector<Vec> points = plane::sampled(ring, kStep);
    if (points.empty()) return;
    points.push_back(points.front());
    std::optional<Sample> last;
    for (const Vec p : points) {
        const auto sample = sample_at(bodies, self, p);
        if (sample) {
            if (!last || !(*last == *sample)) {
                DrawnLine line{{}, sample->line_class};
                if (last && last->other == sample->other) line.points.push_back(last->middle);
                drawn.lines.push_back(std::move(line));
            }
            drawn.lines.back().points.push_back(sample->middle);
        }
        last = sample;
    }
}

} // namespace

papers::Drawn draw_seams(const Plan& plan) {
    papers::Drawn drawn;
    for (const PlannedPiece& piece : plan.pieces)
        drawn.areas.push_back({{piece.outline}, piece.id, papers::Fill::none, false, false});
    drawn.classes = classes();
    const std::vector<Body> bodies = bodies_of(plan);
    for (std::size_t i = 0; i < bodies.size(); ++i)
        for (const plane::Ring& ring : bodies[i].edges.rings())
            add_ring(drawn, bodies, i, ring);
    std::erase_if(drawn.lines, [](const DrawnLine& line) { return line.points.size() < 2; });
    // What is as asked first, what is furthest off on top.
    const auto off = [](const DrawnLine& line) {
        return line.line_class > 3 ? line.line_class - 3 : 3 - line.line_class;
    };
    std::stable_sort(drawn.lines.begin(), drawn.lines.end(),
                     [&](const DrawnLine& a, const DrawnLine& b) { return off(a) < off(b); });
    using Kind = papers::DrawnMark::Kind;
    for (const PlannedSeam& seam : plan.seams)
        for (const PlannedSpot& spot : seam.spots)
            drawn.marks.push_back(
                {(spot.box.low + spot.box.high) * 0.5, "", spot.why == "junction" ? Kind::opening : Kind::place});
    drawn.caption = "Gaps as cut against what was asked. Circles: junctions. Triangles: other listed spots.";
    return drawn;
}

} // namespace kerfwright::job
