#include "floors.hpp"

#include "edges.hpp"
#include "findings.hpp"
#include "floor_search.hpp"
#include "zones.hpp"

#include "base/parallel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr int kMostSteps = 24;  ///< each takes a tree of its own; beyond it an extreme may be further out
constexpr int kFirstPlaces = 8; ///< along each side: where an extreme is looked for first

enum class Sense { deepest, highest };

/// One floor with all that its measures and its findings ask.
struct FloorTask {
    const SetupToProve& setup;
    const Sequence& sequence;
    const PathTree& cutting;
    const AskedFloor& floor;
    Depth depth;

    [[nodiscard]] double z() const { return setup.stock.top - floor.depth; }
    [[nodiscard]] double border() const { return setup.tolerances.left_standing; }

    /// The surface at a place, with the move that made it, else the nearest one.
    [[nodiscard]] Finding surface(Vec at) const {
        if (const auto lowest = lowest_over(sequence, cutting, at)) return *lowest;
        Finding uncut;
        if (const auto near = cutting.closest(at))
            uncut = finding_at(sequence, FindingKind::left_standing, cutting.pieces()[near->piece], near->share);
        uncut.at = {at.x, at.y, setup.stock.top};
        return uncut;
    }
    /// How far a place is from the nearest feed of a path, beyond the cutter's radius.
    [[nodiscard]] static double uncovered(const PathTree& feeds, Vec p) {
        const auto near = feeds.closest(p);
        return near ? near->gap : 1e9;
    }
    /// How far a cutter of a path reaches over a place.
    [[nodiscard]] static double dug(const PathTree& deeper, Vec p) {
        const auto near = deeper.closest(p, kFirstSquare);
        return near ? -near->gap : -kFirstSquare;
    }
};

/// The deepest or the highest place of a floor. Squares are let go that cannot go beyond the best known one: those
/// clear of all moves that go deeper, or under a feed that goes as deep. A better place makes a new path to compare
/// with.
class Extreme {
  public:
    Extreme(const FloorTask& task, Sense sense) : task_(task), sense_(sense) {
        look_first();
        const auto excess = [this](Vec p) {
            if (!best_) return 1e9;
            return sense_ == Sense::deepest ? FloorTask::dug(beyond_, p) : FloorTask::uncovered(beyond_, p);
        };
        const auto found = [this](Vec p, double) {
            if (!task_.depth.holds(p) || take(p)) return false;
            settled_ = false;
            return true;
        };
        FloorSearch search(task_.depth, task_.border(), kSmallestSquare, excess, found);
        search.run();
        complete_ = search.complete() && steps_ < kMostSteps;
    }

    /// Nothing where the floor is all border.
    [[nodiscard]] const std::optional<Finding>& best() const { return best_; }
    /// Whether no place was met that the path leaves open and that is no better one, as where a rapid cut.
    [[nodiscard]] bool settled() const { return settled_ && steps_ < kMostSteps; }
    /// Whether all of the floor was looked at.
    [[nodiscard]] bool complete() const { return complete_; }

  private:
    /// A few places all over the floor save most of the steps.
    void look_first() {
        const plane::Box box = task_.depth.box();
        for (int i = 0; i < kFirstPlaces * kFirstPlaces; ++i) {
            const int column = i % kFirstPlaces, row = i / kFirstPlaces;
            const Vec p{box.low.x + box.width() * (column + 0.5) / kFirstPlaces,
                        box.low.y + box.height() * (row + 0.5) / kFirstPlaces};
            if (task_.depth.at(p) < task_.border() || !task_.depth.holds(p)) continue;
            const Finding surface = task_.surface(p);
            if (is_beyond(surface, 0)) best_ = surface;
        }
        if (best_) follow();
    }

    [[nodiscard]] bool is_beyond(const Finding& surface, double by) const {
        if (!best_) return true;
        const double past = surface.at[2] - best_->at[2];
        return (sense_ == Sense::deepest ? -past : past) > by;
    }

    /// Whether the place is a better one.
    bool take(Vec p) {
        if (steps_ >= kMostSteps) return false;
        const Finding surface = task_.surface(p);
        if (!is_beyond(surface, kSameHeight / 2)) return false;
        best_ = surface;
        ++steps_;
        follow();
        return true;
    }

    void follow() {
        const double level = best_->at[2] + (sense_ == Sense::deepest ? -kSameHeight : kSameHeight);
        const bool deepest = sense_ == Sense::deepest;
        beyond_ = path_at_level(task_.sequence, {level, level, !deepest, deepest});
    }

    const FloorTask& task_;
    Sense sense_;
    std::optional<Finding> best_;
    PathTree beyond_;
    int steps_ = 0;
    bool settled_ = true, complete_ = true;
};

FloorPlace place_of(const FloorTask& task, const Extreme& extreme) {
    if (!extreme.best()) return {};
    const Finding& best = *extreme.best();
    const double deviation = best.at[2] - task.z();
    return {std::abs(deviation) < 1e-9 ? 0 : deviation, {best.at[0], best.at[1]}, best.program, best.line};
}

/// One finding for each spot, with the line of the move that made the surface there, else of the nearest.
Finding told(const FloorTask& task, Vec spot, double excess, const Finding& like) {
    Finding finding = like;
    std::optional<Finding> named = lowest_over(task.sequence, task.cutting, spot);
    if (const auto near = task.cutting.closest(spot); near && !named)
        named = finding_at(task.sequence, like.kind, task.cutting.pieces()[near->piece], near->share);
    if (named) {
        finding.program = named->program;
        finding.line = named->line;
    }
    finding.at = {spot.x, spot.y, named ? named->at[2] : like.at[2]};
    finding.value = like.kind == FindingKind::gouge ? finding.at[2] - like.at[2] : excess;
    return finding;
}

/// All spots where `excess` is above 0.
template <class Excess>
void tell(const FloorTask& task, const Finding& like, Excess excess, std::vector<Finding>& findings) {
    const auto found = [&](Vec p, double by) {
        if (task.depth.holds(p)) findings.push_back(told(task, p, by, like));
        return true;
    };
    FloorSearch(task.depth, task.border(), kSmallestSquare, excess, found).run();
}

/// The searches for spots are needed only where the extremes do not settle that there are none.
FloorProof prove_floor(const FloorTask& task, std::vector<Finding>& findings) {
    const Tolerances& tolerances = task.setup.tolerances;
    const double high = task.z() + tolerances.left_standing, low = task.z() - tolerances.floor;
    const std::string name = task.floor.id.empty() ? "the floor" : fmt::format("the floor of {}", task.floor.id);
    Finding like;
    like.at[2] = task.z();
    like.program = task.sequence.runs.empty() ? "" : task.sequence.runs.back().file;

    const Extreme highest(task, Sense::highest);
    if (!highest.settled() || (highest.best() && highest.best()->at[2] + kSameHeight > high)) {
        const PathTree full = path_at_level(task.sequence, {high, high, true, false});
        like.kind = FindingKind::left_standing;
        like.bound = 0;
        like.text = fmt::format("no feed at full depth comes over this place of {}", name);
        if (!full.empty())
            tell(
                task, like, [&](Vec p) { return FloorTask::uncovered(full, p); }, findings);
    }
    const Extreme deepest(task, Sense::deepest);
    if (!deepest.settled() || (deepest.best() && deepest.best()->at[2] - kSameHeight < low)) {
        const PathTree deep = path_at_level(task.sequence, {low, low, false, true});
        like.kind = FindingKind::gouge;
        like.bound = -tolerances.floor;
        like.text = fmt::format("goes deeper than {}", name);
        if (!deep.empty())
            tell(
                task, like, [&](Vec p) { return FloorTask::dug(deep, p); }, findings);
    }
    return {task.floor.id, place_of(task, deepest), place_of(task, highest), deepest.complete() && highest.complete()};
}

} // namespace

FloorsProof prove_floors(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting, int threads) {
    FloorsProof proof;
    proof.floors.resize(setup.floors.size());
    std::vector<std::vector<Finding>> of_floor(setup.floors.size());
    parallel_for(of_floor.size(), threads, [&](std::size_t i) {
        const FloorTask task{setup, sequence, cutting, setup.floors[i], Depth(setup.floors[i].area)};
        proof.floors[i] = prove_floor(task, of_floor[i]);
    });
    for (std::vector<Finding>& some : of_floor)
        proof.findings.insert(proof.findings.end(), std::make_move_iterator(some.begin()),
                              std::make_move_iterator(some.end()));
    return proof;
}

} // namespace kerfwright::proof
