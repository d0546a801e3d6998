#include "fit/displacement.hpp"

#include "base/parallel.hpp"
#include "fit/disc_search.hpp"

#include <algorithm>

namespace kerfwright::fit {
namespace {

constexpr double kUnmoved = 0.002; ///< mm

double outside(const Border& body, plane::Vec p) {
    if (body.edges.nearest(p, kUnmoved)) return 0;
    return std::max(0.0, signed_distance(body.edges, p));
}

void look(Displacement& worst, plane::Vec p, int i, int mate, const std::vector<Border>& bodies, double length) {
    const double here = outside(bodies[static_cast<std::size_t>(i)], p);
    const double there = mate == kNobody ? 0 : outside(bodies[static_cast<std::size_t>(mate)], p);
    const double moved = std::max(here, there);
    worst.length += length;
    worst.integral += length * moved;
    if (moved > worst.max) {
        worst.max = moved;
        worst.at = p;
        worst.loser = static_cast<std::size_t>(there > here ? mate : i);
    }
}

} // namespace

std::map<SeamKey, Displacement> displacements(const std::vector<Border>& drawn, const std::vector<Border>& eased,
                                              int threads) {
    std::vector<std::map<SeamKey, Displacement>> found(drawn.size());
    parallel_for(drawn.size(), threads, [&](std::size_t index) {
        const int i = static_cast<int>(index);
        for (const Edge& edge : edges_of(drawn[index])) {
            if (edge.mate != kNobody && edge.mate < i) continue;
            Displacement& seam = found[index][{i, edge.mate}];
            look(seam, edge.from, i, edge.mate, eased, 0);
            look(seam, (edge.from + edge.to) * 0.5, i, edge.mate, eased, plane::distance(edge.from, edge.to));
        }
        for (const Edge& edge : edges_of(eased[index])) {
            if (edge.mate != kNobody && edge.mate < i) continue;
            const auto seam = found[index].find({i, edge.mate});
            if (seam != found[index].end()) look(seam->second, edge.from, i, edge.mate, drawn, 0);
        }
    });
    std::map<SeamKey, Displacement> all;
    for (auto& some : found)
        all.merge(some);
    return all;
}

} // namespace kerfwright::fit
