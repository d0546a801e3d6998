// Too little material: which parts, how much is missing, and a sheet that would do.

#include "layout/greedy.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

struct Lack {
    std::vector<const Item*> items;
    double area = 0;
};

Lack lack_of(const Group& group, const Attempt& attempt) {
    Lack lack;
    for (std::size_t i = 0; i < group.items.size(); ++i) {
        if (attempt.placed[i].sheet != nullptr) continue;
        lack.items.push_back(&group.items[i]);
        lack.area += group.items[i].room;
    }
    return lack;
}

/// "a", "b" and 3 more.
std::string listed(const std::vector<const Item*>& items) {
    constexpr std::size_t kMost = 12;
    std::string text;
    for (std::size_t i = 0; i < std::min(items.size(), kMost); ++i)
        text += (i > 0 ? ", " : "") + items[i]->part->id;
    if (items.size() > kMost) text += fmt::format(" and {} more", items.size() - kMost);
    return text;
}

/// "6.20 mm thick", when the parts ask for a thickness and agree.
std::string thickness_of(const std::vector<const Item*>& items) {
    const double thickness = items.front()->part->thickness;
    const bool same =
        std::all_of(items.begin(), items.end(), [&](const Item* item) { return item->part->thickness == thickness; });
    return same && thickness > 0 ? fmt::format(" {:.2f} mm thick", thickness) : "";
}

/// True when these parts all go on one bare sheet of that size.
bool would_do(const Group& group, const Lack& lack, plane::Vec size, const LayoutOptions& options) {
    shop::Sheet sheet;
    sheet.material = group.material;
    sheet.outline = {plane::rectangle({0, 0}, size), {}};
    std::vector<Part> parts;
    for (const Item* item : lack.items) {
        parts.push_back(*item->part);
        parts.back().thickness = 0;
    }
    Group trial;
    trial.material = group.material;
    trial.kerfs = group.kerfs;
    trial.sheets = {&sheet};
    for (std::size_t i = 0; i < parts.size(); ++i) {
        trial.items.push_back(*lack.items[i]);
        trial.items.back().part = &parts[i];
    }
    return attempt(trial, options, 0).missing == 0;
}

/// A size, in whole tens of mm, on which the missing parts were laid out in a trial (grain along its length).
std::string sheet_that_would_do(const Group& group, const Lack& lack, const LayoutOptions& options) {
    constexpr double kShape = 1.4; // length to width
    constexpr int kTrials = 24;
    const auto tens = [](double v) { return std::ceil(v / 10) * 10; };
    double width = std::sqrt(1.1 * lack.area / kShape) + 2 * options.edge;
    for (int trial = 0; trial < kTrials; ++trial, width *= 1.08) {
        const plane::Vec size{tens(kShape * width), tens(width)};
        if (would_do(group, lack, size, options)) return fmt::format("of at least {:.0f} x {:.0f} mm", size.x, size.y);
    }
    return fmt::format("with at least {:.0f} mm² more room", lack.area);
}

} // namespace

std::optional<Problem> shortage(const std::vector<Group>& groups, const std::vector<Attempt>& attempts,
                                const LayoutOptions& options) {
    Problem problem;
    const auto say = [](std::string& text, const std::string& more) { text += (text.empty() ? "" : "; ") + more; };
    for (std::size_t g = 0; g < groups.size(); ++g) {
        const Lack lack = lack_of(groups[g], attempts[g]);
        if (lack.items.empty()) continue;
        const std::string thick = thickness_of(lack.items);
        const bool any = std::any_of(groups[g].sheets.begin(), groups[g].sheets.end(), [&](const shop::Sheet* sheet) {
            return suits(*lack.items.front()->part, *sheet);
        });
        const std::string why = any ? fmt::format("not enough {}{}", groups[g].material, thick)
                                    : fmt::format("no sheet of {}{}", groups[g].material, thick);
        say(problem.what,
            fmt::format("{}: no place for {} ({:.0f} mm² missing, kerf included)", why, listed(lack.items), lack.area));
        say(problem.remedy, fmt::format("add a sheet of {}{} {}", groups[g].material, thick,
                                        sheet_that_would_do(groups[g], lack, options)));
    }
    if (problem.what.empty()) return std::nullopt;
    return problem;
}

} // namespace kerfwright::layout
