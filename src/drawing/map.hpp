#pragma once
// Private to drawing/: the steps of read_map.

#include "drawing/drawing.hpp"
#include "drawing/map_json.hpp"
#include "drawing/scaling.hpp"

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace kerfwright::drawing {

/// One polygon ring in the coordinates of the file, its first point not repeated.
struct MapRing {
    std::vector<plane::Vec> points;
    bool hole = false;
};

/// One feature with all rings of its geometry.
struct MapFeature {
    std::string id;
    std::string layer;
    std::vector<std::pair<std::string, std::string>> properties;
    std::vector<MapRing> rings;
    std::size_t at = 0; ///< byte in the text
};

struct MapData {
    std::vector<MapFeature> features;
    std::size_t left_out = 0; ///< points and lines, which have no area
};

/// The text with the name it goes by, for messages.
struct MapText {
    std::string_view text;
    const std::string& file;
    [[nodiscard]] Problem problem(const Json& at, std::string what, std::string remedy) const {
        return problem_at(text, file, at.at, std::move(what), std::move(remedy));
    }
};

[[nodiscard]] Result<MapData> read_geojson(const Json& root, const MapText& text);  ///< RFC 7946
[[nodiscard]] Result<MapData> read_topology(const Json& root, const MapText& text); ///< TopoJSON 1.0

/// Id and properties of a feature of either format. Without an "id" member the property "id" names it.
void read_feature_names(const Json& json, MapFeature& feature);

/// Rings in the plane, Y up, in mm at the map's own size (a projection's metres are 1000 of them; with `projection`
/// "none" the numbers of the file are), in the order of the features. Edges are straight in longitude and latitude
/// (RFC 7946, 3.1.1), so long ones get points between, as many as 2 µm in the finished set ask for. The same edge of
/// two neighbours gets the same points.
[[nodiscard]] Result<std::vector<MapRing>> project(const MapData& map, const std::string& file,
                                                   const ReadOptions& options);

} // namespace kerfwright::drawing
