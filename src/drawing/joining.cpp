#include "drawing/joining.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace kerfwright::drawing {
namespace {

/// Ends closer than this are one point: files are written with six or more digits. mm.
constexpr double kTouch = 1e-6;
constexpr std::size_t kNone = static_cast<std::size_t>(-1);

/// Ends are numbered 2 i (the start of chain i) and 2 i + 1 (its end).
Vec end_at(const std::vector<OpenChain>& chains, std::size_t end) {
    const Chain& chain = chains[end / 2].chain;
    return end % 2 == 0 ? chain.start : end_of(chain);
}

/// Puts the second chain after the first, by a straight line where they do not meet.
void append(JoinedChain& run, Chain next) {
    const double gap = distance(end_of(run.chain), next.start);
    if (gap > run.widest_gap) {
        run.widest_gap = gap;
        run.at = next.start;
    }
    if (gap > 0) run.chain.pieces.emplace_back(Line{next.start});
    std::move(next.pieces.begin(), next.pieces.end(), std::back_inserter(run.chain.pieces));
}

void close(JoinedChain& run) {
    const double gap = distance(end_of(run.chain), run.chain.start);
    if (gap > run.widest_gap) {
        run.widest_gap = gap;
        run.at = run.chain.start;
    }
    run.chain.closed = true;
}

/// The loop of chains first, first + 1, ... that come back to where they began; 0 when they don't.
std::size_t loop_length(const std::vector<OpenChain>& chains, std::size_t first, std::vector<bool>& turned,
                        std::size_t& steps) {
    const auto meets = [](Vec a, Vec b) { return distance(a, b) <= kTouch; };
    for (const bool turn : {false, true}) {
        turned.assign(1, turn);
        const Vec begin = end_at(chains, 2 * first + (turn ? 1 : 0));
        Vec at = end_at(chains, 2 * first + (turn ? 0 : 1));
        for (std::size_t i = first; !meets(at, begin) || i == first;) {
            ++steps;
            if (++i == chains.size() || chains[i].layer != chains[first].layer) break;
            const Vec start = chains[i].chain.start, end = end_of(chains[i].chain);
            if (!meets(at, start) && !meets(at, end)) break;
            turned.push_back(!meets(at, start));
            at = turned.back() ? start : end;
            if (meets(at, begin)) return turned.size();
        }
    }
    return 0;
}

/// Takes out the loops that follow each other in the file.
void take_loops(std::vector<OpenChain>& chains, std::vector<JoinedChain>& closed) {
    std::vector<OpenChain> rest;
    std::vector<bool> turned;
    std::size_t steps = 0; // bounded: keeps the cost linear on a long chain that never closes
    for (std::size_t i = 0; i < chains.size();) {
        const std::size_t count = steps < 64 * chains.size() ? loop_length(chains, i, turned, steps) : 0;
        if (count == 0) {
            rest.push_back(std::move(chains[i++]));
            continue;
        }
        JoinedChain run{
            turned[0] ? reversed(std::move(chains[i].chain)) : std::move(chains[i].chain), chains[i].item, 0, {}};
        for (std::size_t k = 1; k < count; ++k) {
            Chain& next = chains[i + k].chain;
            append(run, turned[k] ? reversed(std::move(next)) : std::move(next));
        }
        close(run);
        closed.push_back(std::move(run));
        i += count;
    }
    chains = std::move(rest);
}

/// Groups of ends that are linked by steps of at most `reach`, among those without a mate.
class Groups {
  public:
    Groups(const std::vector<OpenChain>& chains, const std::vector<std::size_t>& mates, double reach)
        : parent_(mates.size()) {
        std::iota(parent_.begin(), parent_.end(), 0);
        const double cell = std::max(reach, kTouch);
        using Cell = std::pair<std::int64_t, std::int64_t>;
        std::map<std::string_view, std::map<Cell, std::vector<std::size_t>>> layers;
        for (std::size_t end = 0; end < mates.size(); ++end) {
            if (mates[end] != kNone) continue;
            const Vec at = end_at(chains, end);
            const Cell here{static_cast<std::int64_t>(std::floor(at.x / cell)),
                            static_cast<std::int64_t>(std::floor(at.y / cell))};
            auto& cells = layers[chains[end / 2].layer];
            for (std::int64_t dx = -1; dx <= 1; ++dx)
                for (std::int64_t dy = -1; dy <= 1; ++dy) {
                    const auto found = cells.find({here.first + dx, here.second + dy});
                    if (found == cells.end()) continue;
                    for (const std::size_t other : found->second)
                        if (distance(end_at(chains, other), at) <= reach) parent_[root(end)] = root(other);
                }
            auto& members = cells[here];
            if (members.size() < 16) members.push_back(end); // more than two are not joined anyway
        }
        members_.resize(mates.size());
        for (std::size_t end = 0; end < mates.size(); ++end)
            if (mates[end] == kNone) members_[root(end)].push_back(end);
    }
    [[nodiscard]] const std::vector<std::size_t>& of(std::size_t end) { return members_[root(end)]; }

  private:
    std::size_t root(std::size_t end) {
        while (parent_[end] != end)
            end = parent_[end] = parent_[parent_[end]];
        return end;
    }
    std::vector<std::size_t> parent_;
    std::vector<std::vector<std::size_t>> members_;
};

/// A chain that is all within `snap`, between ends that would meet without it.
bool is_speck(const OpenChain& chain, double snap) {
    plane::Box box;
    extend(box, chain.chain);
    return plane::length({box.width(), box.height()}) <= snap;
}

std::vector<OpenChain> without_specks(std::vector<OpenChain> chains, double snap) {
    const std::vector<std::size_t> nobody(2 * chains.size(), kNone);
    Groups groups(chains, nobody, snap);
    std::vector<OpenChain> kept;
    std::vector<bool> drop(chains.size(), false);
    for (std::size_t i = 0; i < chains.size(); ++i)
        drop[i] = groups.of(2 * i).size() > 2 && is_speck(chains[i], snap);
    for (std::size_t i = 0; i < chains.size(); ++i)
        if (!drop[i]) kept.push_back(std::move(chains[i]));
    return kept;
}

std::vector<std::size_t> mates_of(const std::vector<OpenChain>& chains, double snap) {
    std::vector<std::size_t> mates(2 * chains.size(), kNone);
    for (const double reach : {kTouch, snap}) {
        Groups groups(chains, mates, reach);
        std::vector<std::pair<std::size_t, std::size_t>> pairs;
        for (std::size_t end = 0; end < mates.size(); ++end) {
            if (mates[end] != kNone) continue;
            const auto& group = groups.of(end);
            if (group.size() == 2 && group[0] == end) pairs.emplace_back(group[0], group[1]);
        }
        for (const auto& [a, b] : pairs) {
            mates[a] = b;
            mates[b] = a;
        }
    }
    return mates;
}

} // namespace

Joining join(std::vector<OpenChain> chains, double snap) {
    Joining result;
    take_loops(chains, result.closed);
    chains = without_specks(std::move(chains), snap);
    const std::vector<std::size_t> mates = mates_of(chains, snap);
    Groups around(chains, std::vector<std::size_t>(mates.size(), kNone), snap);

    std::vector<bool> done(chains.size(), false);
    // First the runs that begin at a loose end, then what is left: closed loops.
    for (std::size_t end = 0; end < mates.size(); ++end) {
        if (mates[end] != kNone || done[end / 2]) continue;
        std::size_t at = end, item = kNone, far = end;
        do {
            done[at / 2] = true;
            item = std::min(item, chains[at / 2].item);
            far = at ^ 1U;
            at = mates[far];
        } while (at != kNone);
        for (const std::size_t loose : {end, far})
            result.loose.push_back({item, end_at(chains, loose), around.of(loose).size()});
    }
    for (std::size_t i = 0; i < chains.size(); ++i) {
        if (done[i]) continue;
        done[i] = true;
        JoinedChain run{std::move(chains[i].chain), chains[i].item, 0, {}};
        for (std::size_t at = mates[2 * i + 1]; at != 2 * i; at = mates[at ^ 1U]) {
            done[at / 2] = true;
            Chain& next = chains[at / 2].chain;
            append(run, at % 2 == 0 ? std::move(next) : reversed(std::move(next)));
        }
        close(run);
        result.closed.push_back(std::move(run));
    }
    const auto by_item = [](const auto& a, const auto& b) { return a.item < b.item; };
    std::stable_sort(result.closed.begin(), result.closed.end(), by_item);
    std::stable_sort(result.loose.begin(), result.loose.end(), by_item);
    return result;
}

} // namespace kerfwright::drawing
