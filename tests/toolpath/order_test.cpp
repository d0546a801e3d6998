#include "base/random.hpp"
#include "toolpath/order.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numeric>

namespace kerfwright::toolpath {
namespace {

using plane::Vec;

std::vector<Stop> scattered(std::uint64_t seed, std::size_t count, std::size_t places) {
    Random random(seed);
    std::vector<Stop> stops(count);
    for (Stop& stop : stops) {
        const Vec middle{random.uniform(0, 600), random.uniform(0, 600)};
        for (std::size_t k = 0; k < places; ++k)
            stop.places.push_back(middle + Vec{random.uniform(-20, 20), random.uniform(-20, 20)});
    }
    return stops;
}

/// Shortest way from the origin through all stops in an order that keeps the precedences (Held and Karp 1962).
double shortest_of_all(const std::vector<Stop>& stops, const std::vector<Precedence>& before) {
    const std::size_t n = stops.size();
    const std::size_t sets = std::size_t{1} << n;
    std::vector<std::size_t> needs(n, 0);
    for (const auto& [first, second] : before)
        needs[second] |= std::size_t{1} << first;
    std::vector<std::vector<double>> best(sets, std::vector<double>(n, 1e300));
    const auto way = [&](std::size_t a, std::size_t b) { return distance(stops[a].places[0], stops[b].places[0]); };
    for (std::size_t set = 1; set < sets; ++set)
        for (std::size_t last = 0; last < n; ++last) {
            const std::size_t bit = std::size_t{1} << last;
            const std::size_t rest = set & ~bit;
            if ((set & bit) == 0 || (rest & needs[last]) != needs[last]) continue;
            if (rest == 0) best[set][last] = distance({0, 0}, stops[last].places[0]);
            for (std::size_t k = 0; k < n; ++k)
                if ((rest >> k & 1) != 0) best[set][last] = std::min(best[set][last], best[rest][k] + way(k, last));
        }
    return *std::min_element(best[sets - 1].begin(), best[sets - 1].end());
}

bool keeps(const std::vector<Visit>& tour, const std::vector<Precedence>& before) {
    std::vector<std::size_t> place(tour.size());
    for (std::size_t k = 0; k < tour.size(); ++k)
        place[tour[k].stop] = k;
    return std::all_of(before.begin(), before.end(),
                       [&](const Precedence& p) { return place[p.first] < place[p.second]; });
}

TEST(Order, tours_of_ten_stops_are_within_a_few_percent_of_the_shortest) {
    double ours = 0;
    double least = 0;
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        const auto stops = scattered(seed, 10, 1);
        const double length = tour_length(stops, short_tour(stops, {}, {0, 0}), {0, 0});
        const double shortest = shortest_of_all(stops, {});
        EXPECT_GE(length, shortest - 1e-6);
        EXPECT_LT(length, 1.25 * shortest) << "seed " << seed;
        ours += length;
        least += shortest;
    }
    EXPECT_LT(ours, 1.06 * least); // 2-opt with Or-opt: about 5 % (Johnson and McGeoch 1997, Table 1)
}

TEST(Order, precedences_cost_little_and_hold) {
    double ours = 0;
    double least = 0;
    const std::vector<Precedence> before{{0, 1}, {2, 1}, {3, 4}, {4, 5}};
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        const auto stops = scattered(seed, 10, 1);
        const auto tour = short_tour(stops, before, {0, 0});
        EXPECT_TRUE(keeps(tour, before));
        ours += tour_length(stops, tour, {0, 0});
        least += shortest_of_all(stops, before);
    }
    EXPECT_LT(ours, 1.12 * least);
}

TEST(Order, places_are_the_best_of_all_for_the_order) {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        const auto stops = scattered(seed, 5, 4);
        const auto tour = short_tour(stops, {}, {0, 0});
        const double length = tour_length(stops, tour, {0, 0});
        std::vector<Visit> other = tour;
        for (int code = 0; code < 4 * 4 * 4 * 4 * 4; ++code) {
            int rest = code;
            for (Visit& visit : other)
                visit.place = static_cast<std::size_t>(rest % 4), rest /= 4;
            EXPECT_GE(tour_length(stops, other, {0, 0}), length - 1e-9);
        }
    }
}

RC_GTEST_PROP(Order, every_stop_once_and_precedences_kept, ()) {
    const auto count = *rc::gen::inRange<std::size_t>(0, 40);
    const auto stops = scattered(*rc::gen::inRange<std::uint64_t>(0, 1000), count, 3);
    std::vector<Precedence> before; // from lower to higher in a shuffled numbering: no cycles
    if (count > 1)
        for (const auto& [a, b] : *rc::gen::container<std::vector<std::pair<std::size_t, std::size_t>>>(
                 rc::gen::pair(rc::gen::inRange<std::size_t>(0, count), rc::gen::inRange<std::size_t>(0, count))))
            if (a != b) before.push_back({std::max(a, b), std::min(a, b)});
    const auto tour = short_tour(stops, before, {0, 0});
    RC_ASSERT(tour.size() == count);
    std::vector<std::size_t> seen;
    for (const Visit& visit : tour)
        seen.push_back(visit.stop);
    std::sort(seen.begin(), seen.end());
    for (std::size_t k = 0; k < count; ++k)
        RC_ASSERT(seen[k] == k);
    RC_ASSERT(keeps(tour, before));
}

} // namespace
} // namespace kerfwright::toolpath
