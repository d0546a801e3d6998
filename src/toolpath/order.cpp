#include "toolpath/order.hpp"

#include <algorithm>

namespace kerfwright::toolpath {
namespace {

constexpr double kGain = 1e-9; // mm; smaller gains are rounding

/// Open tour from a fixed start: node 0 is the start, node i + 1 is stop i.
class Tour {
  public:
    Tour(const std::vector<Stop>& stops, const std::vector<Precedence>& before, plane::Vec start)
        : count_(stops.size() + 1), ways_(count_ * count_), after_(count_), waiting_(count_, 0) {
        for (std::size_t i = 0; i < stops.size(); ++i) {
            set(0, i + 1, shortest({start}, stops[i].places));
            for (std::size_t j = i + 1; j < stops.size(); ++j)
                set(i + 1, j + 1, shortest(stops[i].places, stops[j].places));
        }
        for (const auto& [first, second] : before) {
            after_[first + 1].push_back(second + 1);
            ++waiting_[second + 1];
        }
        nearest_neighbour();
    }

    void improve() {
        // Bounded: each round takes the first gain of each place; rounds end when none is left.
        constexpr int kRounds = 200;
        for (int round = 0; round < kRounds; ++round)
            if (!two_opt() && !or_opt()) break;
    }

    [[nodiscard]] const std::vector<std::size_t>& order() const { return order_; }

  private:
    static double shortest(const std::vector<plane::Vec>& a, const std::vector<plane::Vec>& b) {
        double best = 1e300;
        for (const plane::Vec p : a)
            for (const plane::Vec q : b)
                best = std::min(best, distance(p, q));
        return best;
    }
    void set(std::size_t a, std::size_t b, double way) { ways_[a * count_ + b] = ways_[b * count_ + a] = way; }
    [[nodiscard]] double way(std::size_t a, std::size_t b) const { return ways_[a * count_ + b]; }
    /// From the node at place i to the one at place j of the order; nothing beyond the open end.
    [[nodiscard]] double step(std::size_t i, std::size_t j) const { return j < count_ ? way(order_[i], order_[j]) : 0; }

    void nearest_neighbour() {
        std::vector<bool> done(count_, false);
        order_ = {0};
        done[0] = true;
        while (order_.size() < count_) {
            std::size_t best = 0;
            for (std::size_t k = 1; k < count_; ++k)
                if (!done[k] && waiting_[k] == 0 && (best == 0 || way(order_.back(), k) < way(order_.back(), best)))
                    best = k;
            if (best == 0) // a cycle, which the contract forbids: go on all the same
                best = static_cast<std::size_t>(std::find(done.begin(), done.end(), false) - done.begin());
            done[best] = true;
            order_.push_back(best);
            for (const std::size_t k : after_[best])
                --waiting_[k];
        }
    }

    [[nodiscard]] bool keeps_precedences(const std::vector<std::size_t>& order) const {
        std::vector<std::size_t> place(after_.size());
        for (std::size_t i = 0; i < order.size(); ++i)
            place[order[i]] = i;
        for (const std::size_t node : order)
            for (const std::size_t later : after_[node])
                if (place[later] < place[node]) return false;
        return true;
    }
    bool take(std::vector<std::size_t> order) {
        if (!keeps_precedences(order)) return false;
        order_ = std::move(order);
        return true;
    }

    bool two_opt() {
        bool any = false;
        for (std::size_t i = 1; i + 1 < count_; ++i)
            for (std::size_t j = i + 1; j < count_; ++j) {
                const double now = step(i - 1, i) + step(j, j + 1);
                const double then = step(i - 1, j) + (j + 1 < count_ ? step(i, j + 1) : 0);
                if (then > now - kGain) continue;
                std::vector<std::size_t> order = order_;
                std::reverse(order.begin() + static_cast<std::ptrdiff_t>(i),
                             order.begin() + static_cast<std::ptrdiff_t>(j) + 1);
                any |= take(std::move(order));
            }
        return any;
    }

    /// Moves a run of one to three stops elsewhere, either way round.
    bool or_opt() {
        bool any = false;
        for (std::size_t run = 1; run <= 3; ++run)
            for (std::size_t i = 1; i + run <= count_; ++i)
                for (std::size_t to = 0; to < count_; ++to)
                    any |= moved(i, run, to);
        return any;
    }
    bool moved(std::size_t i, std::size_t run, std::size_t to) {
        const std::size_t last = i + run - 1;
        if (to + 1 >= i && to <= last) return false;
        const double taken = step(i - 1, i) + step(last, last + 1) - (last + 1 < count_ ? step(i - 1, last + 1) : 0);
        const double forward = step(to, i) + (to + 1 < count_ ? step(last, to + 1) : 0);
        const double backward = step(to, last) + (to + 1 < count_ ? step(i, to + 1) : 0);
        const double added = std::min(forward, backward) - step(to, to + 1);
        if (added > taken - kGain) return false;
        const auto at = [&](std::size_t k) { return order_.begin() + static_cast<std::ptrdiff_t>(k); };
        std::vector<std::size_t> piece(at(i), at(last + 1));
        if (backward < forward) std::reverse(piece.begin(), piece.end());
        std::vector<std::size_t> order;
        for (std::size_t k = 0; k < count_; ++k) {
            if (k < i || k > last) order.push_back(order_[k]);
            if (k == to) order.insert(order.end(), piece.begin(), piece.end());
        }
        return take(std::move(order));
    }

    std::size_t count_;
    std::vector<double> ways_;
    std::vector<std::vector<std::size_t>> after_;
    std::vector<std::size_t> waiting_; ///< how many must still come first
    std::vector<std::size_t> order_;
};

/// For stops in a fixed order: the places that make the way shortest.
std::vector<Visit> best_places(const std::vector<Stop>& stops, const std::vector<std::size_t>& order,
                               plane::Vec start) {
    std::vector<std::vector<double>> cost(order.size());
    std::vector<std::vector<std::size_t>> from(order.size());
    for (std::size_t k = 0; k < order.size(); ++k) {
        for (const plane::Vec p : stops[order[k]].places) {
            double best = 1e300;
            std::size_t best_from = 0;
            if (k == 0)
                best = distance(start, p);
            else
                for (std::size_t q = 0; q < cost[k - 1].size(); ++q) {
                    const double way = cost[k - 1][q] + distance(stops[order[k - 1]].places[q], p);
                    if (way < best) best = way, best_from = q;
                }
            cost[k].push_back(best);
            from[k].push_back(best_from);
        }
    }
    std::vector<Visit> tour(order.size());
    std::size_t place = 0;
    for (std::size_t k = order.size(); k-- > 0;) {
        if (k + 1 == order.size())
            place = static_cast<std::size_t>(std::min_element(cost[k].begin(), cost[k].end()) - cost[k].begin());
        tour[k] = {order[k], place};
        place = from[k][place];
    }
    return tour;
}

} // namespace

std::vector<Visit> short_tour(const std::vector<Stop>& stops, const std::vector<Precedence>& before, plane::Vec start) {
    if (stops.empty()) return {};
    Tour tour(stops, before, start);
    tour.improve();
    std::vector<std::size_t> order;
    for (std::size_t k = 1; k < tour.order().size(); ++k)
        order.push_back(tour.order()[k] - 1);
    return best_places(stops, order, start);
}

double tour_length(const std::vector<Stop>& stops, const std::vector<Visit>& tour, plane::Vec start) {
    double total = 0;
    plane::Vec at = start;
    for (const Visit& visit : tour) {
        const plane::Vec next = stops[visit.stop].places[visit.place];
        total += distance(at, next);
        at = next;
    }
    return total;
}

} // namespace kerfwright::toolpath
