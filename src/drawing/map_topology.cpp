#include "drawing/map.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::drawing {
namespace {

using plane::Vec;

/// Position = scale * integer + translate (TopoJSON 1.0, 2.1.2).
struct Transform {
    Vec scale{1, 1};
    Vec translate;
};

class Reader {
  public:
    explicit Reader(const MapText& text) : text_(text) {}

    Result<Done> read(const Json& root) {
        if (auto done = read_arcs(root); !done) return done;
        const Json* objects = root.find("objects");
        if (objects == nullptr || objects->kind != Json::Kind::object)
            return text_.problem(root, "a Topology has no \"objects\"", "export the map again");
        for (std::size_t i = 0; i < objects->items.size(); ++i) {
            layer_ = objects->keys[i];
            unnamed_ = 0;
            if (auto done = read_object(objects->items[i]); !done) return done;
        }
        return Done{};
    }
    MapData take() { return std::move(map_); }

  private:
    Result<Done> read_arcs(const Json& root) {
        Transform transform;
        const Json* shift = root.find("transform");
        if (shift != nullptr) {
            const Json* scale = shift->find("scale");
            const Json* translate = shift->find("translate");
            if (scale == nullptr || translate == nullptr || scale->numbers.size() < 2 || translate->numbers.size() < 2)
                return text_.problem(*shift, "\"transform\" has no \"scale\" and \"translate\" of two numbers each",
                                     "export the map again");
            transform = {{scale->numbers[0], scale->numbers[1]}, {translate->numbers[0], translate->numbers[1]}};
        }
        const Json* arcs = root.find("arcs");
        if (arcs == nullptr || !arcs->is_list() || !arcs->numbers.empty())
            return text_.problem(root, "a Topology has no list \"arcs\"", "export the map again");
        for (const Json& arc : arcs->items)
            if (auto done = read_arc(arc, transform, shift != nullptr); !done) return done;
        return Done{};
    }

    Result<Done> read_arc(const Json& arc, const Transform& transform, bool deltas) {
        std::vector<Vec> points;
        Vec sum;
        if (!arc.is_list() || !arc.numbers.empty())
            return text_.problem(arc, "an arc is not a list of positions", "export the map again");
        for (const Json& position : arc.items) {
            if (position.numbers.size() < 2)
                return text_.problem(position, "a position is not a list of two or three numbers",
                                     "export the map again");
            const Vec given{position.numbers[0], position.numbers[1]};
            sum = deltas ? sum + given : given;
            points.push_back(
                {sum.x * transform.scale.x + transform.translate.x, sum.y * transform.scale.y + transform.translate.y});
        }
        arcs_.push_back(std::move(points));
        return Done{};
    }

    /// Recursion is bounded by the depth that parse_json allows.
    Result<Done> read_object(const Json& json) {
        const std::string_view type = json.text_of("type");
        if (type == "GeometryCollection") {
            const Json* geometries = json.find("geometries");
            if (geometries == nullptr || !geometries->is_list())
                return text_.problem(json, "a GeometryCollection has no list \"geometries\"", "export the map again");
            for (const Json& geometry : geometries->items)
                if (auto done = read_object(geometry); !done) return done;
            return Done{};
        }
        if (type != "Polygon" && type != "MultiPolygon") {
            ++map_.left_out;
            return Done{};
        }
        return read_feature(json, type == "MultiPolygon");
    }

    Result<Done> read_feature(const Json& json, bool many) {
        MapFeature feature;
        feature.at = json.at;
        feature.layer = layer_;
        read_feature_names(json, feature);
        if (feature.id.empty()) feature.id = fmt::format("{}-{}", layer_, ++unnamed_);
        const Json* arcs = json.find("arcs");
        if (arcs == nullptr || !arcs->is_list() || !arcs->numbers.empty())
            return text_.problem(json, "a polygon has no list of rings \"arcs\"", "export the map again");
        if (!many) {
            if (auto done = read_polygon(*arcs, feature); !done) return done;
        } else {
            for (const Json& polygon : arcs->items)
                if (auto done = read_polygon(polygon, feature); !done) return done;
        }
        if (!feature.rings.empty()) map_.features.push_back(std::move(feature));
        return Done{};
    }

    Result<Done> read_polygon(const Json& rings, MapFeature& feature) {
        if (!rings.is_list() || !rings.numbers.empty())
            return text_.problem(rings, "a polygon is not a list of rings", "export the map again");
        for (std::size_t i = 0; i < rings.items.size(); ++i) {
            MapRing ring;
            ring.hole = i > 0;
            if (auto done = stitch(rings.items[i], ring); !done) return done;
            if (ring.points.size() >= 3)
                feature.rings.push_back(std::move(ring));
            else
                ++map_.left_out;
        }
        return Done{};
    }

    /// Puts a ring together from arcs; ~i means arc i from its end to its start. The point where two arcs meet is
    /// in both of them.
    Result<Done> stitch(const Json& indices, MapRing& ring) {
        if (!indices.is_list() || !indices.items.empty())
            return text_.problem(indices, "a ring is not a list of arc numbers", "export the map again");
        for (const double index : indices.numbers) {
            const double forward = index < 0 ? -1 - index : index;
            if (!(forward >= 0) || forward != std::floor(forward) || forward >= static_cast<double>(arcs_.size()))
                return text_.problem(indices,
                                     fmt::format("there is no arc {}: the map has {} arcs", index, arcs_.size()),
                                     "export the map again");
            const std::vector<Vec>& arc = arcs_[static_cast<std::size_t>(forward)];
            points_ += arc.size();
            if (points_ > kMostPoints)
                return text_.problem(indices, fmt::format("the map has more than {} points", kMostPoints),
                                     "simplify the map, or keep only the regions that are cut");
            for (std::size_t i = 0; i < arc.size(); ++i) {
                const Vec point = index < 0 ? arc[arc.size() - 1 - i] : arc[i];
                if (ring.points.empty() || !(ring.points.back() == point)) ring.points.push_back(point);
            }
        }
        while (ring.points.size() > 1 && ring.points.front() == ring.points.back())
            ring.points.pop_back();
        return Done{};
    }

    const MapText& text_;
    MapData map_;
    std::vector<std::vector<Vec>> arcs_;
    std::string layer_;
    int unnamed_ = 0;
    std::size_t points_ = 0;
};

} // namespace

Result<MapData> read_topology(const Json& root, const MapText& text) {
    Reader reader(text);
    if (auto done = reader.read(root); !done) return done.problem();
    return reader.take();
}

} // namespace kerfwright::drawing
