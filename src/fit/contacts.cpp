#include "fit/contacts.hpp"

#include "base/parallel.hpp"
#include "fit/disc_search.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace kerfwright::fit {
namespace {

using plane::Vec;

bool inside(const plane::Box& box, Vec p) {
    return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y;
}

std::vector<Vec> probes_of(const std::vector<plane::Ring>& rings) {
    constexpr double kApart = 0.05;     // mm
    constexpr double kStraight = 0.985; // cosine of 10°
    std::vector<Vec> probes;
    for (const plane::Ring& ring : rings) {
        const std::size_t n = ring.size();
        for (std::size_t k = 0; k < n; ++k) {
            const Vec p = to_mm(ring[k]);
            const Vec in = p - to_mm(ring[(k + n - 1) % n]);
            const Vec out = to_mm(ring[(k + 1) % n]) - p;
            const bool corner = dot(in, out) < kStraight * plane::length(in) * plane::length(out);
            if (corner || k == 0 || plane::distance(probes.back(), p) >= kApart) probes.push_back(p);
        }
    }
    return probes;
}

Solid make_solid(std::vector<plane::Ring> rings, Vec centre, bool is_wall) {
    plane::Box box;
    for (const plane::Ring& ring : rings)
        extend(box, plane::bounds(ring));
    std::vector<Vec> probes = probes_of(rings);
    return {plane::EdgeIndex(std::move(rings)), box, centre, is_wall, std::move(probes)};
}

/// The point in the solid's own frame that lies at `v`.
Vec unplaced(Vec v, const Solid& solid, const Lie& lie) {
    const Vec rel = v - solid.centre - lie.shift;
    const double c = std::cos(lie.turn), s = std::sin(lie.turn);
    const Vec turned{c * rel.x + s * rel.y, -s * rel.x + c * rel.y};
    // The inverse of 1 + growth, exactly.
    const double xx = 1 + lie.growth.xx, yy = 1 + lie.growth.yy, xy = lie.growth.xy;
    const double det = xx * yy - xy * xy;
    return solid.centre + Vec{(yy * turned.x - xy * turned.y) / det, (xx * turned.y - xy * turned.x) / det};
}

struct Across {
    double gap;
    Vec at, normal;
};

/// From a point to the solid as it lies: the nearest edge point is found in the solid's own frame. Growth changes
/// distances by its own share only, and the result is measured after placing both.
std::optional<Across> across(const Solid& solid, const Lie& lie, Vec p, double reach) {
    const Vec own = unplaced(p, solid, lie);
    if (!inside(grown(solid.box, reach), own)) return std::nullopt;
    // Strain changes distances by its own share; 1 % is more than any.
    const auto near = solid.edges.nearest(own, reach * 1.01 + 1e-6);
    if (!near) return std::nullopt;
    const double side = signed_distance(solid.edges.rings(), *near, own) * (solid.is_wall ? -1 : 1);
    const Vec at = placed(near->at, solid, lie);
    const double distance = plane::distance(p, at);
    const double gap = side < 0 ? -distance : distance;
    if (distance > 1e-7) return Across{gap, at, (p - at) * (1 / gap)};
    const plane::Ring& ring = solid.edges.rings()[near->ring];
    const Vec a = placed(to_mm(ring[near->segment]), solid, lie);
    const Vec b = placed(to_mm(ring[(near->segment + 1) % ring.size()]), solid, lie);
    const Vec along = (b - a) * (1 / std::max(1e-12, plane::distance(a, b)));
    const Vec out = Vec{along.y, -along.x} * (solid.is_wall ? -1.0 : 1.0);
    return Across{0, at, out};
}

plane::Box box_of(const Solid& solid, const Lie& lie, double reach) {
    plane::Box box;
    const auto& b = solid.box;
    for (const Vec corner : {b.low, Vec{b.high.x, b.low.y}, b.high, Vec{b.low.x, b.high.y}})
        extend(box, placed(corner, solid, lie));
    return grown(box, reach);
}

std::vector<std::vector<std::size_t>> neighbours(const std::vector<Solid>& solids, const std::vector<Lie>& lies,
                                                 double reach) {
    std::vector<plane::Box> boxes;
    for (std::size_t i = 0; i < solids.size(); ++i)
        boxes.push_back(box_of(solids[i], lies[i], reach));
    std::vector<std::vector<std::size_t>> near(solids.size());
    for (std::size_t i = 0; i < solids.size(); ++i)
        for (std::size_t j = 0; j < solids.size(); ++j)
            if (i != j && overlap(boxes[i], boxes[j])) near[i].push_back(j);
    return near;
}

/// Solids whose edges are far apart can still lie one in the other: one point of each tells.
bool any_inside(const std::vector<Solid>& solids, const std::vector<Lie>& lies,
                const std::vector<std::vector<std::size_t>>& near) {
    for (std::size_t a = 0; a < solids.size(); ++a)
        for (const std::size_t b : near[a]) {
            if (solids[a].is_wall) continue;
            const Vec own = unplaced(placed(solids[a].probes.front(), solids[a], lies[a]), solids[b], lies[b]);
            const double side = signed_distance(solids[b].edges, own);
            if (solids[b].is_wall ? side > 0 : side < 0) return true;
        }
    return false;
}

} // namespace

Vec placed(Vec v, const Solid& solid, const Lie& lie) {
    const Vec rel = v - solid.centre;
    const Vec grown{rel.x + lie.growth.xx * rel.x + lie.growth.xy * rel.y,
                    rel.y + lie.growth.xy * rel.x + lie.growth.yy * rel.y};
    const double c = std::cos(lie.turn), s = std::sin(lie.turn);
    return solid.centre + lie.shift + Vec{c * grown.x - s * grown.y, s * grown.x + c * grown.y};
}

std::vector<Solid> solids_of(const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall) {
    std::vector<Solid> solids;
    for (const AssemblyPiece& piece : pieces)
        solids.push_back(make_solid(plane::rings_of(piece.as_cut), plane::centroid(piece.as_cut), false));
    if (!wall.as_cut.empty()) {
        const plane::Box box = plane::bounds(wall.as_cut);
        solids.push_back(make_solid(plane::rings_of(wall.as_cut), (box.low + box.high) * 0.5, true));
    }
    return solids;
}

ContactSet contacts_of(const std::vector<Solid>& solids, const std::vector<Lie>& lies, double spacing, double reach,
                       int threads) {
    const auto near = neighbours(solids, lies, reach);
    std::vector<std::vector<ContactPair>> found(solids.size());
    parallel_for(solids.size(), threads, [&](std::size_t a) {
        for (const plane::Ring& ring : solids[a].edges.rings()) {
            double since = 1e300;
            Vec last;
            for (const Vec own : plane::sampled(ring, spacing)) {
                // Outlines are full of short chords; a contact for each would say nothing new.
                since = since > 1e299 ? since : since + plane::distance(own, last);
                last = own;
                if (since < spacing / 2) continue;
                since = 0;
                const Vec p = placed(own, solids[a], lies[a]);
                for (const std::size_t b : near[a])
                    if (const auto hit = across(solids[b], lies[b], p, reach))
                        found[a].push_back({a, b, 0, p, hit->at, hit->normal, hit->gap});
            }
        }
    });
    std::map<std::pair<std::size_t, std::size_t>, std::vector<ContactPair>> by_seam;
    for (const auto& some : found)
        for (const ContactPair& contact : some)
            by_seam[std::minmax(contact.a, contact.b)].push_back(contact);
    ContactSet set;
    for (auto& [seam, contacts] : by_seam) {
        set.first.push_back(set.contacts.size());
        for (ContactPair& contact : contacts) {
            contact.seam = set.seams.size();
            set.contacts.push_back(contact);
        }
        set.seams.push_back(seam);
    }
    set.first.push_back(set.contacts.size());
    return set;
}

double smallest_gap(const std::vector<Solid>& solids, const std::vector<Lie>& lies, const std::vector<double>& grown_by,
                    double reach, int threads) {
    const auto near = neighbours(solids, lies, reach);
    std::vector<double> smallest(solids.size(), reach);
    parallel_for(solids.size(), threads, [&](std::size_t a) {
        for (const std::size_t b : near[a]) {
            const double grown = grown_by[a] + grown_by[b];
            for (const Vec probe : solids[a].probes) {
                const double within = std::max(smallest[a] + grown, 0.05);
                if (const auto hit = across(solids[b], lies[b], placed(probe, solids[a], lies[a]), within))
                    smallest[a] = std::min(smallest[a], hit->gap - grown);
            }
        }
    });
    const double gap = *std::min_element(smallest.begin(), smallest.end());
    if (gap > 0 && !any_inside(solids, lies, near)) return gap;
    // Interference: how deep, needs the whole search.
    std::vector<double> deepest(solids.size(), gap);
    parallel_for(solids.size(), threads, [&](std::size_t a) {
        for (const std::size_t b : near[a])
            for (const Vec probe : solids[a].probes) {
                const Vec own = unplaced(placed(probe, solids[a], lies[a]), solids[b], lies[b]);
                if (!solids[b].is_wall && !inside(solids[b].box, own)) continue;
                const double side = signed_distance(solids[b].edges, own) * (solids[b].is_wall ? -1 : 1);
                deepest[a] = std::min(deepest[a], side - grown_by[a] - grown_by[b]);
            }
    });
    return *std::min_element(deepest.begin(), deepest.end());
}

} // namespace kerfwright::fit
