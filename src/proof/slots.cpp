#include "slots.hpp"

#include "zones.hpp"

#include "plane/nearest.hpp"

#include <algorithm>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kStep = 0.5;      ///< mm along the edge
constexpr double kNoCutter = 1;    ///< mm: nothing is cut where no cutter comes nearer to the edge
constexpr double kHolds = 0.01;    ///< mm: a thinner film does not hold
constexpr double kTabHeight = 0.3; ///< mm above a skin, which may follow an uneven bed

/// A place in the slot's middle.
struct Place {
    Vec at;
    double left = 0; ///< mm above the underside
};

Place place_beside(Vec edge, const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting) {
    Place place{edge, setup.stock.top - setup.stock.bottom};
    const auto near = cutting.closest(edge, kNoCutter);
    if (!near) return place;
    const motion::Vec3 middle = point_on(cutting.pieces()[near->piece], near->share);
    place.at = {middle.x, middle.y};
    if (const auto lowest = lowest_over(sequence, cutting, place.at))
        place.left = std::max(0.0, lowest->at[2] - setup.stock.bottom);
    return place;
}

double usual_height(const std::vector<Place>& places) {
    std::vector<double> heights;
    for (const Place& place : places)
        heights.push_back(place.left);
    const auto middle = heights.begin() + static_cast<std::ptrdiff_t>(heights.size() / 2);
    std::nth_element(heights.begin(), middle, heights.end());
    return *middle;
}

/// Runs of places that are higher than `height`, around the ring.
std::vector<TabLeft> tabs_above(const std::vector<Place>& places, double height) {
    const std::size_t count = places.size();
    const auto high = [&](std::size_t i) { return places[i % count].left > height; };
    std::size_t first = 0;
    while (first < count && high(first))
        ++first;
    std::vector<TabLeft> tabs;
    for (std::size_t i = first; i < first + count; ++i) {
        if (!high(i)) continue;
        std::size_t end = i;
        TabLeft tab;
        for (; end < first + count && high(end); ++end) {
            tab.thickness = std::max(tab.thickness, places[end % count].left);
            tab.width += plane::distance(places[end % count].at, places[(end + 1) % count].at);
        }
        const Vec at = places[((i + end - 1) / 2) % count].at;
        tab.at = {at.x, at.y};
        tabs.push_back(tab);
        i = end;
    }
    return tabs;
}

} // namespace

SlotLeft slot_around(const SetupToProve& setup, const AskedPart& part, const Sequence& sequence,
                     const PathTree& cutting) {
    std::vector<Place> places;
    for (const Vec edge : plane::sampled(part.outline.outer, kStep))
        places.push_back(place_beside(edge, setup, sequence, cutting));
    SlotLeft left;
    if (places.empty()) return left;
    const double usual = usual_height(places);
    const double height = usual > kHolds ? usual + kTabHeight : kHolds;
    left.skin_min = 1e300;
    for (const Place& place : places)
        if (place.left <= height) {
            left.skin_min = std::min(left.skin_min, place.left);
            left.skin_max = std::max(left.skin_max, place.left);
        }
    left.tabs = tabs_above(places, height);
    return left;
}

} // namespace kerfwright::proof
