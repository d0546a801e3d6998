#include "fit/borders.hpp"

#include "base/parallel.hpp"

namespace kerfwright::fit {
namespace {

plane::Ring densified(const plane::Ring& ring) {
    plane::Ring out;
    for (const plane::Vec v : plane::sampled(ring, kBorderStep)) {
        const plane::Point p = plane::to_grid(v);
        if (out.empty() || out.back() != p) out.push_back(p);
    }
    return out;
}

} // namespace

std::vector<Edge> edges_of(const Border& border) {
    std::vector<Edge> edges;
    for (std::size_t r = 0; r < border.mate.size(); ++r) {
        const plane::Ring& ring = border.edges.rings()[r];
        for (std::size_t s = 0; s < ring.size(); ++s)
            edges.push_back({to_mm(ring[s]), to_mm(ring[(s + 1) % ring.size()]), border.mate[r][s]});
    }
    return edges;
}

std::vector<Border> borders_of(const std::vector<plane::Shape>& bodies, double within, int threads) {
    std::vector<Border> borders;
    for (const plane::Shape& body : bodies)
        borders.push_back({NearEdges(plane::Shape{}), {}, plane::bounds(body)});
    parallel_for(bodies.size(), threads, [&](std::size_t i) {
        std::vector<plane::Ring> rings;
        for (const plane::Ring& ring : plane::rings_of(bodies[i]))
            rings.push_back(densified(ring));
        borders[i].edges = NearEdges(std::move(rings));
    });
    parallel_for(bodies.size(), threads, [&](std::size_t i) {
        std::vector<std::size_t> near;
        for (std::size_t j = 0; j < bodies.size(); ++j)
            if (j != i && overlap(grown(borders[i].box, within), borders[j].box)) near.push_back(j);
        for (const plane::Ring& ring : borders[i].edges.rings()) {
            std::vector<int>& mates = borders[i].mate.emplace_back();
            for (std::size_t s = 0; s < ring.size(); ++s) {
                const plane::Vec middle = (to_mm(ring[s]) + to_mm(ring[(s + 1) % ring.size()])) * 0.5;
                int mate = kNobody;
                double closest = within;
                for (const std::size_t j : near) {
                    const plane::Box& box = borders[j].box;
                    if (middle.x < box.low.x - within || middle.x > box.high.x + within ||
                        middle.y < box.low.y - within || middle.y > box.high.y + within)
                        continue;
                    if (const auto found = borders[j].edges.nearest(middle, closest);
                        found && (mate == kNobody || found->distance < closest)) {
                        closest = found->distance;
                        mate = static_cast<int>(j);
                    }
                }
                mates.push_back(mate);
            }
        }
    });
    return borders;
}

} // namespace kerfwright::fit
