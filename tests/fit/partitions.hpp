#pragma once
// Drawings for the tests: partitions whose borders are shared exactly on the grid.

#include "base/random.hpp"
#include "fit/fit.hpp"
#include "plane/boolean.hpp"

#include <boost/polygon/voronoi.hpp>

#include <cmath>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace kerfwright::fit::test {

/// The inner points of a border from a to b (ends left out).
using Liner = std::function<std::vector<plane::Vec>(plane::Vec a, plane::Vec b, Random& random)>;

inline std::vector<plane::Vec> straight(plane::Vec, plane::Vec, Random&) {
    return {};
}

/// Midpoint displacement: a coast. `rough` is the displacement as a share of the length, halved at each level.
inline Liner coast(double finest, double rough) {
    return [=](plane::Vec a, plane::Vec b, Random& random) {
        std::vector<plane::Vec> points{a, b};
        while (plane::distance(a, b) / static_cast<double>(points.size() - 1) > finest) {
            std::vector<plane::Vec> finer;
            for (std::size_t k = 0; k + 1 < points.size(); ++k) {
                const plane::Vec along = points[k + 1] - points[k];
                const double off = random.uniform(-rough, rough);
                finer.push_back(points[k]);
                finer.push_back((points[k] + points[k + 1]) * 0.5 + plane::Vec{-along.y, along.x} * off);
            }
            finer.push_back(b);
            points = std::move(finer);
        }
        return std::vector<plane::Vec>(points.begin() + 1, points.end() - 1);
    };
}

/// Teeth of the given pitch and height, with a plain stretch at both ends.
inline Liner zigzag(double pitch, double height) {
    return [=](plane::Vec a, plane::Vec b, Random&) {
        std::vector<plane::Vec> points;
        const double length = plane::distance(a, b);
        const plane::Vec along = (b - a) * (1 / length);
        const plane::Vec across{-along.y, along.x};
        double side = 1;
        for (double t = 2 * pitch; t < length - 2 * pitch; t += pitch / 2, side = -side)
            points.push_back(a + along * t + across * (side * height / 2));
        return points;
    };
}

/// Square teeth.
inline Liner comb(double pitch, double height) {
    return [=](plane::Vec a, plane::Vec b, Random&) {
        std::vector<plane::Vec> points;
        const double length = plane::distance(a, b);
        const plane::Vec along = (b - a) * (1 / length);
        const plane::Vec across{-along.y, along.x};
        double side = 1;
        for (double t = 2 * pitch; t < length - 2 * pitch; t += pitch / 2, side = -side) {
            points.push_back(a + along * t - across * (side * height / 2));
            points.push_back(a + along * t + across * (side * height / 2));
        }
        return points;
    };
}

/// Builds faces from shared borders; a border is lined once and used from both sides.
class Borders {
  public:
    Borders(Liner liner, std::uint64_t seed) : liner_(std::move(liner)), random_(seed) {}

    /// The points from a (included) to b (left out).
    std::vector<plane::Point> line(plane::Point a, plane::Point b) {
        const bool forward = a < b;
        const auto key = forward ? std::pair(a, b) : std::pair(b, a);
        if (!lines_.count(key)) {
            std::vector<plane::Point> chain{key.first};
            for (const plane::Vec v : liner_(to_mm(key.first), to_mm(key.second), random_))
                chain.push_back(plane::to_grid(v));
            chain.push_back(key.second);
            lines_[key] = chain;
        }
        std::vector<plane::Point> chain = lines_[key];
        if (!forward) std::reverse(chain.begin(), chain.end());
        chain.pop_back();
        return chain;
    }
    plane::Ring ring(const std::vector<plane::Point>& corners) {
        plane::Ring out;
        for (std::size_t k = 0; k < corners.size(); ++k) {
            const auto chain = line(corners[k], corners[(k + 1) % corners.size()]);
            out.insert(out.end(), chain.begin(), chain.end());
        }
        return plane::signed_area(out) < 0 ? plane::reversed(out) : out;
    }

  private:
    Liner liner_;
    Random random_;
    std::map<std::pair<plane::Point, plane::Point>, std::vector<plane::Point>> lines_;
};

/// Names the rings and makes them disjoint: where coasts cross, the earlier region keeps the place.
inline std::vector<RegionToFit> named(const std::vector<plane::Ring>& rings, double radius) {
    std::vector<RegionToFit> regions;
    for (std::size_t k = 0; k < rings.size(); ++k) {
        plane::Shape shape = plane::normal({rings[k]});
        for (const RegionToFit& before : regions)
            if (overlap(plane::bounds(before.shape), plane::bounds(shape)))
                shape = plane::subtract(shape, before.shape);
        shape = {plane::largest(shape)};
        std::string name = std::to_string(k);
        while (name.size() < 3)
            name.insert(0, "0");
        regions.push_back({"r" + name, shape, radius});
    }
    return regions;
}

/// Cells of random points (relaxed a little by keeping them apart), within a square of `side` mm.
inline std::vector<RegionToFit> voronoi(int count, double side, const Liner& liner, double radius, std::uint64_t seed) {
    namespace bp = boost::polygon;
    Random random(seed);
    std::vector<bp::point_data<int>> sites;
    const double apart = 0.7 * side / std::sqrt(static_cast<double>(count));
    for (int tries = 0; static_cast<int>(sites.size()) < count && tries < 100000; ++tries) {
        const int y = static_cast<int>(random.uniform(0, side) * 1000); // in this order, whatever the compiler
        const int x = static_cast<int>(random.uniform(0, side) * 1000);
        const bp::point_data<int> site(x, y);
        bool free = true;
        for (const auto& other : sites)
            free = free && std::hypot(site.x() - other.x(), site.y() - other.y()) > apart * 1000;
        if (free) sites.push_back(site);
    }
    // Mirrored sites close the cells of the rim.
    std::vector<bp::point_data<int>> all = sites;
    const int w = static_cast<int>(side * 1000);
    for (const auto& s : sites) {
        all.emplace_back(-s.x(), s.y());
        all.emplace_back(2 * w - s.x(), s.y());
        all.emplace_back(s.x(), -s.y());
        all.emplace_back(s.x(), 2 * w - s.y());
    }
    bp::voronoi_diagram<double> diagram;
    bp::construct_voronoi(all.begin(), all.end(), &diagram);
    Borders borders(liner, seed + 1);
    std::map<std::size_t, plane::Ring> rings;
    for (const auto& cell : diagram.cells()) {
        if (cell.source_index() >= sites.size()) continue;
        std::vector<plane::Point> corners;
        const auto* edge = cell.incident_edge();
        do {
            const plane::Point p = plane::to_grid({edge->vertex0()->x() / 1000, edge->vertex0()->y() / 1000});
            // Mirror lines come out a grid step off; rim corners must be the same for both neighbours, and they are.
            if (corners.empty() || corners.back() != p) corners.push_back(p);
            edge = edge->next();
        } while (edge != cell.incident_edge());
        if (corners.size() > 1 && corners.front() == corners.back()) corners.pop_back();
        rings[cell.source_index()] = borders.ring(corners);
    }
    std::vector<plane::Ring> ordered;
    for (const auto& [index, ring] : rings)
        ordered.push_back(ring);
    return named(ordered, radius);
}

/// Two halves of a square, parted by one lined border.
inline std::vector<RegionToFit> halves(double side, const Liner& liner, double radius, std::uint64_t seed = 1) {
    Borders borders(liner, seed);
    Borders plain(straight, seed);
    const plane::Point low = plane::to_grid({side / 2, 0});
    const plane::Point high = plane::to_grid({side / 2, side});
    auto chain = borders.line(low, high);
    plane::Ring left{plane::to_grid({0, side}), plane::to_grid({0, 0})};
    left.insert(left.end(), chain.begin(), chain.end());
    left.push_back(high);
    plane::Ring right{plane::to_grid({side, 0}), plane::to_grid({side, side}), high};
    right.insert(right.end(), chain.rbegin(), chain.rend());
    return {{"left", {{left, {}}}, radius}, {"right", {{right, {}}}, radius}};
}

/// A square with an island in its middle, and an island in that, to `depth`.
inline std::vector<RegionToFit> nested(double side, int depth, const Liner& liner, double radius,
                                       std::uint64_t seed = 1) {
    Borders borders(liner, seed);
    std::vector<plane::Ring> rings;
    for (int k = 0; k < depth; ++k) {
        const double inset = side / 2 * k / depth;
        const plane::Vec low{inset, inset};
        const plane::Vec high{side - inset, side - inset};
        rings.push_back(borders.ring({plane::to_grid(low), plane::to_grid({high.x, low.y}), plane::to_grid(high),
                                      plane::to_grid({low.x, high.y})}));
    }
    std::vector<RegionToFit> regions;
    for (int k = 0; k < depth; ++k) {
        plane::Shape shape{{rings[k], {}}};
        if (k + 1 < depth) shape = plane::subtract(shape, {{rings[k + 1], {}}});
        regions.push_back({"ring" + std::to_string(k), shape, radius});
    }
    return regions;
}

/// Two arms wound into each other, each `width` wide, in a square.
inline std::vector<RegionToFit> spirals(double width, double turns, double radius) {
    plane::Ring arm;
    const auto point = [&](double angle, double off) {
        const double r = width * (angle / 3.14159265358979 + off);
        return plane::to_grid({r * std::cos(angle), r * std::sin(angle)});
    };
    const double first = 3.5, last = first + turns * 6.28318530717959;
    for (double a = first; a < last; a += 0.15)
        arm.push_back(point(a, 0.5));
    for (double a = last; a > first; a -= 0.15)
        arm.push_back(point(a, -0.5));
    if (plane::signed_area(arm) < 0) arm = plane::reversed(arm);
    const double side = width * (last / 3.14159265358979 + 2);
    const plane::Shape one = plane::normal({arm});
    const plane::Shape other = plane::subtract({{plane::rectangle({-side, -side}, {side, side}), {}}}, one);
    return {{"arm", {plane::largest(one)}, radius}, {"rest", {plane::largest(other)}, radius}};
}

} // namespace kerfwright::fit::test
