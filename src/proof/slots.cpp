#include "slots.hpp"

#include "edges.hpp"
#include "findings.hpp"
#include "zones.hpp"

#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kStep = 0.5;      ///< mm along the edge
constexpr double kNoCutter = 1;    ///< mm: nothing is cut where no cutter comes nearer to the edge
constexpr double kHolds = 0.01;    ///< mm: a thinner film does not hold
constexpr double kTabStep = 0.2;   ///< mm along the edge, where the width of a tab is looked at
constexpr double kTabEnds = 0.1;   ///< mm at either end of a tab that are left to rounding
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

/// The finding of a tab that moves below its height reach into, if any does: at its middle, or within its width in the
/// middle of the slot, where it is narrowest.
std::optional<Finding> tab_finding(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                   const AskedPart& part, const AskedTab& tab) {
    const double limit = setup.stock.bottom + tab.thickness - setup.tolerances.floor;
    const PathTree low = path_at_level(sequence, {limit, limit, false, true});
    const std::string which = fmt::format("the tab of {} at X{:.3f} Y{:.3f}", part.id, tab.x, tab.y);
    const Vec middle{tab.x, tab.y};
    if (const auto near = low.closest(middle, setup.tolerances.edge)) {
        Finding finding = finding_at(sequence, FindingKind::gouge, low.pieces()[near->piece], near->share);
        finding.value = point_on(low.pieces()[near->piece], near->share).z - setup.stock.bottom;
        finding.bound = tab.thickness - setup.tolerances.floor;
        finding.text = fmt::format("leaves {:.3f} mm of {} instead of {:.3f} mm", std::max(0.0, finding.value), which,
                                   tab.thickness);
        return finding;
    }
    const Vec outwards = place_beside(middle, setup, sequence, cutting).at - middle;
    const double radius = plane::length(outwards);
    if (radius == 0) return std::nullopt; // nothing is cut beside it
    std::optional<PathTree::Closest> reached;
    double from = -tab.width / 2, to = tab.width / 2; // what is kept, along the edge from the middle
    for (const Vec edge : plane::sampled(part.outline.outer, kTabStep)) {
        if (plane::distance(edge, middle) > tab.width) continue;
        const Vec place = place_beside(edge, setup, sequence, cutting).at;
        const double along = cross(outwards, place - middle) / radius;
        if (along < from + kTabEnds || along > to - kTabEnds) continue;
        const auto near = low.closest(place, 0);
        if (!near || near->gap >= 0) continue;
        reached = near;
        (along < 0 ? from : to) = along;
    }
    if (!reached) return std::nullopt;
    Finding finding = finding_at(sequence, FindingKind::gouge, low.pieces()[reached->piece], reached->share);
    finding.value = to - from;
    finding.bound = tab.width;
    finding.text =
        fmt::format("leaves {:.1f} mm of the width of {} instead of {:.1f} mm", finding.value, which, tab.width);
    return finding;
}

} // namespace

std::vector<Finding> tab_findings(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                  const AskedPart& part) {
    std::vector<Finding> findings;
    for (const AskedTab& tab : part.tabs)
        if (auto finding = tab_finding(setup, sequence, cutting, part, tab)) findings.push_back(std::move(*finding));
    return findings;
}

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
