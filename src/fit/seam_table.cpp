#include "fit/seam_table.hpp"

#include "base/parallel.hpp"
#include "fit/thickness.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::fit {
namespace {

constexpr double kListed = 0.005; ///< mm; a gap that is wider by more is looked into

struct Gap {
    double min = 1e300, max = 0, integral = 0, length = 0;
    std::vector<Spot> spots;
};

struct Close {
    double distance = 1e300;
    plane::Vec at;
};

struct Looked {
    std::map<SeamKey, Gap> gaps;
    std::map<SeamKey, Close> close;
};

struct Sample {
    plane::Vec at;
    double length = 0; ///< mm of ring it stands for
};

struct Ground {
    const Bodies& bodies;
    const std::vector<Border>& eased;
    const std::vector<Void>& voids;
    const FitRules& rules;
    double step = 0.15;                           ///< mm between samples
    std::vector<std::vector<std::size_t>> beside; ///< for each body, those that may come near it
    std::vector<NearEdges> cut;
    std::vector<NearEdges> fallen;
    std::vector<plane::Box> box;
};

SeamKey key_of(std::size_t i, std::size_t j) {
    return {static_cast<int>(std::min(i, j)), static_cast<int>(std::max(i, j))};
}

bool inside(const plane::Box& box, plane::Vec p) {
    return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y;
}

/// True where the way from a over b to c turns by more than 15°: arcs as chords turn less.
bool is_corner(plane::Vec a, plane::Vec b, plane::Vec c) {
    const plane::Vec in = b - a, out = c - b;
    return plane::dot(in, out) < 0.966 * plane::length(in) * plane::length(out);
}

/// Points of the ring at most 1.5 steps apart, its corners among them: there the gap is widest.
std::vector<Sample> samples_of(const plane::Ring& ring, double step) {
    const std::vector<plane::Vec> points = plane::sampled(ring, step);
    std::vector<Sample> samples;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const plane::Vec before = points[(k + points.size() - 1) % points.size()];
        const plane::Vec p = points[k];
        if (!samples.empty()) samples.back().length += plane::distance(before, p);
        if (samples.empty() || samples.back().length >= step / 2 ||
            is_corner(before, p, points[(k + 1) % points.size()]))
            samples.push_back({p, 0});
    }
    if (!samples.empty()) samples.back().length += plane::distance(points.back(), samples.front().at);
    return samples;
}

void add_spot(std::vector<Spot>& spots, Spot spot) {
    constexpr double kJoin = 0.5; // mm
    for (std::size_t k = 0; k < spots.size();) {
        if (spots[k].why == spot.why && overlap(grown(spots[k].box, kJoin), spot.box)) {
            extend(spot.box, spots[k].box);
            spots.erase(spots.begin() + static_cast<std::ptrdiff_t>(k));
            k = 0;
        } else {
            ++k;
        }
    }
    spots.push_back(std::move(spot));
}

/// The outer border of a set without a tray, or the edge of a void.
bool near_free_edge(const Border& border, plane::Vec p, double reach) {
    return border.edges.any_within(
        p, reach, [&](std::uint32_t ring, std::uint32_t segment) { return border.mate[ring][segment] == kNobody; });
}

/// Why the mate of a seam keeps away from it at `foot`, or "" when it does not.
std::string why_wide(const Ground& ground, std::size_t i, std::size_t j, plane::Vec foot) {
    const double retreat = ground.cut[j].nearest(foot)->distance - ground.bodies.all[j].step_back;
    if (retreat < kListed / 2) return "";
    if (ground.fallen[j].nearest(foot, ground.bodies.all[j].step_back + kListed)) return "fallen bit";
    const double reach = 2 * (ground.bodies.all[i].step_back + ground.bodies.all[j].step_back) + 0.02;
    for (const Void& gone : ground.voids)
        if (inside(grown(gone.box, reach + 2 * ground.bodies.all[gone.claimant].cutter_radius), foot)) return "void";
    for (const std::size_t k : ground.beside[i])
        if (k != j && inside(grown(ground.eased[k].box, reach), foot) && ground.eased[k].edges.nearest(foot, reach))
            return "junction";
    if (near_free_edge(ground.eased[i], foot, reach) || near_free_edge(ground.eased[j], foot, reach))
        return "free edge";
    // A convex bend of one side has at least the easing radius of the other. If that is less than the step back, the
    // bend steps back to a corner, which lies further away.
    const auto opens = [&](std::size_t at, std::size_t by) {
        return ground.bodies.all[by].easing_radius() < ground.bodies.all[at].step_back + kRoom;
    };
    return opens(i, j) || opens(j, i) ? "corner" : "";
}

void measure(const Ground& ground, std::size_t i, const Sample& sample, Looked& looked) {
    constexpr double kOwn = 0.05; // mm beyond the step back, for finding the eased border again
    const plane::Vec q = sample.at;
    const double step_back = ground.bodies.all[i].step_back;
    for (const std::size_t j : ground.beside[i]) {
        if (!inside(grown(ground.box[j], ground.step), q)) continue;
        if (const auto near = ground.cut[j].nearest(q, ground.step)) {
            Close& close = looked.close[key_of(i, j)];
            if (near->distance < close.distance) close = {near->distance, q};
        }
    }
    const auto foot = ground.eased[i].edges.nearest(q, step_back + kOwn);
    if (!foot) return;
    const int mate = ground.eased[i].mate[foot->ring][foot->segment];
    if (mate == kNobody) return;
    const auto j = static_cast<std::size_t>(mate);
    const double asked = step_back + ground.bodies.all[j].step_back;
    const auto across = ground.cut[j].nearest(q);
    if (!across) return;
    Gap& gap = looked.gaps[key_of(i, j)];
    gap.min = std::min(gap.min, across->distance);
    if (across->distance > asked + kListed) {
        const std::string why = why_wide(ground, i, j, foot->at);
        if (!why.empty()) {
            plane::Box box;
            extend(box, q);
            extend(box, across->at);
            add_spot(gap.spots, {box, why});
            return;
        }
    }
    gap.max = std::max(gap.max, across->distance);
    gap.integral += across->distance * sample.length;
    gap.length += sample.length;
}

Looked look_along(const Ground& ground, std::size_t i) {
    Looked looked;
    for (const plane::Ring& ring : ground.cut[i].rings())
        for (const Sample& sample : samples_of(ring, ground.step))
            measure(ground, i, sample, looked);
    return looked;
}

Looked merged(std::vector<Looked>&& parts) {
    Looked all;
    for (Looked& part : parts) {
        for (auto& [key, gap] : part.gaps) {
            Gap& sum = all.gaps[key];
            sum.min = std::min(sum.min, gap.min);
            sum.max = std::max(sum.max, gap.max);
            sum.integral += gap.integral;
            sum.length += gap.length;
            for (Spot& spot : gap.spots)
                add_spot(sum.spots, std::move(spot));
        }
        for (const auto& [key, close] : part.close) {
            Close& closest = all.close[key];
            if (close.distance < closest.distance) closest = close;
        }
    }
    return all;
}

std::map<SeamKey, double> lengths(const std::vector<Border>& eased) {
    std::map<SeamKey, double> length;
    for (std::size_t i = 0; i < eased.size(); ++i)
        for (const Edge& edge : edges_of(eased[i]))
            if (edge.mate > static_cast<int>(i))
                length[{static_cast<int>(i), edge.mate}] += plane::distance(edge.from, edge.to);
    return length;
}

std::vector<std::vector<std::size_t>> beside(const Bodies& bodies, const std::vector<Border>& eased) {
    double step_back = 0;
    for (const Body& body : bodies.all)
        step_back = std::max(step_back, body.step_back);
    const double reach = 4 * step_back + 1; // twice the widest gap, and to spare
    std::vector<std::vector<std::size_t>> found(eased.size());
    for (std::size_t i = 0; i < eased.size(); ++i)
        for (std::size_t j = 0; j < eased.size(); ++j)
            if (j != i && overlap(grown(eased[i].box, reach), eased[j].box)) found[i].push_back(j);
    return found;
}

} // namespace

SeamTable seam_table(const Bodies& bodies, const std::vector<Border>& eased, const CutBodies& cut,
                     const std::vector<Void>& voids, const std::map<SeamKey, Displacement>& moved,
                     const FitRules& rules) {
    Ground ground{bodies, eased, voids, rules, std::clamp(rules.clearance, 0.02, 0.15), beside(bodies, eased),
                  {},     {},    {}};
    ground.cut.resize(cut.as_cut.size(), NearEdges(plane::Shape{}));
    parallel_for(cut.as_cut.size(), rules.threads, [&](std::size_t i) { ground.cut[i] = NearEdges(cut.as_cut[i]); });
    for (const plane::Shape& shape : cut.as_cut)
        ground.box.push_back(plane::bounds(shape));
    for (const plane::Shape& shape : cut.fallen)
        ground.fallen.emplace_back(shape);
    std::vector<Looked> parts(cut.as_cut.size());
    parallel_for(cut.as_cut.size(), rules.threads, [&](std::size_t i) { parts[i] = look_along(ground, i); });
    Looked all = merged(std::move(parts));

    SeamTable table;
    for (const auto& [key, length] : lengths(eased)) {
        const Body& a = bodies.all[static_cast<std::size_t>(key.first)];
        const Body& b = bodies.all[static_cast<std::size_t>(key.second)];
        SeamFit seam;
        seam.a = a.id;
        seam.b = b.id;
        seam.length = length;
        seam.asked = a.step_back + b.step_back;
        const Gap& gap = all.gaps[key];
        // A seam so short that its junctions cover it has no gap of its own: it is as asked, with its spots listed.
        seam.gap_min = gap.min < 1e299 ? gap.min : seam.asked;
        seam.gap_mean = gap.length > 0 ? gap.integral / gap.length : seam.asked;
        seam.gap_max = gap.length > 0 ? gap.max : seam.asked;
        seam.spots = gap.spots;
        if (const auto found = moved.find(key); found != moved.end()) {
            seam.moved_max = found->second.max;
            seam.moved_mean = found->second.length > 0 ? found->second.integral / found->second.length : 0;
            seam.moved_at = found->second.at;
        }
        table.seams.push_back(std::move(seam));
    }
    std::sort(table.seams.begin(), table.seams.end(),
              [](const SeamFit& x, const SeamFit& y) { return std::tie(x.a, x.b) < std::tie(y.a, y.b); });
    for (const auto& [key, close] : all.close)
        if (close.distance < ground.step) table.close.emplace_back(key, close.at);
    return table;
}

} // namespace kerfwright::fit
