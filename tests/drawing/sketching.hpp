#pragma once
// What the tests of the readers share.

#include "drawing/drawing.hpp"
#include "plane/nearest.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

namespace kerfwright::drawing {

inline std::string test_file(const std::string& name) {
    return std::string(KERFWRIGHT_SOURCE_DIR) + "/tests/drawing/data/" + name;
}

inline std::string file_text(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    EXPECT_TRUE(in.good()) << path;
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

inline Sketch must(Result<Sketch> result) {
    if (result.ok()) return std::move(result).value();
    ADD_FAILURE() << to_string(result.problem());
    return {};
}

/// The message a reader gave, "" when it took the drawing.
inline std::string refusal(const Result<Sketch>& result) {
    return result.ok() ? "" : to_string(result.problem());
}

inline const Outline& outline(const Sketch& sketch, const std::string& id) {
    static const Outline kNone;
    const auto found =
        std::find_if(sketch.outlines.begin(), sketch.outlines.end(), [&](const Outline& o) { return o.id == id; });
    if (found != sketch.outlines.end()) return *found;
    ADD_FAILURE() << "no outline '" << id << "'";
    return kNone;
}

/// Sum of the rings' areas without sign.
inline double area_of(const Outline& outline) {
    double sum = 0;
    for (const plane::Ring& ring : outline.rings)
        sum += std::abs(plane::signed_area(ring));
    return sum;
}
inline double length_of(const Outline& outline) {
    double sum = 0;
    for (const plane::Ring& ring : outline.rings)
        sum += plane::perimeter(ring);
    return sum;
}
inline plane::Box box_of(const Outline& outline) {
    plane::Box box;
    for (const plane::Ring& ring : outline.rings)
        plane::extend(box, plane::bounds(ring));
    return box;
}
inline std::size_t count_notes(const Sketch& sketch, Note::Kind kind) {
    return static_cast<std::size_t>(
        std::count_if(sketch.notes.begin(), sketch.notes.end(), [&](const Note& n) { return n.kind == kind; }));
}
inline bool has_note(const Sketch& sketch, const std::string& part) {
    return std::any_of(sketch.notes.begin(), sketch.notes.end(),
                       [&](const Note& n) { return n.text.find(part) != std::string::npos; });
}

/// Winding number of the outline's rings about a point that is on none of them.
inline int winding(const Outline& outline, plane::Vec p) {
    int turns = 0;
    for (const plane::Ring& ring : outline.rings)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const plane::Vec a = plane::to_mm(ring[i]), b = plane::to_mm(ring[(i + 1) % ring.size()]);
            if ((a.y <= p.y) == (b.y <= p.y)) continue;
            const bool left = cross(b - a, p - a) > 0;
            if (a.y <= p.y && left) ++turns;
            if (b.y <= p.y && !left) --turns;
        }
    return turns;
}
inline bool filled_at(const Outline& outline, plane::Vec p) {
    const int turns = winding(outline, p);
    return outline.even_odd ? turns % 2 != 0 : turns != 0;
}

} // namespace kerfwright::drawing
