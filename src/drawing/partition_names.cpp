#include "drawing/partition.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <tuple>

namespace kerfwright::drawing {
namespace {

constexpr std::string_view kProperty = "property:";

/// "id", "layer", "fill" or "property:NAME", taken apart.
struct Naming {
    enum class By { id, layer, fill, property } by = By::id;
    std::string property;
};

std::optional<Naming> naming_of(const std::string& region) {
    if (region == "id") return Naming{Naming::By::id, ""};
    if (region == "layer") return Naming{Naming::By::layer, ""};
    if (region == "fill") return Naming{Naming::By::fill, ""};
    if (region.size() > kProperty.size() && region.compare(0, kProperty.size(), kProperty) == 0)
        return Naming{Naming::By::property, region.substr(kProperty.size())};
    return std::nullopt;
}

std::string property_of(const Outline& outline, const std::string& name) {
    for (const auto& [key, value] : outline.properties)
        if (key == name) return value;
    return "";
}

std::string name_of(const Outline& outline, const Naming& naming) {
    switch (naming.by) {
    case Naming::By::id:
        return outline.id.empty() ? outline.layer : outline.id;
    case Naming::By::layer:
        return outline.layer;
    case Naming::By::fill:
        return outline.fill;
    case Naming::By::property:
        return property_of(outline, naming.property);
    }
    return "";
}

plane::Box bounds_of(const Outline& outline) {
    plane::Box box;
    for (const plane::Ring& ring : outline.rings)
        plane::extend(box, plane::bounds(ring));
    return box;
}

std::string at_line(int line) {
    return line > 0 ? fmt::format(" (line {})", line) : "";
}

/// Two elements with one id of their own: nobody can tell which is meant.
std::optional<Problem> repeated_id(const Sketch& sketch, const std::string& file) {
    std::map<std::string_view, const Outline*> seen;
    for (const Outline& outline : sketch.outlines) {
        if (outline.id.empty()) continue;
        const auto [it, is_new] = seen.emplace(outline.id, &outline);
        if (is_new) continue;
        return Problem{file, outline.line, 0,
                       fmt::format("the id \"{}\"{} is already taken{}", outline.id, at_line(outline.line),
                                   at_line(it->second->line)),
                       "give every region an id of its own, or name regions by layer, fill or property"};
    }
    return std::nullopt;
}

/// Names "region-1", "region-2", ... from left to right, then from bottom to top, leaving out those that are taken.
void number_unnamed(const Sketch& sketch, std::vector<std::string>& names, std::vector<Note>& notes) {
    std::set<std::string> taken(names.begin(), names.end());
    std::vector<std::tuple<double, double, std::size_t>> unnamed;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (!names[i].empty()) continue;
        const plane::Box box = bounds_of(sketch.outlines[i]);
        unnamed.emplace_back(box.low.x, box.low.y, i);
    }
    std::sort(unnamed.begin(), unnamed.end());
    int number = 0;
    for (const auto& [x, y, i] : unnamed) {
        do
            names[i] = fmt::format("region-{}", ++number);
        while (taken.count(names[i]) > 0);
        const std::string what =
            fmt::format("an outline without a name{} is called \"{}\"", at_line(sketch.outlines[i].line), names[i]);
        notes.push_back({Note::Kind::unnamed, what, {names[i]}, {x, y}, 0});
    }
}

} // namespace

Result<std::vector<NamedOutlines>> name_regions(const Sketch& sketch, const std::string& file,
                                                const ReadOptions& options, std::vector<Note>& notes) {
    const auto naming = naming_of(options.region);
    if (!naming)
        return Problem{file, 0, 0, fmt::format("regions cannot be named by \"{}\"", options.region),
                       "use \"id\", \"layer\", \"fill\" or \"property:NAME\""};
    if (naming->by == Naming::By::id)
        if (auto problem = repeated_id(sketch, file)) return *problem;
    std::vector<std::string> names;
    for (const Outline& outline : sketch.outlines)
        names.push_back(name_of(outline, *naming));
    number_unnamed(sketch, names, notes);
    std::vector<NamedOutlines> regions;
    std::map<std::string, std::size_t> index;
    for (std::size_t i = 0; i < names.size(); ++i) {
        const auto [it, is_new] = index.emplace(names[i], regions.size());
        if (is_new) regions.push_back({names[i], {}});
        regions[it->second].outlines.push_back(i);
    }
    return regions;
}

} // namespace kerfwright::drawing
