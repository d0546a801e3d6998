#include "drawing/map.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::drawing {
namespace {

using plane::Box;
using plane::Point;
using plane::Ring;
using plane::Vec;

Result<MapData> read_features(const Json& root, const MapText& text) {
    if (root.kind != Json::Kind::object)
        return text.problem(root, "a map is a JSON object", "give a file in GeoJSON or TopoJSON");
    if (root.text_of("type") == "Topology") return read_topology(root, text);
    return read_geojson(root, text);
}

/// On the grid, without repeated points, counter-clockwise for outer rings and clockwise for holes.
Ring to_ring(const MapRing& from, const Frame& frame) {
    Ring ring;
    for (const Vec v : from.points) {
        const Point p = plane::to_grid(frame(v));
        if (ring.empty() || ring.back() != p) ring.push_back(p);
    }
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    const bool clockwise = plane::signed_area(ring) < 0;
    if (clockwise != from.hole) ring = plane::reversed(std::move(ring));
    return ring;
}

} // namespace

Result<Sketch> read_map(std::string_view text, const std::string& file, const ReadOptions& options) {
    auto root = parse_json(text, file);
    if (!root) return root.problem();
    auto map = read_features(root.value(), {text, file});
    if (!map) return map.problem();
    if (map.value().features.empty())
        return Problem{file, 0, 0, "there is no polygon in the map", "export the regions as polygons"};
    auto rings = project(map.value(), file, options);
    if (!rings) return rings.problem();
    Box box;
    for (const MapRing& ring : rings.value())
        for (const Vec p : ring.points)
            plane::extend(box, p);
    auto frame = finished_frame(box, file, options);
    if (!frame) return frame.problem();

    Sketch sketch;
    std::size_t next = 0;
    std::size_t counted = 0; // features stand in the order of the text: lines are counted once
    int line = 1;
    for (MapFeature& feature : map.value().features) {
        Outline outline;
        outline.id = std::move(feature.id);
        outline.layer = std::move(feature.layer);
        outline.properties = std::move(feature.properties);
        if (feature.at > counted) {
            line += static_cast<int>(std::count(text.begin() + static_cast<std::ptrdiff_t>(counted),
                                                text.begin() + static_cast<std::ptrdiff_t>(feature.at), '\n'));
            counted = feature.at;
        }
        outline.line = line;
        for (std::size_t i = 0; i < feature.rings.size(); ++i) {
            Ring ring = to_ring(rings.value()[next++], frame.value());
            if (ring.size() >= 3) outline.rings.push_back(std::move(ring));
        }
        if (!outline.rings.empty()) sketch.outlines.push_back(std::move(outline));
    }
    if (map.value().left_out > 0)
        sketch.notes.push_back(
            {Note::Kind::ignored,
             fmt::format("{} points, lines and empty shapes of the map have no area and are left out",
                         map.value().left_out),
             {},
             {},
             0});
    return sketch;
}

} // namespace kerfwright::drawing
