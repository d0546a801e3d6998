#include "shop/machine.hpp"

#include "shop/toml_table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::shop {
namespace {

void read_axis(TomlTable& table, const char* key, Axis& axis) {
    const toml::table* found = table.table(key, Need::required);
    if (!found) return;
    TomlTable parts(table.text(), *found, fmt::format("axis {}", key));
    parts.number("travel", axis.travel, {1, 20'000}, Dimension::length, Need::required);
    parts.number("rapid", axis.rapid, {1, 500'000}, Dimension::feed, Need::required);
    parts.number("feed_max", axis.feed_max, {1, 500'000}, Dimension::feed, Need::required);
    parts.number("acceleration", axis.acceleration, {1, 100'000}, {}, Need::required);
    parts.number("jerk", axis.jerk, {1, 1e7});
    parts.refuse_unknown_keys();
}

void read_spindle(TomlTable& table, Spindle& spindle) {
    const toml::table* found = table.table("spindle", Need::required);
    if (!found) return;
    constexpr Range speed{1, 200'000};
    TomlTable parts(table.text(), *found, "spindle");
    parts.number("n_min", spindle.n_min, speed, Dimension::speed, Need::required);
    parts.number("n_max", spindle.n_max, speed, Dimension::speed, Need::required);
    parts.number("power", spindle.power, {1, 100'000}, Dimension::power, Need::required);
    spindle.constant_power_from = spindle.n_max;
    parts.number("constant_power_from", spindle.constant_power_from, speed, Dimension::speed);
    parts.number("efficiency", spindle.efficiency, {0.05, 1}, Dimension::ratio);
    parts.number("seconds_to_speed", spindle.seconds_to_speed, {0, 600});
    parts.number("speed_step", spindle.speed_step, {0.1, 10'000}, Dimension::speed);
    parts.refuse_unknown_keys();
    if (!table.text().problem && spindle.n_min > spindle.n_max)
        parts.fail("n_min", "\"n_min\" is above \"n_max\"", "swap them");
}

void read_stack(TomlTable& table, std::vector<Cylinder>& stack) {
    for (const toml::table* found : table.tables("stack", 50, Need::optional)) {
        Cylinder cylinder;
        TomlTable parts(table.text(), *found, "stack");
        parts.string("name", cylinder.name);
        parts.number("diameter", cylinder.diameter, {0.1, 2000}, Dimension::length, Need::required);
        parts.number("from", cylinder.from, {-500, 2000}, Dimension::length, Need::required);
        parts.number("to", cylinder.to, {-500, 2000}, Dimension::length, Need::required);
        parts.refuse_unknown_keys();
        if (!table.text().problem && cylinder.from >= cylinder.to)
            parts.fail("from", "\"from\" is not below \"to\"", "count both up from the collet face");
        stack.push_back(cylinder);
    }
}

void read_abilities(TomlTable& table, Abilities& abilities) {
    const toml::table* found = table.table("abilities", Need::optional);
    if (!found) return;
    TomlTable parts(table.text(), *found, "abilities");
    parts.flag("arcs", abilities.arcs);
    parts.flag("helical_arcs", abilities.helical_arcs);
    parts.flag("tool_change", abilities.tool_change);
    parts.flag("line_numbers", abilities.line_numbers);
    parts.flag("inches", abilities.inches);
    parts.integer("decimals", abilities.decimals, {0, 6});
    parts.string("comments", abilities.comments, Need::optional);
    parts.integer("longest_line", abilities.longest_line, {20, 10'000});
    parts.flag("dwell", abilities.dwell);
    parts.number("arc_tolerance", abilities.arc_tolerance, {1e-5, 1}, Dimension::length);
    parts.refuse_unknown_keys();
    const std::string& form = abilities.comments;
    if (!table.text().problem && form != "()" && form != ";" && !form.empty())
        parts.fail("comments", "\"comments\" is no form of comment", "use \"()\", \";\" or \"\"");
}

void read_modes(TomlTable& table, std::vector<TipMode>& modes) {
    for (const toml::table* found : table.tables("modes", 200, Need::optional)) {
        TipMode mode;
        TomlTable parts(table.text(), *found, "mode");
        parts.string("cutter", mode.cutter);
        parts.number("LPR", mode.LPR, {0.1, 500}, Dimension::length);
        int axis = 2;
        constexpr std::array<const char*, 3> axes{"x", "y", "both"};
        parts.choice("axis", axis, axes, Need::optional);
        mode.x = axis != 1;
        mode.y = axis != 0;
        parts.number("frequency", mode.frequency, {10, 20'000}, {}, Need::required);
        parts.number("damping", mode.damping, {0.0005, 0.5}, Dimension::ratio, Need::required);
        parts.number("stiffness", mode.stiffness, {1, 1e7});
        parts.refuse_unknown_keys();
        modes.push_back(mode);
    }
}

Machine read_machine(TomlText& text, const toml::table& found, std::set<std::string>& taken) {
    Machine m;
    constexpr Range stiff{1, 1e7}, small{0, 50};
    constexpr Dimension mm = Dimension::length;
    TomlTable table(text, found, "machine");
    table.string("name", m.name);
    check_name(table, m.name, taken);
    table.rename(fmt::format("machine \"{}\"", m.name));
    table.string("title", m.title);
    read_axis(table, "X", m.axes[0]);
    read_axis(table, "Y", m.axes[1]);
    read_axis(table, "Z", m.axes[2]);
    read_spindle(table, m.spindle);
    read_stack(table, m.stack);
    read_abilities(table, m.abilities);
    read_modes(table, m.modes);
    table.number("clearance_height", m.clearance_height, {0.1, 500}, mm);
    table.number("corner_deviation", m.corner_deviation, small, mm);
    table.number("stiffness", m.stiffness, stiff);
    table.number("collet_stiffness", m.collet_stiffness, stiff);
    table.number("z_step", m.z_step, {1e-5, 1}, mm);
    table.number("z_repeat", m.z_repeat, small, mm);
    table.number("bed_flatness", m.bed_flatness, small, mm);
    table.number("bed_allowance", m.bed_allowance, small, mm);
    table.number("tape_shear", m.tape_shear, {0, 10});
    table.number("tape_tension", m.tape_tension, {0, 10});
    table.number("hour_rate", m.hour_rate, {0, 1e5});
    table.strings("sources", m.sources);
    table.refuse_unknown_keys();
    return m;
}

} // namespace

Result<std::vector<Machine>> read_machines(std::string_view toml, const std::string& file) {
    TomlText text{file, "mm", {}};
    const toml::table root = parse_toml(text, toml);
    std::vector<Machine> machines;
    std::set<std::string> taken;
    for (const toml::table* found : shop_tables(text, root, "machine")) {
        machines.push_back(read_machine(text, *found, taken));
        if (text.problem) break;
    }
    if (text.problem) return *text.problem;
    return machines;
}

double power_at(const Spindle& spindle, double n) {
    return spindle.power * std::clamp(n / spindle.constant_power_from, 0.0, 1.0);
}

} // namespace kerfwright::shop
