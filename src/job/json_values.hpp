#pragma once
// Plane, shop and cutting values as JSON and back. Readers throw Unfit; plan_from_json turns it into a Problem.

#include "cutting/feeds.hpp"
#include "plane/shape.hpp"
#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <nlohmann/json.hpp>

#include <stdexcept>

namespace kerfwright::job {

using Json = nlohmann::ordered_json;

struct Unfit : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// Rounded to 1e-6, so that the text is short; never -0.
[[nodiscard]] double tidy(double value);

[[nodiscard]] Json json_of(const plane::Ring& ring);
[[nodiscard]] Json json_of(const plane::Polygon& polygon); ///< list of rings, the outer one first
[[nodiscard]] Json json_of(const plane::Shape& shape);     ///< list of all rings
[[nodiscard]] Json json_of(const plane::Placement& placement);
[[nodiscard]] Json json_of(const shop::Cutter& cutter);
[[nodiscard]] Json json_of(const shop::Machine& machine);
/// What a proof needs to compute loads: name, kind and the law of the cutting force, with spreads and sources.
[[nodiscard]] Json json_of(const shop::Material& material);
[[nodiscard]] Json json_of(const shop::Sheet& sheet);
[[nodiscard]] Json json_of(const cutting::FeedPlan& plan);

[[nodiscard]] plane::Vec vec_from(const Json& json);
[[nodiscard]] plane::Polygon polygon_from(const Json& json);
[[nodiscard]] plane::Shape shape_from(const Json& json);
[[nodiscard]] plane::Placement placement_from(const Json& json);
[[nodiscard]] shop::Cutter cutter_from(const Json& json);
[[nodiscard]] shop::Machine machine_from(const Json& json);
[[nodiscard]] shop::Material material_from(const Json& json);
[[nodiscard]] shop::Sheet sheet_from(const Json& json);

/// The member, or Unfit naming it.
[[nodiscard]] const Json& member(const Json& json, const char* name);
[[nodiscard]] double number(const Json& json, const char* name); ///< finite
[[nodiscard]] std::string text(const Json& json, const char* name);

} // namespace kerfwright::job
