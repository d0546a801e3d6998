#include "job/json_values.hpp"

#include "plane/boolean.hpp"

#include <cmath>

namespace kerfwright::job {
namespace {

template <class Enum, std::size_t N>
Enum enum_from(const std::string& name, const Enum (&all)[N]) {
    for (const Enum value : all)
        if (name == shop::to_string(value)) return value;
    throw Unfit("\"" + name + "\" is not known here");
}

} // namespace

double tidy(double value) {
    const double rounded = std::round(value * 1e6) / 1e6;
    return rounded == 0 ? 0 : rounded;
}

const Json& member(const Json& json, const char* name) {
    if (!json.is_object() || !json.contains(name)) throw Unfit(std::string("\"") + name + "\" is missing");
    return json.at(name);
}

double number(const Json& json, const char* name) {
    const Json& value = member(json, name);
    if (!value.is_number() || !std::isfinite(value.get<double>()))
        throw Unfit(std::string("\"") + name + "\" is no number");
    return value.get<double>();
}

std::string text(const Json& json, const char* name) {
    const Json& value = member(json, name);
    if (!value.is_string()) throw Unfit(std::string("\"") + name + "\" is no text");
    return value.get<std::string>();
}

Json json_of(const plane::Ring& ring) {
    // Divided, not multiplied by the grid: gives the nearest double, hence the shortest text.
    constexpr double kUnitsInMm = 1e5;
    Json json = Json::array();
    for (const plane::Point p : ring)
        json.push_back({static_cast<double>(p.x) / kUnitsInMm, static_cast<double>(p.y) / kUnitsInMm});
    return json;
}

Json json_of(const plane::Polygon& polygon) {
    Json json = Json::array();
    for (const plane::Ring& ring : plane::rings_of(polygon))
        json.push_back(json_of(ring));
    return json;
}

Json json_of(const plane::Shape& shape) {
    Json json = Json::array();
    for (const plane::Ring& ring : plane::rings_of(shape))
        json.push_back(json_of(ring));
    return json;
}

Json json_of(const plane::Placement& placement) {
    return {{"x", tidy(placement.x)}, {"y", tidy(placement.y)}, {"angle_deg", tidy(placement.angle_deg)}};
}

plane::Vec vec_from(const Json& json) {
    if (!json.is_array() || json.size() != 2 || !json[0].is_number() || !json[1].is_number())
        throw Unfit("a point is two numbers");
    const plane::Vec v{json[0].get<double>(), json[1].get<double>()};
    if (!(std::abs(v.x) <= plane::kRangeMm && std::abs(v.y) <= plane::kRangeMm))
        throw Unfit("a point lies beyond ±21 m");
    return v;
}

namespace {

std::vector<plane::Ring> rings_from(const Json& json) {
    if (!json.is_array()) throw Unfit("an outline is a list of rings");
    std::vector<plane::Ring> rings;
    for (const Json& points : json) {
        if (!points.is_array() || points.size() < 3) throw Unfit("a ring has at least three points");
        plane::Ring ring;
        for (const Json& point : points)
            ring.push_back(plane::to_grid(vec_from(point)));
        rings.push_back(std::move(ring));
    }
    return rings;
}

} // namespace

plane::Polygon polygon_from(const Json& json) {
    std::vector<plane::Ring> rings = rings_from(json);
    if (rings.empty()) throw Unfit("an outline has at least one ring");
    plane::Polygon polygon;
    for (std::size_t i = 0; i < rings.size(); ++i) {
        const bool turned = (plane::signed_area(rings[i]) > 0) != (i == 0);
        plane::Ring ring = turned ? plane::reversed(std::move(rings[i])) : std::move(rings[i]);
        if (i == 0)
            polygon.outer = std::move(ring);
        else
            polygon.holes.push_back(std::move(ring));
    }
    return polygon;
}

plane::Shape shape_from(const Json& json) {
    return plane::normal(rings_from(json), plane::FillRule::even_odd);
}

plane::Placement placement_from(const Json& json) {
    return {number(json, "x"), number(json, "y"), number(json, "angle_deg")};
}

Json json_of(const shop::Cutter& c) {
    return {{"name", c.name},
            {"title", c.title},
            {"kind", to_string(c.kind)},
            {"family", c.family},
            {"DC", c.DC},
            {"ZEFP", c.ZEFP},
            {"APMX", c.APMX},
            {"LPR", c.LPR},
            {"DCON", c.DCON},
            {"helix", c.helix},
            {"tip_angle", c.tip_angle},
            {"taper", c.taper},
            {"edge_radius", c.edge_radius},
            {"runout", c.runout},
            {"elastic_modulus", c.elastic_modulus},
            {"strength", c.strength},
            {"n_max", c.n_max},
            {"centre_cutting", c.centre_cutting},
            {"max_ramp", c.max_ramp}};
}

shop::Cutter cutter_from(const Json& json) {
    using shop::CutterKind;
    constexpr CutterKind kKinds[] = {CutterKind::flat, CutterKind::ball, CutterKind::tapered, CutterKind::drill,
                                     CutterKind::clearing};
    shop::Cutter c;
    c.name = text(json, "name");
    c.title = text(json, "title");
    c.kind = enum_from(text(json, "kind"), kKinds);
    c.family = text(json, "family");
    c.DC = number(json, "DC");
    c.ZEFP = static_cast<int>(number(json, "ZEFP"));
    c.APMX = number(json, "APMX");
    c.LPR = number(json, "LPR");
    c.DCON = number(json, "DCON");
    c.helix = number(json, "helix");
    c.tip_angle = number(json, "tip_angle");
    c.taper = number(json, "taper");
    c.edge_radius = number(json, "edge_radius");
    c.runout = number(json, "runout");
    c.elastic_modulus = number(json, "elastic_modulus");
    c.strength = number(json, "strength");
    c.n_max = number(json, "n_max");
    c.centre_cutting = member(json, "centre_cutting").get<bool>();
    c.max_ramp = number(json, "max_ramp");
    return c;
}

Json json_of(const shop::Machine& m) {
    Json axes = Json::array();
    for (const shop::Axis& axis : m.axes)
        axes.push_back({{"travel", axis.travel},
                        {"rapid", axis.rapid},
                        {"feed_max", axis.feed_max},
                        {"acceleration", axis.acceleration},
                        {"jerk", axis.jerk}});
    Json stack = Json::array();
    for (const shop::Cylinder& part : m.stack)
        stack.push_back({{"name", part.name}, {"diameter", part.diameter}, {"from", part.from}, {"to", part.to}});
    return {{"name", m.name},
            {"title", m.title},
            {"axes", axes},
            {"stack", stack},
            {"n_min", m.spindle.n_min},
            {"n_max", m.spindle.n_max},
            {"inches", m.abilities.inches},
            {"arc_tolerance", m.abilities.arc_tolerance},
            {"clearance_height", m.clearance_height},
            {"corner_deviation", m.corner_deviation},
            {"stiffness", m.stiffness},
            {"collet_stiffness", m.collet_stiffness},
            {"bed_allowance", m.bed_allowance}};
}

shop::Machine machine_from(const Json& json) {
    shop::Machine m;
    m.name = text(json, "name");
    m.title = text(json, "title");
    const Json& axes = member(json, "axes");
    if (!axes.is_array() || axes.size() != 3) throw Unfit("a machine has three axes");
    for (std::size_t i = 0; i < 3; ++i)
        m.axes[i] = {number(axes[i], "travel"), number(axes[i], "rapid"), number(axes[i], "feed_max"),
                     number(axes[i], "acceleration"), number(axes[i], "jerk")};
    for (const Json& part : member(json, "stack"))
        m.stack.push_back({text(part, "name"), number(part, "diameter"), number(part, "from"), number(part, "to")});
    m.spindle.n_min = number(json, "n_min");
    m.spindle.n_max = number(json, "n_max");
    m.abilities.inches = member(json, "inches").get<bool>();
    m.abilities.arc_tolerance = number(json, "arc_tolerance");
    m.clearance_height = number(json, "clearance_height");
    m.corner_deviation = number(json, "corner_deviation");
    m.stiffness = number(json, "stiffness");
    m.collet_stiffness = number(json, "collet_stiffness");
    m.bed_allowance = number(json, "bed_allowance");
    return m;
}

namespace {

Json json_of_value(const shop::Sourced& value) {
    return {{"value", value.value},
            {"low", value.low},
            {"high", value.high},
            {"sureness", to_string(value.sureness)},
            {"source", value.source}};
}

shop::Sourced value_from(const Json& json, const char* name) {
    using shop::Sureness;
    constexpr Sureness kAll[] = {Sureness::published, Sureness::common_practice, Sureness::from_memory,
                                 Sureness::measured, Sureness::derived};
    const Json& value = member(json, name);
    return {number(value, "value"), number(value, "low"), number(value, "high"),
            enum_from(text(value, "sureness"), kAll), text(value, "source")};
}

} // namespace

Json json_of(const shop::Material& material) {
    const shop::CuttingForce& f = material.force;
    const bool kienzle = f.form == shop::CuttingForce::Form::kienzle;
    Json force{{"form", kienzle ? "kienzle" : "linear edge"}, {"radial_ratio", f.radial_ratio}};
    if (kienzle) {
        force["kc11"] = json_of_value(f.kc11);
        force["mc"] = json_of_value(f.mc);
    } else {
        for (const auto& [name, value] : {std::pair("Ktc", f.ktc), std::pair("Kte", f.kte), std::pair("Krc", f.krc),
                                          std::pair("Kre", f.kre), std::pair("Kac", f.kac), std::pair("Kae", f.kae)})
            force[name] = json_of_value(value);
    }
    return {{"name", material.name}, {"title", material.title}, {"kind", to_string(material.kind)}, {"force", force}};
}

shop::Material material_from(const Json& json) {
    using shop::MaterialKind;
    constexpr MaterialKind kKinds[] = {MaterialKind::wood, MaterialKind::panel, MaterialKind::plastic,
                                       MaterialKind::metal, MaterialKind::laminate};
    shop::Material material;
    material.name = text(json, "name");
    material.title = text(json, "title");
    material.kind = enum_from(text(json, "kind"), kKinds);
    const Json& force = member(json, "force");
    shop::CuttingForce& f = material.force;
    f.radial_ratio = number(force, "radial_ratio");
    if (text(force, "form") == "kienzle") {
        f.form = shop::CuttingForce::Form::kienzle;
        f.kc11 = value_from(force, "kc11");
        f.mc = value_from(force, "mc");
    } else {
        f.form = shop::CuttingForce::Form::linear_edge;
        f.ktc = value_from(force, "Ktc");
        f.kte = value_from(force, "Kte");
        f.krc = value_from(force, "Krc");
        f.kre = value_from(force, "Kre");
        f.kac = value_from(force, "Kac");
        f.kae = value_from(force, "Kae");
    }
    return material;
}

Json json_of(const shop::Sheet& sheet) {
    Json measured = Json::array();
    for (const shop::ThicknessPoint& p : sheet.measured)
        measured.push_back({tidy(p.at.x), tidy(p.at.y), tidy(p.thickness)});
    Json bed = Json::array();
    for (const shop::BedPoint& p : sheet.bed)
        bed.push_back({tidy(p.at.x), tidy(p.at.y), tidy(p.height)});
    Json clamps = Json::array();
    for (const shop::Clamp& clamp : sheet.clamps)
        clamps.push_back({{"at", {tidy(clamp.at.x), tidy(clamp.at.y)}},
                          {"size", {tidy(clamp.size.x), tidy(clamp.size.y)}},
                          {"height", tidy(clamp.height)}});
    Json hold = Json::array();
    for (const shop::Hold h : sheet.hold)
        hold.push_back(to_string(h));
    return {{"name", sheet.name},
            {"material", sheet.material},
            {"outline", json_of(sheet.outline)},
            {"offcut", sheet.offcut},
            {"thickness", sheet.thickness},
            {"measured", measured},
            {"bed", bed},
            {"grain", sheet.grain_deg},
            {"hold", hold},
            {"clamps", clamps},
            {"price", sheet.price}};
}

shop::Sheet sheet_from(const Json& json) {
    using shop::Hold;
    constexpr Hold kHolds[] = {Hold::tape, Hold::clamps, Hold::screws, Hold::vacuum, Hold::skin, Hold::tabs};
    shop::Sheet sheet;
    sheet.name = text(json, "name");
    sheet.material = text(json, "material");
    sheet.outline = polygon_from(member(json, "outline"));
    sheet.offcut = member(json, "offcut").get<bool>();
    sheet.thickness = number(json, "thickness");
    for (const Json& p : member(json, "measured")) {
        if (!p.is_array() || p.size() != 3) throw Unfit("a measured point is x, y, thickness");
        sheet.measured.push_back({{p[0].get<double>(), p[1].get<double>()}, p[2].get<double>()});
    }
    if (json.contains("bed"))
        for (const Json& p : member(json, "bed")) {
            if (!p.is_array() || p.size() != 3) throw Unfit("a point of the bed is x, y, height");
            sheet.bed.push_back({{p[0].get<double>(), p[1].get<double>()}, p[2].get<double>()});
        }
    sheet.grain_deg = number(json, "grain");
    for (const Json& name : member(json, "hold"))
        sheet.hold.insert(enum_from(name.get<std::string>(), kHolds));
    for (const Json& clamp : member(json, "clamps"))
        sheet.clamps.push_back(
            {vec_from(member(clamp, "at")), vec_from(member(clamp, "size")), number(clamp, "height")});
    sheet.price = number(json, "price");
    return sheet;
}

} // namespace kerfwright::job
