#include "drawing/map.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::drawing {
namespace {

/// A property as text: whole numbers without a point.
std::string as_text(const Json& json) {
    switch (json.kind) {
    case Json::Kind::text:
        return json.text;
    case Json::Kind::boolean:
        return json.number != 0 ? "true" : "false";
    case Json::Kind::number:
        return json.number == std::floor(json.number) && std::abs(json.number) < 1e15
                   ? fmt::format("{:.0f}", json.number)
                   : fmt::format("{}", json.number);
    default:
        return "";
    }
}

class Reader {
  public:
    explicit Reader(const MapText& text) : text_(text) {}

    /// FeatureCollection, Feature, or a bare geometry.
    Result<Done> read(const Json& json) {
        const std::string_view type = json.text_of("type");
        if (type == "FeatureCollection") return read_collection(json);
        if (type == "Feature") return read_feature(json);
        MapFeature feature;
        feature.at = json.at;
        return finish(std::move(feature), json);
    }
    MapData take() { return std::move(map_); }

  private:
    Result<Done> read_collection(const Json& json) {
        const Json* features = json.find("features");
        if (features == nullptr || !features->is_list())
            return text_.problem(json, "a FeatureCollection has no list \"features\"", "export the map again");
        for (const Json& feature : features->items) {
            if (feature.text_of("type") != "Feature")
                return text_.problem(feature, "an entry of \"features\" is no Feature", "export the map again");
            if (auto done = read_feature(feature); !done) return done;
        }
        return Done{};
    }

    Result<Done> read_feature(const Json& json) {
        MapFeature feature;
        feature.at = json.at;
        read_feature_names(json, feature);
        const Json* geometry = json.find("geometry");
        if (geometry == nullptr || geometry->kind == Json::Kind::null) {
            ++map_.left_out;
            return Done{};
        }
        return finish(std::move(feature), *geometry);
    }

    Result<Done> finish(MapFeature feature, const Json& geometry) {
        if (auto done = read_geometry(geometry, feature); !done) return done;
        if (!feature.rings.empty()) map_.features.push_back(std::move(feature));
        return Done{};
    }

    /// Recursion is bounded by the depth that parse_json allows.
    Result<Done> read_geometry(const Json& json, MapFeature& feature) {
        const std::string_view type = json.text_of("type");
        const bool many = type == "GeometryCollection";
        const Json* content = json.find(many ? "geometries" : "coordinates");
        if (type == "Point" || type == "MultiPoint" || type == "LineString" || type == "MultiLineString") {
            ++map_.left_out;
            return Done{};
        }
        if (!many && type != "Polygon" && type != "MultiPolygon")
            return text_.problem(json, fmt::format("\"{}\" is no type of GeoJSON", type),
                                 "give a FeatureCollection, a Feature, a Polygon or a MultiPolygon");
        if (content == nullptr || !content->is_list())
            return text_.problem(json,
                                 fmt::format("a {} has no list \"{}\"", type, many ? "geometries" : "coordinates"),
                                 "export the map again");
        if (type == "Polygon") return read_polygon(*content, feature);
        for (const Json& item : content->items) {
            auto done = many ? read_geometry(item, feature) : read_polygon(item, feature);
            if (!done) return done;
        }
        return Done{};
    }

    Result<Done> read_polygon(const Json& rings, MapFeature& feature) {
        if (!rings.is_list() || !rings.numbers.empty())
            return text_.problem(rings, "a polygon is not a list of rings", "export the map again");
        for (std::size_t i = 0; i < rings.items.size(); ++i) {
            MapRing ring;
            ring.hole = i > 0;
            if (auto done = read_ring(rings.items[i], ring); !done) return done;
            if (ring.points.size() >= 3)
                feature.rings.push_back(std::move(ring));
            else
                ++map_.left_out;
        }
        return Done{};
    }

    Result<Done> read_ring(const Json& positions, MapRing& ring) {
        if (!positions.is_list() || !positions.numbers.empty())
            return text_.problem(positions, "a ring is not a list of positions", "export the map again");
        points_ += positions.items.size();
        if (points_ > kMostPoints)
            return text_.problem(positions, fmt::format("the map has more than {} points", kMostPoints),
                                 "simplify the map, or keep only the regions that are cut");
        ring.points.reserve(positions.items.size());
        for (const Json& position : positions.items) {
            if (position.numbers.size() < 2)
                return text_.problem(position, "a position is not a list of two or three numbers",
                                     "export the map again");
            ring.points.push_back({position.numbers[0], position.numbers[1]});
        }
        if (ring.points.size() > 1 && ring.points.front() == ring.points.back()) ring.points.pop_back();
        return Done{};
    }

    const MapText& text_;
    MapData map_;
    std::size_t points_ = 0;
};

} // namespace

void read_feature_names(const Json& json, MapFeature& feature) {
    if (const Json* id = json.find("id")) feature.id = as_text(*id);
    const Json* properties = json.find("properties");
    if (properties == nullptr) return;
    for (std::size_t i = 0; i < properties->keys.size() && i < properties->items.size(); ++i) {
        std::string value = as_text(properties->items[i]);
        if (feature.id.empty() && properties->keys[i] == "id") feature.id = value;
        if (!value.empty()) feature.properties.emplace_back(properties->keys[i], std::move(value));
    }
}

Result<MapData> read_geojson(const Json& root, const MapText& text) {
    Reader reader(text);
    if (auto done = reader.read(root); !done) return done.problem();
    return reader.take();
}

} // namespace kerfwright::drawing
