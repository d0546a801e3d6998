#include "job/detail_table.hpp"

#include "base/parallel.hpp"
#include "fit/fit.hpp"
#include "job/choose_cutters.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

void add(CutterDetail& row, const fit::DetailCost& cost, const std::string& region) {
    if (row.moved_in.empty() || cost.moved_max > row.moved_max) {
        row.moved_max = cost.moved_max;
        row.moved_in = region;
    }
    if (row.narrowest_in.empty() || cost.narrowest < row.narrowest) {
        row.narrowest = cost.narrowest;
        row.narrowest_in = region;
    }
    row.area_lost += cost.area_lost;
    row.peninsulas += cost.peninsulas;
    row.within = row.within && cost.within;
}

/// One row and the regions that it sums up.
struct Task {
    std::size_t row, region;
    double radius;
};

} // namespace

Result<std::vector<CutterDetail>> detail_table(const Job& job, const drawing::Drawing& drawing, int threads) {
    auto materials = materials_of(job, drawing);
    if (!materials) return materials.problem();
    auto chosen = choose_piece_cutters(job, drawing, materials.value());
    if (!chosen) return chosen.problem();
    std::vector<CutterDetail> rows;
    std::vector<Task> tasks;
    std::set<std::string> seen;
    for (const shop::Material* material : materials.value()) {
        if (!seen.insert(material->name).second) continue;
        std::vector<shop::Cutter> cutters = suiting_cutters(job, *material);
        const shop::Cutter& taken = chosen.value().at(material->name);
        const auto is_taken = [&](const shop::Cutter& cutter) { return cutter.name == taken.name; };
        if (std::none_of(cutters.begin(), cutters.end(), is_taken)) cutters.push_back(taken); // the job's own wish
        for (const shop::Cutter& cutter : cutters) {
            CutterDetail row;
            row.material = material->name;
            row.cutter = cutter.name;
            row.DC = cutter.DC;
            row.wall_min = material->min_wall.value;
            row.within = true;
            row.chosen = is_taken(cutter);
            for (std::size_t i = 0; i < drawing.regions.size(); ++i)
                if (materials.value()[i] == material) tasks.push_back({rows.size(), i, cutter.radius()});
            rows.push_back(std::move(row));
        }
    }
    std::vector<fit::DetailCost> costs(tasks.size());
    parallel_for(tasks.size(), threads, [&](std::size_t k) {
        const drawing::Region& region = drawing.regions[tasks[k].region];
        costs[k] = fit::detail_cost({region.name, region.shape, tasks[k].radius}, fit_rules(job));
    });
    for (std::size_t k = 0; k < tasks.size(); ++k)
        add(rows[tasks[k].row], costs[k], drawing.regions[tasks[k].region].name);
    std::set<std::string> marked;
    for (CutterDetail& row : rows)
        row.largest = row.within && marked.insert(row.material).second;
    return rows;
}

} // namespace kerfwright::job
