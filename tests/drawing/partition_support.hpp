#pragma once
// Drawings made by the tests, and the checks that every clean partition must pass.

#include "support/geos.hpp"

#include "base/random.hpp"
#include "drawing/drawing.hpp"
#include "plane/boolean.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace kerfwright::drawing::testing {

inline Outline outline(std::string id, const std::vector<std::vector<plane::Vec>>& rings, int line = 0) {
    Outline made;
    made.id = std::move(id);
    made.line = line;
    for (const auto& points : rings) {
        plane::Ring ring;
        for (const plane::Vec v : points)
            ring.push_back(plane::to_grid(v));
        made.rings.push_back(std::move(ring));
    }
    return made;
}

inline std::vector<plane::Vec> box(double x0, double y0, double x1, double y1) {
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

inline Sketch sketch(std::vector<Outline> outlines) {
    return {std::move(outlines), {}};
}

inline const Region& region(const Drawing& drawing, const std::string& name) {
    for (const Region& r : drawing.regions)
        if (r.name == name) return r;
    throw std::runtime_error("no region " + name);
}

inline const Note* note_of(const Drawing& drawing, Note::Kind kind) {
    for (const Note& note : drawing.notes)
        if (note.kind == kind) return &note;
    return nullptr;
}

/// Names of neighbours, as pairs in alphabetical order; borders shorter than `least` mm do not count.
inline std::set<std::pair<std::string, std::string>> neighbours(const Drawing& drawing, double least = 0) {
    std::set<std::pair<std::string, std::string>> pairs;
    for (const Seam& seam : drawing.seams)
        if (seam.b != kOutside && seam.length > least)
            pairs.emplace(drawing.regions[static_cast<std::size_t>(seam.a)].name,
                          drawing.regions[static_cast<std::size_t>(seam.b)].name);
    return pairs;
}

inline double seam_length(const Drawing& drawing, const std::string& a, const std::string& b) {
    for (const Seam& seam : drawing.seams) {
        const std::string first = drawing.regions[static_cast<std::size_t>(seam.a)].name;
        const std::string second =
            seam.b == kOutside ? "outside" : drawing.regions[static_cast<std::size_t>(seam.b)].name;
        if (std::pair(first, second) == std::pair(a, b)) return seam.length;
    }
    return 0;
}

/// What "clean" promises, checked without the code under test: valid rings in the usual sense, sorted names, lower left
/// corner at the origin, no overlap, and borders that are one chain of grid points for both sides.
inline void expect_clean(const Drawing& drawing) {
    plane::Box all;
    for (std::size_t i = 0; i < drawing.regions.size(); ++i) {
        const Region& r = drawing.regions[i];
        if (i > 0) {
            EXPECT_LT(drawing.regions[i - 1].name, r.name);
        }
        EXPECT_FALSE(r.shape.empty());
        plane::extend(all, plane::bounds(r.shape));
        for (const plane::Polygon& part : r.shape) {
            EXPECT_GT(plane::signed_area(part.outer), 0) << r.name;
            for (const plane::Ring& hole : part.holes)
                EXPECT_LT(plane::signed_area(hole), 0) << r.name;
        }
    }
    EXPECT_EQ(all.low, (plane::Vec{0, 0}));
    EXPECT_DOUBLE_EQ(all.high.x, drawing.width);
    EXPECT_DOUBLE_EQ(all.high.y, drawing.height);

    // Every edge is there once in each direction at most, and every vertex on a border is a vertex of both.
    std::map<std::pair<plane::Point, plane::Point>, int> edges;
    double twice = 0;
    for (const Region& r : drawing.regions)
        for (const plane::Ring& ring : plane::rings_of(r.shape)) {
            twice += plane::perimeter(ring);
            for (std::size_t i = 0; i < ring.size(); ++i)
                ++edges[{ring[i], ring[(i + 1) % ring.size()]}];
        }
    for (const auto& [edge, count] : edges)
        EXPECT_EQ(count, 1);
    double from_seams = 0;
    for (const Seam& seam : drawing.seams)
        from_seams += seam.length * (seam.b == kOutside ? 1 : 2);
    EXPECT_NEAR(from_seams, twice, 1e-6 * (1 + twice));
    for (const Seam& seam : drawing.seams)
        for (const auto& chain : seam.chains)
            for (std::size_t i = 0; i + 1 < chain.size(); ++i) {
                EXPECT_EQ(edges.count({chain[i], chain[i + 1]}), 1U);
                EXPECT_EQ(edges.count({chain[i + 1], chain[i]}), seam.b == kOutside ? 0U : 1U);
            }
#ifdef KERFWRIGHT_HAS_GEOS
    const oracle::Geos geos;
    std::vector<oracle::Geos::Geometry> shapes;
    std::vector<plane::Box> boxes;
    for (const Region& r : drawing.regions) {
        shapes.push_back(geos.shape(r.shape));
        boxes.push_back(plane::bounds(r.shape));
        EXPECT_TRUE(geos.valid(shapes.back())) << r.name;
    }
    for (std::size_t i = 0; i < shapes.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (plane::overlap(boxes[i], boxes[j])) {
                EXPECT_LT(geos.overlap_area(shapes[i], shapes[j]), 1e-9)
                    << drawing.regions[i].name << " " << drawing.regions[j].name;
            }
#endif
}

} // namespace kerfwright::drawing::testing
