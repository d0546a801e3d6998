#include "shop/material.hpp"

#include "shop/toml_table.hpp"

#include <fmt/format.h>

namespace kerfwright::shop {
namespace {

constexpr std::array kKinds = {"wood", "panel", "plastic", "metal", "laminate"};
constexpr std::array kForms = {"kienzle", "linear-edge"};

void read_force(TomlTable& table, CuttingForce& force, const std::string& name) {
    const toml::table* found = table.table("force", Need::required);
    if (!found) return;
    TomlTable parts(table.text(), *found, fmt::format("material \"{}\", force", name));
    parts.choice("form", force.form, kForms, Need::required);
    constexpr Range pressure{0.1, 20'000}, edge{0, 500};
    if (force.form == CuttingForce::Form::kienzle) {
        parts.sourced("kc11", force.kc11, pressure);
        parts.sourced("mc", force.mc, {0, 0.9});
    } else {
        parts.sourced("ktc", force.ktc, pressure);
        parts.sourced("kte", force.kte, edge);
        parts.sourced("krc", force.krc, pressure, {}, Need::optional);
        parts.sourced("kre", force.kre, edge, {}, Need::optional);
        parts.sourced("kac", force.kac, {0, 20'000}, {}, Need::optional);
        parts.sourced("kae", force.kae, edge, {}, Need::optional);
    }
    parts.number("radial_ratio", force.radial_ratio, {0, 3});
    parts.refuse_unknown_keys();
}

void read_cut(TomlTable& table, Material& m) {
    constexpr Range chip{1e-4, 5};
    constexpr Dimension fz = Dimension::feed_per_tooth;
    table.sourced("fz_min", m.fz_min, chip, fz);
    table.sourced("fz_max", m.fz_max, chip, fz);
    table.number("fz_scale_exponent", m.fz_scale_exponent, {0, 2});
    table.sourced("vc_min", m.vc_min, {0, 10'000});
    table.sourced("vc_max", m.vc_max, {1, 10'000});
    table.sourced("hmin_over_edge", m.hmin_over_edge, {0, 5});
    table.sourced("ap_over_dc", m.ap_over_dc, {0.01, 10});
    table.sourced("softening", m.softening, {-50, 2000}, Dimension::temperature);
    table.sourced("specific_heat", m.specific_heat, {50, 10'000});
    table.sourced("conductivity", m.conductivity, {0.01, 1000});
    table.sourced("chip_bulk", m.chip_bulk, {1, 50});
    table.flag("chips_pack", m.chips_pack);
    table.sourced("cutter_life", m.cutter_life, {0.1, 1e6});
    if (m.softening && !(m.specific_heat && m.conductivity))
        table.fail("softening", "\"softening\" needs \"specific_heat\" and \"conductivity\"", "add both");
}

void read_hold(TomlTable& table, Material& m) {
    constexpr Range strength{0.01, 5000};
    table.sourced("tensile", m.tensile, strength);
    table.sourced("bending", m.bending, strength);
    table.sourced("shear", m.shear, strength);
    table.sourced("elastic_modulus", m.elastic_modulus, {1, 1e6});
    table.sourced("tape_factor", m.tape_factor, {0, 1});
    table.sourced("friction", m.friction, {0, 2});
    table.flag("skin_allowed", m.skin_allowed);
    table.sourced("tab_thickness", m.tab_thickness, {0.05, 50}, Dimension::length);
    table.sourced("tab_width", m.tab_width, {0.1, 100}, Dimension::length);
    table.sourced("min_wall", m.min_wall, {0.05, 100}, Dimension::length);
}

Material read_material(TomlText& text, const toml::table& found, std::set<std::string>& taken) {
    Material m;
    TomlTable table(text, found, "material");
    table.string("name", m.name);
    check_name(table, m.name, taken);
    table.rename(fmt::format("material \"{}\"", m.name));
    table.string("title", m.title);
    table.choice("kind", m.kind, kKinds, Need::required);
    table.flag("grain", m.grain);
    table.sourced("density", m.density, {1, 25'000});
    read_force(table, m.force, m.name);
    read_cut(table, m);
    read_hold(table, m);
    table.sourced("thickness_tolerance", m.thickness_tolerance, {0, 20}, Dimension::length);
    table.sourced("movement_along", m.movement_along, {0, 0.1});
    table.sourced("movement_across", m.movement_across, {0, 0.1});
    table.flag("movement_by_moisture", m.movement_by_moisture);
    table.sourced("expansion", m.expansion, {-50, 1000});
    table.sourced("price_per_m2", m.price_per_m2, {0, 1e6});
    table.strings("cutters", m.cutters);
    table.strings("cautions", m.cautions);
    table.refuse_unknown_keys();
    if (m.fz_min.low > m.fz_max.high)
        table.fail("fz_min", "\"fz_min\" is above \"fz_max\"", "correct the chip-load window");
    return m;
}

} // namespace

const char* to_string(MaterialKind kind) {
    return kKinds[static_cast<std::size_t>(kind)];
}

Result<std::vector<Material>> read_materials(std::string_view toml, const std::string& file) {
    TomlText text{file, "mm", {}};
    const toml::table root = parse_toml(text, toml);
    std::vector<Material> materials;
    std::set<std::string> taken;
    for (const toml::table* found : shop_tables(text, root, "material")) {
        materials.push_back(read_material(text, *found, taken));
        if (text.problem) break;
    }
    if (text.problem) return *text.problem;
    return materials;
}

} // namespace kerfwright::shop
