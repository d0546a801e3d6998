#include "drawing/drawing.hpp"

#include <algorithm>
#include <map>
#include <utility>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;

/// A directed edge of a region's border; the region lies to its left.
struct Edge {
    Point from, to;
    int region = 0;
    friend bool operator<(const Edge& a, const Edge& b) {
        return std::tie(a.from, a.to, a.region) < std::tie(b.from, b.to, b.region);
    }
};

std::vector<Edge> edges_of(const std::vector<Region>& regions) {
    std::vector<Edge> edges;
    for (int r = 0; r < static_cast<int>(regions.size()); ++r)
        for (const Ring& ring : plane::rings_of(regions[static_cast<std::size_t>(r)].shape))
            for (std::size_t i = 0; i < ring.size(); ++i)
                edges.push_back({ring[i], ring[(i + 1) % ring.size()], r});
    std::sort(edges.begin(), edges.end());
    return edges;
}

/// The region to the right of `from` → `to`, as its border runs the other way.
int across(const std::vector<Edge>& edges, Point from, Point to) {
    const auto it = std::lower_bound(edges.begin(), edges.end(), Edge{to, from, -1});
    return it != edges.end() && it->from == to && it->to == from ? it->region : kOutside;
}

double chain_length(const std::vector<Point>& chain) {
    double total = 0;
    for (std::size_t i = 0; i + 1 < chain.size(); ++i)
        total += plane::distance(plane::to_mm(chain[i]), plane::to_mm(chain[i + 1]));
    return total;
}

using SeamMap = std::map<std::pair<int, int>, Seam>;

/// Cuts one ring of region `a` where the neighbour changes. A border with a region of lower index was found from there.
void add_ring(SeamMap& seams, int a, const Ring& ring, const std::vector<Edge>& edges) {
    const std::size_t count = ring.size();
    std::vector<int> neighbour(count);
    for (std::size_t i = 0; i < count; ++i)
        neighbour[i] = across(edges, ring[i], ring[(i + 1) % count]);
    std::size_t start = 0;
    while (start < count && neighbour[start] == neighbour[(start + count - 1) % count])
        ++start;
    if (start == count) start = 0; // one neighbour all around: a closed chain
    for (std::size_t done = 0; done < count;) {
        const std::size_t first = (start + done) % count;
        const int b = neighbour[first];
        std::vector<Point> chain{ring[first]};
        while (done < count && neighbour[(start + done) % count] == b) {
            ++done;
            chain.push_back(ring[(start + done) % count]);
        }
        if (b != kOutside && b < a) continue;
        Seam& seam = seams[{a, b}];
        seam.a = a;
        seam.b = b;
        seam.length += chain_length(chain);
        seam.chains.push_back(std::move(chain));
    }
}

} // namespace

std::vector<Seam> find_seams(const std::vector<Region>& regions) {
    const std::vector<Edge> edges = edges_of(regions);
    SeamMap found;
    for (int r = 0; r < static_cast<int>(regions.size()); ++r)
        for (const Ring& ring : plane::rings_of(regions[static_cast<std::size_t>(r)].shape))
            add_ring(found, r, ring, edges);
    std::vector<Seam> seams;
    for (auto& [pair, seam] : found) {
        std::sort(seam.chains.begin(), seam.chains.end());
        seams.push_back(std::move(seam));
    }
    return seams;
}

} // namespace kerfwright::drawing
