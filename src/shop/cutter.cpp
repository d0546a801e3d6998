#include "shop/cutter.hpp"

#include "shop/toml_table.hpp"

#include <fmt/format.h>

namespace kerfwright::shop {
namespace {

constexpr std::array kKinds = {"flat", "ball", "tapered", "drill", "clearing"};

void check_shape(TomlTable& table, const Cutter& c) {
    if (table.text().problem) return;
    if (c.APMX > c.LPR)
        table.fail("APMX", "\"APMX\" is longer than \"LPR\"", "the flutes cannot reach into the collet");
    if (c.up_length > c.APMX) table.fail("up_length", "\"up_length\" is longer than \"APMX\"", "count it from the tip");
}

Cutter read_cutter(TomlText& text, const toml::table& found, std::set<std::string>& taken) {
    Cutter c;
    constexpr Range size{0.05, 500};
    constexpr Dimension mm = Dimension::length;
    TomlTable table(text, found, "cutter");
    table.string("name", c.name);
    check_name(table, c.name, taken);
    table.rename(fmt::format("cutter \"{}\"", c.name));
    table.string("title", c.title);
    table.choice("kind", c.kind, kKinds, Need::required);
    table.string("family", c.family);
    table.number("DC", c.DC, size, mm, Need::required);
    table.integer("ZEFP", c.ZEFP, {1, 32}, Need::required);
    table.number("APMX", c.APMX, size, mm, Need::required);
    table.number("LPR", c.LPR, size, mm, Need::required);
    table.number("DCON", c.DCON, size, mm, Need::required);
    table.number("helix", c.helix, {-70, 70}, Dimension::angle);
    table.number("tip_angle", c.tip_angle, {20, 180}, Dimension::angle);
    table.number("taper", c.taper, {0, 60}, Dimension::angle);
    table.number("edge_radius", c.edge_radius, {0, 1}, mm);
    table.number("runout", c.runout, {0, 1}, mm);
    table.number("up_length", c.up_length, {0, 500}, mm);
    table.number("chip_room", c.chip_room, {0.01, 0.95}, Dimension::ratio);
    table.number("n_max", c.n_max, {0, 200'000}, Dimension::speed);
    table.flag("centre_cutting", c.centre_cutting);
    table.number("max_ramp", c.max_ramp, {0.1, 90}, Dimension::angle);
    table.flag("carbide", c.carbide);
    if (!c.carbide) c.elastic_modulus = 210'000;
    table.number("elastic_modulus", c.elastic_modulus, {1000, 1.2e6});
    table.number("strength", c.strength, {10, 10'000});
    table.number("price", c.price, {0, 1e6});
    table.strings("sources", c.sources);
    table.refuse_unknown_keys();
    check_shape(table, c);
    return c;
}

} // namespace

const char* to_string(CutterKind kind) {
    return kKinds[static_cast<std::size_t>(kind)];
}

Result<std::vector<Cutter>> read_cutters(std::string_view toml, const std::string& file) {
    TomlText text{file, "mm", {}};
    const toml::table root = parse_toml(text, toml);
    std::vector<Cutter> cutters;
    std::set<std::string> taken;
    for (const toml::table* found : shop_tables(text, root, "cutter")) {
        cutters.push_back(read_cutter(text, *found, taken));
        if (text.problem) break;
    }
    if (text.problem) return *text.problem;
    return cutters;
}

} // namespace kerfwright::shop
