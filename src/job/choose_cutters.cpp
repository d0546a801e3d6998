#include "job/choose_cutters.hpp"

#include "fit/fit.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

bool thinner(const shop::Cutter& a, const shop::Cutter& b) {
    return a.DC < b.DC;
}

bool mills_profiles(const shop::Cutter& cutter) {
    return cutter.kind == shop::CutterKind::flat;
}

const shop::Cutter& owned(const Job& job, const std::string& name) {
    return *std::find_if(job.cutters.begin(), job.cutters.end(), [&](const auto& c) { return c.name == name; });
}

} // namespace

fit::FitRules fit_rules(const Job& job) {
    fit::FitRules rules;
    rules.clearance = job.clearance;
    rules.tray_clearance = job.tray_clearance;
    rules.detail = job.detail;
    rules.tray = job.tray.has_value();
    return rules;
}

Result<std::vector<const shop::Material*>> materials_of(const Job& job, const drawing::Drawing& drawing) {
    std::vector<const shop::Material*> materials;
    for (const drawing::Region& region : drawing.regions) {
        const PiecePattern* pattern = pattern_for(job.pieces, region.name);
        if (pattern == nullptr)
            return Problem{job.file, 0, 0, "[pieces]: no pattern matches the region \"" + region.name + "\"",
                           "add \"" + region.name + "\" = \"MATERIAL\", or \"*\" = \"MATERIAL\" for all the rest"};
        materials.push_back(find_material(job.library, pattern->material));
    }
    for (const PiecePattern& pattern : job.pieces) {
        const bool used = pattern.pattern == "*" ||
                          std::any_of(drawing.regions.begin(), drawing.regions.end(),
                                      [&](const auto& region) { return matches(pattern.pattern, region.name); });
        if (used) continue;
        std::string names;
        for (const drawing::Region& region : drawing.regions)
            names += (names.empty() ? "" : ", ") + region.name;
        return Problem{job.file, pattern.line, pattern.column,
                       "[pieces]: no region is called \"" + pattern.pattern + "\"",
                       "the drawing's regions are " + names};
    }
    return materials;
}

std::vector<shop::Cutter> suiting_cutters(const Job& job, const shop::Material& material) {
    std::vector<shop::Cutter> suiting;
    for (const shop::Cutter& cutter : job.cutters) {
        const bool suits =
            std::find(material.cutters.begin(), material.cutters.end(), cutter.family) != material.cutters.end();
        if (suits && mills_profiles(cutter)) suiting.push_back(cutter);
    }
    const auto rank = [&](const shop::Cutter& cutter) {
        return std::find(material.cutters.begin(), material.cutters.end(), cutter.family) - material.cutters.begin();
    };
    std::stable_sort(suiting.begin(), suiting.end(), [&](const auto& a, const auto& b) {
        return rank(a) != rank(b) ? rank(a) < rank(b) : a.DC > b.DC;
    });
    return suiting;
}

Result<std::map<std::string, shop::Cutter>> choose_piece_cutters(const Job& job, const drawing::Drawing& drawing,
                                                                 const std::vector<const shop::Material*>& materials) {
    std::map<std::string, shop::Cutter> chosen;
    for (const shop::Material* material : materials) {
        if (chosen.contains(material->name)) continue;
        if (const auto wish = job.cutter_for.find(material->name); wish != job.cutter_for.end()) {
            chosen.emplace(material->name, owned(job, wish->second));
            continue;
        }
        const std::vector<shop::Cutter> candidates = suiting_cutters(job, *material);
        if (candidates.empty()) {
            std::string families;
            for (const std::string& family : material->cutters)
                families += (families.empty() ? "" : ", ") + family;
            return Problem{job.file, 0, 0, "[shop]: none of the shop's cutters suits " + material->name,
                           "add one of the families " + families + " to cutters, or name one in [cutter]"};
        }
        const auto keeps_detail = [&](const shop::Cutter& cutter) {
            for (std::size_t i = 0; i < materials.size(); ++i) {
                if (materials[i] != material) continue;
                const fit::RegionToFit region{drawing.regions[i].name, drawing.regions[i].shape, cutter.radius()};
                if (!fit::detail_cost(region, fit_rules(job)).within) return false;
            }
            return true;
        };
        const auto largest = std::find_if(candidates.begin(), candidates.end(), keeps_detail);
        chosen.emplace(material->name, largest != candidates.end()
                                           ? *largest
                                           : *std::min_element(candidates.begin(), candidates.end(), thinner));
    }
    return chosen;
}

Result<std::vector<shop::Cutter>> choose_tray_cutters(const Job& job, const drawing::Drawing&) {
    const auto sheet =
        std::find_if(job.sheets.begin(), job.sheets.end(), [&](const auto& s) { return s.name == job.tray->sheet; });
    const shop::Material& material = *find_material(job.library, sheet->material);
    std::vector<shop::Cutter> cutters = suiting_cutters(job, material);
    std::stable_sort(cutters.begin(), cutters.end(), [](const auto& a, const auto& b) { return thinner(b, a); });
    const auto wish = job.cutter_for.find("tray");
    if (wish != job.cutter_for.end()) {
        const shop::Cutter& wall = owned(job, wish->second);
        std::erase_if(cutters, [&](const auto& c) { return c.DC <= wall.DC; });
        cutters.push_back(wall);
    }
    if (cutters.empty())
        return Problem{job.file, job.tray->line, job.tray->column,
                       "[tray]: none of the shop's cutters suits " + material.name,
                       "add a flat cutter to cutters in [shop], or name one for \"tray\" in [cutter]"};
    // The smallest finishes the wall; one of about twice its size takes the rest that the clearing cutter leaves.
    std::vector<shop::Cutter> run{cutters.back()};
    const auto middle =
        std::find_if(cutters.rbegin(), cutters.rend(), [&](const auto& c) { return c.DC >= 1.8 * run.back().DC; });
    if (middle != cutters.rend()) run.insert(run.begin(), *middle);
    const shop::Cutter* clearing = nullptr;
    for (const shop::Cutter& cutter : job.cutters)
        if (cutter.kind == shop::CutterKind::clearing && (clearing == nullptr || cutter.DC > clearing->DC))
            clearing = &cutter;
    if (clearing != nullptr && clearing->DC > run.front().DC) run.insert(run.begin(), *clearing);
    return run;
}

} // namespace kerfwright::job
