#include "base/parallel.hpp"
#include "layout/improve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace kerfwright::layout {
namespace {

constexpr std::size_t kMostParts = 2000;
constexpr int kMostRestarts = 256;

Problem problem(std::string what, std::string remedy) {
    return {{}, 0, 0, std::move(what), std::move(remedy)};
}

bool amount(double v) {
    return std::isfinite(v) && v >= 0 && v < plane::kRangeMm;
}

std::optional<Problem> fault_of_input(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                                      const LayoutOptions& options) {
    if (parts.size() > kMostParts)
        return problem(fmt::format("{} parts are more than the {} that are laid out at once", parts.size(), kMostParts),
                       "split the job");
    if (!amount(options.edge) || !amount(options.clamp_room))
        return problem("the room at edges and clamps must be a length of 0 or more", "mend it");
    if (!std::isfinite(options.effort) || options.effort < 0 || options.effort > 1000)
        return problem("the effort of layout must be between 0 and 1000", "mend it");
    std::set<std::string> names;
    for (const Part& part : parts) {
        if (!names.insert(part.id).second)
            return problem(fmt::format("two parts are named \"{}\"", part.id), "rename one");
        if (part.outline.outer.size() < 3 || plane::area(part.outline) <= 0)
            return problem(fmt::format("part \"{}\" has no area", part.id), "mend its outline");
        if (!amount(part.kerf) || !amount(part.thickness) || !std::isfinite(part.grain_deg))
            return problem(fmt::format("part \"{}\" has a kerf, thickness or grain that is no usable number", part.id),
                           "give lengths of 0 or more");
    }
    names.clear();
    for (const shop::Sheet& sheet : sheets) {
        if (!names.insert(sheet.name).second)
            return problem(fmt::format("two sheets are named \"{}\"", sheet.name), "rename one");
        if (sheet.outline.outer.size() < 3 || plane::area(sheet.outline) <= 0)
            return problem(fmt::format("sheet \"{}\" has no area", sheet.name), "give its size or outline");
        if (!std::isfinite(sheet.grain_deg))
            return problem(fmt::format("sheet \"{}\" has a grain direction that is no number", sheet.name),
                           "give degrees");
    }
    return std::nullopt;
}

/// Locked parts must be known, and lie rightly themselves: nothing could be laid around them otherwise.
std::optional<Problem> fault_of_locked(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                                       const std::vector<Placed>& fixed, const LayoutOptions& options) {
    for (const Placed& one : fixed) {
        const auto finite = [](double v) { return std::isfinite(v) && std::abs(v) < plane::kRangeMm / 4; };
        if (!finite(one.placement.x) || !finite(one.placement.y) || !finite(one.placement.angle_deg))
            return problem(fmt::format("the locked part \"{}\" lies far outside of every sheet", one.id),
                           "move or unlock it");
    }
    const std::vector<Clash> found = clashes(parts, sheets, fixed, options);
    if (found.empty()) return std::nullopt;
    const Clash& clash = found.front();
    if (clash.b == "part")
        return problem(fmt::format("the locked part \"{}\" is not in the job", clash.a), "unlock it");
    if (clash.b == "sheet")
        return problem(fmt::format("the locked part \"{}\" lies on a sheet that is not on the shelf", clash.a),
                       "unlock it");
    if (clash.b == clash.a)
        return problem(fmt::format("the part \"{}\" is locked in two places", clash.a), "unlock one");
    if (clash.b == "material" || clash.b == "thickness")
        return problem(fmt::format("the locked part \"{}\" lies on a sheet of another {}", clash.a, clash.b),
                       "unlock it");
    if (clash.b == "grain")
        return problem(fmt::format("the locked part \"{}\" is turned {:.2f}° off the grain", clash.a, clash.by),
                       "turn or unlock it");
    return problem(fmt::format("the locked part \"{}\" is {:.2f} mm too near to {}", clash.a, clash.by, clash.b),
                   "move or unlock it");
}

std::vector<Group> groups_of(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                             const std::vector<Placed>& fixed, int threads) {
    std::map<std::string, const Placed*> locked;
    for (const Placed& one : fixed)
        locked.emplace(one.id, &one);
    std::map<std::string, std::vector<const Part*>> by_material;
    for (const Part& part : parts)
        by_material[part.material].push_back(&part);

    std::vector<Group> groups;
    for (auto& entry : by_material) {
        std::vector<const Part*>& members = entry.second;
        Group group;
        group.material = entry.first;
        group.kerfs = kerf_classes(members);
        std::sort(members.begin(), members.end(), [](const Part* a, const Part* b) { return a->id < b->id; });
        for (const shop::Sheet& sheet : sheets)
            if (sheet.material == group.material) group.sheets.push_back(&sheet);
        std::vector<Item> items(members.size());
        parallel_for(members.size(), threads, [&](std::size_t i) { items[i] = make_item(*members[i], group.kerfs); });
        for (Item& item : items) {
            const auto at = locked.find(item.part->id);
            if (at == locked.end()) {
                group.items.push_back(std::move(item));
                continue;
            }
            const auto sheet = std::find_if(sheets.begin(), sheets.end(),
                                            [&](const shop::Sheet& one) { return one.name == at->second->sheet; });
            group.locked.push_back({std::move(item), &*sheet, at->second->placement});
        }
        groups.push_back(std::move(group));
    }
    return groups;
}

/// The best attempt of each group, after the few best of each were improved.
std::vector<Attempt> improved(const std::vector<Group>& groups, const std::vector<Attempt>& attempts,
                              const LayoutOptions& options) {
    constexpr std::size_t kKept = 2;
    const std::size_t turns = attempts.size() / std::max<std::size_t>(1, groups.size());
    const std::size_t kept = std::min(kKept, turns);
    std::vector<Attempt> best;
    for (std::size_t g = 0; g < groups.size(); ++g) {
        std::vector<Attempt> sorted(attempts.begin() + static_cast<std::ptrdiff_t>(g * turns),
                                    attempts.begin() + static_cast<std::ptrdiff_t>((g + 1) * turns));
        std::stable_sort(sorted.begin(), sorted.end(), better);
        best.insert(best.end(), sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(kept));
    }
    parallel_for(best.size(), options.threads,
                 [&](std::size_t i) { improve(groups[i / kept], options, options.seed + i % kept, best[i]); });
    std::vector<Attempt> chosen;
    for (std::size_t g = 0; g < groups.size(); ++g) {
        const auto first = best.begin() + static_cast<std::ptrdiff_t>(g * kept);
        chosen.push_back(*std::min_element(first, first + static_cast<std::ptrdiff_t>(kept), better));
    }
    return chosen;
}

} // namespace

Result<Layout> place_parts(const std::vector<Part>& parts, const std::vector<shop::Sheet>& sheets,
                           const std::vector<Placed>& fixed, const LayoutOptions& options) {
    if (const auto fault = fault_of_input(parts, sheets, options)) return *fault;
    if (const auto fault = fault_of_locked(parts, sheets, fixed, options)) return *fault;

    const std::vector<Group> groups = groups_of(parts, sheets, fixed, options.threads);
    const auto turns = static_cast<std::size_t>(std::clamp(options.restarts, 1, kMostRestarts));
    std::vector<Attempt> attempts(groups.size() * turns);
    parallel_for(attempts.size(), options.threads, [&](std::size_t i) {
        attempts[i] = attempt(groups[i / turns], options, static_cast<int>(i % turns));
    });

    const std::vector<Attempt> best = improved(groups, attempts, options);
    if (const auto fault = shortage(groups, best, options)) return *fault;
    Layout layout;
    for (const Placed& one : fixed)
        layout.placed.push_back({one.id, one.sheet, one.placement, true});
    for (std::size_t g = 0; g < groups.size(); ++g)
        for (std::size_t i = 0; i < groups[g].items.size(); ++i)
            layout.placed.push_back(
                {groups[g].items[i].part->id, best[g].placed[i].sheet->name, best[g].placed[i].placement, false});
    std::sort(layout.placed.begin(), layout.placed.end(), [](const Placed& a, const Placed& b) { return a.id < b.id; });
    if (const auto found = clashes(parts, sheets, layout.placed, options); !found.empty())
        return problem(fmt::format("the layout that was found does not stand the exact check ({} and {}, {:.4f} mm)",
                                   found[0].a, found[0].b, found[0].by),
                       "this is a fault of the program: try another seed, and report it");
    return layout;
}

} // namespace kerfwright::layout
