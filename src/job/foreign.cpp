#include "job/foreign.hpp"

#include "base/quantity.hpp"
#include "base/text.hpp"
#include "job/shop_named.hpp"
#include "program/read.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace kerfwright::job {
namespace {

std::vector<std::string_view> split(std::string_view text, std::string_view at) {
    std::vector<std::string_view> parts;
    while (true) {
        const std::size_t end = text.find_first_of(at);
        parts.push_back(trimmed(text.substr(0, end)));
        if (end == std::string_view::npos) return parts;
        text.remove_prefix(end + 1);
    }
}

Problem at_option(const char* option, Problem problem) {
    problem.file = option;
    return problem;
}

/// `count` lengths between "x" or ","; the unit behind the last one is that of those without their own.
Result<std::vector<double>> lengths_from(std::string_view text, std::size_t count, const char* option,
                                         const char* example) {
    const auto parts = split(text, "xX,");
    const Problem shape{option, 0, 0, fmt::format("\"{}\" is not {} lengths", text, count),
                        fmt::format("write it like \"{}\"", example)};
    if (parts.size() != count) return shape;
    const std::string_view last = parts.back();
    const std::string_view unit = trimmed(last.substr(std::min(last.size(), last.find_last_of("0123456789.") + 1)));
    std::vector<double> lengths;
    for (const std::string_view part : parts) {
        auto value = parse_quantity(part, Dimension::length, part.data() == last.data() ? "" : unit);
        if (!value) return at_option(option, value.problem());
        constexpr double kFarthest = 20'000;
        if (std::abs(value.value()) > kFarthest)
            return Problem{option, 0, 0, fmt::format("\"{}\" is beyond 20 m", part), "check its unit"};
        lengths.push_back(value.value());
    }
    return lengths;
}

Result<proof::Stock> stock_from(const ForeignWish& wish) {
    auto size = lengths_from(wish.stock, 3, "--stock", "300x200x12 mm");
    if (!size) return size.problem();
    const auto& s = size.value();
    if (!(s[0] > 0 && s[1] > 0 && s[2] > 0))
        return Problem{"--stock", 0, 0, "a stock needs lengths above zero", "write it like \"300x200x12 mm\""};
    if (wish.zero != "bed" && wish.zero != "top")
        return Problem{"--zero", 0, 0, fmt::format("\"{}\" is no place of the Z zero", wish.zero),
                       "give bed or top (of the stock)"};
    proof::Stock stock;
    stock.outline.outer = plane::rectangle({0, 0}, {s[0], s[1]});
    stock.top = wish.zero == "bed" ? s[2] : 0;
    stock.bottom = stock.top - s[2];
    return stock;
}

Result<shop::Clamp> clamp_from(std::string_view text) {
    auto values = lengths_from(text, 5, "--clamp", "0,150,60x40x25 mm");
    if (!values) return values.problem();
    const auto& v = values.value();
    if (!(v[2] > 0 && v[3] > 0 && v[4] > 0))
        return Problem{"--clamp", 0, 0, "a clamp needs a size above zero", "write it like \"0,150,60x40x25 mm\""};
    return shop::Clamp{{v[0], v[1]}, {v[2], v[3]}, v[4]};
}

Result<shop::Hold> hold_from(const std::string& name) {
    using shop::Hold;
    for (const Hold hold : {Hold::tape, Hold::clamps, Hold::screws, Hold::vacuum, Hold::skin, Hold::tabs})
        if (name == to_string(hold)) return hold;
    return Problem{"--hold", 0, 0, fmt::format("\"{}\" holds nothing", name),
                   "give tape, clamps, screws, vacuum, skin or tabs"};
}

/// Plans of all that a cutter may do in the material: a foreign program does not say which of them a move is.
void add_plans(const shop::Cutter& cutter, double depth, ForeignSetup& out) {
    using cutting::Step;
    bool any = false;
    std::string why;
    for (const Step step : {Step::profile, Step::pocket, Step::rest, Step::drill}) {
        const bool drill = cutter.kind == shop::CutterKind::drill;
        if (drill != (step == Step::drill)) continue;
        cutting::Task task;
        task.step = step;
        task.depth = std::min(depth, cutter.APMX);
        auto plan = cutting::plan_feeds(*out.setup.material, cutter, out.setup.machine, task);
        if (!plan) {
            if (why.empty()) why = plan.problem().what;
            continue;
        }
        any = true;
        out.setup.feed_max.emplace_back(cutter.name, plan.value().setting.vf);
        out.setup.plans.push_back(std::move(plan).value());
    }
    if (!any)
        out.notes.push_back(
            fmt::format("loads of {} in {} are not judged: {}", cutter.name, out.setup.material->name, why));
}

/// The unit that the programs say themselves, where they say one: theirs need not be that of the machine's own.
bool in_inches(const std::vector<GivenText>& programs, bool otherwise) {
    using Kind = program::Event::Kind;
    for (const GivenText& given : programs)
        for (const program::Event& event : program::read_program(given.text).events)
            if (event.kind == Kind::units_inch || event.kind == Kind::units_mm) return event.kind == Kind::units_inch;
    return otherwise;
}

} // namespace

Result<std::map<int, std::string>> tools_from(std::string_view list, const shop::Library& library) {
    std::map<int, std::string> tools;
    for (const std::string_view item : split(list, ",")) {
        const std::size_t equals = item.find('=');
        const std::string_view digits = trimmed(item.substr(0, equals));
        const bool good = equals != std::string_view::npos && !digits.empty() && digits.size() <= 5 &&
                          digits.find_first_not_of("0123456789") == std::string_view::npos;
        if (!good)
            return Problem{"--cutters", 0, 0, fmt::format("\"{}\" is not a tool number and a cutter", item),
                           "write it like \"1=flat-6,2=flat-3\""};
        const std::string name(trimmed(item.substr(equals + 1)));
        if (find_cutter(library, name) == nullptr)
            return Problem{"--cutters", 0, 0, fmt::format("no cutter is named \"{}\"", name),
                           "give one of " + cutter_names(library)};
        if (!tools.emplace(std::stoi(std::string(digits)), name).second)
            return Problem{"--cutters", 0, 0, fmt::format("two cutters for tool {}", digits), "give each number once"};
    }
    return tools;
}

Result<std::vector<proof::ProgramText>> with_cutters(const std::vector<GivenText>& programs,
                                                     const std::map<int, std::string>& tools,
                                                     const std::vector<std::string>& in_order) {
    std::vector<proof::ProgramText> texts;
    for (std::size_t i = 0; i < programs.size(); ++i) {
        proof::ProgramText text{programs[i].file, programs[i].text, "", {}};
        program::ReadOptions options;
        for (const auto& [number, name] : tools)
            options.tools[number] = {};
        const program::Reading reading = program::read_program(text.text, options);
        for (const program::Event& event : reading.events) {
            if (event.kind != program::Event::Kind::tool_selected) continue;
            const auto tool = tools.find(static_cast<int>(event.value));
            if (tool == tools.end()) continue;
            text.tools = tools;
            const auto begin = reading.moves.begin();
            const bool cut_before =
                std::any_of(begin, begin + static_cast<std::ptrdiff_t>(event.move), [](const auto& m) {
                    return m.kind == motion::MoveKind::line || m.kind == motion::MoveKind::arc;
                });
            if (!cut_before) text.cutter = tool->second;
            break;
        }
        if (text.cutter.empty() && i < in_order.size()) text.cutter = in_order[i];
        if (text.cutter.empty() && tools.size() == 1) text.cutter = tools.begin()->second;
        if (text.cutter.empty())
            return Problem{text.file, 0, 0, "which cutter it begins with is not said",
                           "name one by a T word and --cutters, or give as many cutters as programs"};
        texts.push_back(std::move(text));
    }
    return texts;
}

Result<ForeignSetup> foreign_setup(const ForeignWish& wish, const std::vector<GivenText>& programs,
                                   const shop::Library& library) {
    ForeignSetup out;
    out.setup.name = "stock";
    auto stock = stock_from(wish);
    if (!stock) return stock.problem();
    out.setup.stock = std::move(stock).value();
    out.setup.z_zero_on_bed = wish.zero == "bed";
    for (const std::string& text : wish.clamps) {
        auto clamp = clamp_from(text);
        if (!clamp) return clamp.problem();
        out.setup.clamps.push_back(clamp.value());
    }
    for (const std::string& name : wish.holds) {
        auto hold = hold_from(name);
        if (!hold) return hold.problem();
        out.setup.holds.insert(hold.value());
    }
    auto machine = machine_named(wish.machine);
    if (!machine) return machine.problem();
    out.setup.machine = std::move(machine).value();
    out.setup.machine.abilities.inches = in_inches(programs, out.setup.machine.abilities.inches);
    auto tools = tools_from(wish.cutters, library);
    if (!tools) return tools.problem();
    std::vector<std::string> in_order;
    if (tools.value().size() == programs.size())
        for (const auto& [number, name] : tools.value())
            in_order.push_back(name);
    auto texts = with_cutters(programs, tools.value(), in_order);
    if (!texts) return texts.problem();
    out.setup.programs = std::move(texts).value();
    std::set<std::string> names;
    for (const auto& [number, name] : tools.value())
        names.insert(name);
    for (const std::string& name : names)
        out.setup.cutters.push_back(*find_cutter(library, name));
    if (wish.material.empty()) {
        out.notes.emplace_back("loads and feeds are not judged: no --material is given");
        return out;
    }
    auto material = material_named(wish.material);
    if (!material) return material.problem();
    out.setup.material = std::move(material).value();
    for (const shop::Cutter& cutter : out.setup.cutters)
        add_plans(cutter, out.setup.stock.top - out.setup.stock.bottom, out);
    return out;
}

} // namespace kerfwright::job
