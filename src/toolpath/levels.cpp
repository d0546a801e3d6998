#include "toolpath/levels.hpp"

#include "plane/levels.hpp"
#include "toolpath/centres.hpp"
#include "toolpath/order.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Vec;

namespace {

constexpr double kThinning = 0.002; // mm; offsets gather vertices

/// One level from the other, from the root on.
void add_by_offsets(std::vector<Level>& levels, std::size_t root, double stepover) {
    std::vector<std::size_t> family{root};
    for (std::size_t k = 0; k < family.size(); ++k) { // grows while it is walked
        const std::size_t i = family[k];
        for (plane::Polygon& inner : thinned(inset({levels[i].area}, stepover), kThinning)) {
            family.push_back(levels.size());
            levels[i].children.push_back(levels.size());
            levels.push_back({std::move(inner), i, {}});
        }
    }
}

/// All levels from the diagram of the root. What is not inside a level further out is smaller than the grid tells.
void add_by_diagram(Levels& all, std::size_t root, double stepover) {
    std::vector<Level>& levels = all.levels;
    plane::OffsetLevels inside = plane::levels_inside({levels[root].area}, stepover);
    all.notes.insert(all.notes.end(), inside.notes.begin(), inside.notes.end());
    std::vector<std::size_t> further_out{root};
    for (const plane::OffsetLevel& level : inside.levels) {
        std::vector<std::size_t> here;
        for (plane::Polygon& inner : thinned(plane::to_shape(level), kThinning)) {
            const auto around = std::find_if(further_out.begin(), further_out.end(), [&](std::size_t i) {
                return plane::contains({levels[i].area}, inner.outer.front());
            });
            if (around == further_out.end()) continue;
            here.push_back(levels.size());
            levels[*around].children.push_back(levels.size());
            levels.push_back({std::move(inner), *around, {}});
        }
        further_out = std::move(here);
    }
}

/// As many as there may be by its box.
bool may_hold_many(const plane::Polygon& area, double stepover) {
    const plane::Box box = bounds(area);
    return std::min(box.width(), box.height()) >= 2 * kManyLevels * stepover;
}

} // namespace

Levels levels_of(const plane::Shape& centres, double stepover) {
    Levels all;
    for (const plane::Polygon& polygon : centres)
        all.levels.push_back({polygon, Level::kNone, {}});
    for (std::size_t root = 0; root < centres.size(); ++root) {
        if (may_hold_many(centres[root], stepover))
            add_by_diagram(all, root, stepover);
        else
            add_by_offsets(all.levels, root, stepover);
    }
    return all;
}

LevelLoops::LevelLoops(const plane::Shape& centres, double stepover, bool climb) {
    Levels made = levels_of(centres, stepover);
    levels_ = std::move(made.levels);
    notes_ = std::move(made.notes);
    rings_.resize(levels_.size());
    tracks_.resize(levels_.size());
    for (std::size_t i = 0; i < levels_.size(); ++i) {
        const double tolerance = levels_[i].parent == Level::kNone ? kFinishTolerance : kRoughTolerance;
        for (const plane::Ring& ring : rings_of(levels_[i].area)) {
            auto track = track_along(climb ? ring : plane::reversed(ring), tolerance);
            if (!track) continue;
            rings_[i].push_back(ring);
            tracks_[i].push_back(std::move(*track));
        }
        sights_.emplace_back(plane::Shape{levels_[i].area});
    }
}

std::size_t LevelLoops::root_of(std::size_t level) const {
    while (levels_[level].parent != Level::kNone)
        level = levels_[level].parent;
    return level;
}

bool Sight::sees(Vec a, Vec b, double beyond) const {
    constexpr double kStep = 0.05; // mm
    const int parts = std::max(2, static_cast<int>(std::ceil(distance(a, b) / kStep)));
    for (int k = 0; k <= parts; ++k) {
        const Vec p = a + (b - a) * (static_cast<double>(k) / parts);
        const auto edge = border_.nearest(p, std::max(beyond, kStep));
        if (edge && edge->distance <= beyond) continue;
        // Away from edges the side is that of the point before.
        if (k > 0 && k < parts && !edge) continue;
        if (!contains(area_, plane::to_grid(p))) return false;
    }
    return true;
}

std::vector<std::size_t> LevelLoops::inside_out(Vec start) const {
    constexpr std::size_t kPlaces = 8;
    std::vector<Stop> stops; // roots are the first levels
    for (std::size_t i = 0; i < levels_.size() && levels_[i].parent == Level::kNone; ++i) {
        const plane::Ring& ring = levels_[i].area.outer;
        Stop stop;
        for (std::size_t k = 0; k < ring.size(); k += ring.size() / kPlaces + 1)
            stop.places.push_back(plane::to_mm(ring[k]));
        stops.push_back(std::move(stop));
    }
    std::vector<std::size_t> order;
    for (const Visit& visit : short_tour(stops, {}, start)) {
        // Parent, then children; the reverse of that has every child, and all within it, before its parent.
        std::vector<std::size_t> family;
        std::vector<std::size_t> waiting{visit.stop};
        while (!waiting.empty()) {
            const std::size_t i = waiting.back();
            waiting.pop_back();
            family.push_back(i);
            waiting.insert(waiting.end(), levels_[i].children.begin(), levels_[i].children.end());
        }
        order.insert(order.end(), family.rbegin(), family.rend());
    }
    return order;
}

} // namespace kerfwright::toolpath
