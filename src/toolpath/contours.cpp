#include "toolpath/contours.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"
#include "toolpath/centres.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Ring;
using plane::Shape;
using plane::Vec;

namespace {

constexpr double kOutOfReach = 0.02; // mm; an edge further from every cutter position than this is not reached
constexpr double kSameLane = 0.02;   // mm; a slot this little wider than the cutter needs no second lane

/// What all contours of a run share.
struct Rules {
    double radius = 0;
    double allowance = 0;
    double widening = 0; ///< of the slot beyond the cutter's diameter
    bool climb = true;
};

Rules rules_of(const Technology& technology) {
    const double widening = technology.rough.setting.slot_width - technology.cutter.DC;
    return {technology.cutter.radius(), std::max(0.0, technology.finish_allowance), widening > kSameLane ? widening : 0,
            technology.climb};
}

/// One edge with the area that the cutter may be in.
struct Edge {
    Ring outer; ///< counter-clockwise
    bool hole = false;
    Shape free;
    double room = 0; ///< of the frame around an outer edge
};

Edge edge_of(const Ring& ring, bool hole, const Rules& rules) {
    Edge edge;
    edge.hole = hole;
    edge.outer = plane::largest(cleaned({{signed_area(ring) < 0 ? plane::reversed(ring) : ring, {}}})).outer;
    edge.room = 4 * (rules.radius + rules.allowance + rules.widening) + 5;
    edge.free = hole ? Shape{{edge.outer, {}}} : around(edge.outer, edge.room);
    return edge;
}

std::vector<Ring> rings_in(const Shape& centres, const Edge& edge) {
    return edge.hole ? rings_of(centres) : rings_within(centres, edge.outer, edge.room);
}

/// The rings of a region of centres as ways, longest first, in the sense of travel that is asked for. Rings that keep
/// `room` mm from the edge everywhere need not be as true as those that finish it.
std::vector<Track> tracks_of(const Shape& centres, const Edge& edge, bool climb, double room) {
    const plane::EdgeIndex border(edge.free);
    std::vector<Track> tracks;
    for (const Ring& ring : rings_in(centres, edge)) {
        const bool close = std::any_of(ring.begin(), ring.end(), [&](plane::Point p) {
            return border.nearest(plane::to_mm(p), room).has_value();
        });
        // Regions lie left of their rings: the material right of the cutter, which is climb.
        auto track = track_along(climb ? ring : plane::reversed(ring), close ? kFinishTolerance : kRoughTolerance);
        if (track) tracks.push_back(std::move(*track));
    }
    std::stable_sort(tracks.begin(), tracks.end(),
                     [](const Track& a, const Track& b) { return a.length() > b.length(); });
    return tracks;
}

/// The place of the edge that no cutter position reaches, if there is one.
std::optional<plane::Vec> out_of_reach(const Edge& edge, const Shape& centres, double radius) {
    constexpr double kStep = 0.25;
    const auto rings = rings_in(centres, edge);
    if (rings.empty()) return plane::to_mm(edge.outer.front());
    const plane::EdgeIndex index(rings);
    for (const Vec p : plane::sampled(edge.outer, kStep))
        if (!index.nearest(p, radius + kOutOfReach)) return p;
    return std::nullopt;
}

/// How far before (step < 0) or after the tab's middle the cutter must stay up: until it clears the tab's side.
double tab_end(const Track& track, double middle, const holding::Tab& tab, double radius, double step) {
    const Vec along = track.direction(middle);
    const double half = tab.width / 2 + radius;
    const auto beyond = [&](double s) { return std::abs(dot(track.at(s) - tab.at, along)) >= half; };
    const double furthest = 0.45 * track.length();
    double inside = 0;
    double outside = 0;
    while (std::abs(outside) < furthest && !beyond(middle + outside)) {
        inside = outside;
        outside += step;
    }
    for (int k = 0; k < 30; ++k) {
        const double half_way = (inside + outside) / 2;
        (beyond(middle + half_way) ? outside : inside) = half_way;
    }
    return middle + outside;
}

Lane lane_with_tabs(Track track, const std::vector<holding::Tab>& tabs, double radius, double reach, double bottom) {
    Lane lane{std::move(track), {}};
    constexpr double kWalk = 0.1; // mm
    for (const holding::Tab& tab : tabs) {
        const double middle = lane.track.nearest(tab.at);
        if (distance(lane.track.at(middle), tab.at) > reach) continue;
        lane.tabs.push_back({tab_end(lane.track, middle, tab, radius, -kWalk),
                             tab_end(lane.track, middle, tab, radius, kWalk), bottom + tab.thickness});
    }
    return lane;
}

/// Tabs of a part whose nearest edge is this one.
std::vector<holding::Tab> tabs_on(const ProfileFeature& feature, std::size_t ring) {
    std::vector<holding::Tab> tabs;
    const plane::EdgeIndex index(rings_of(feature.outline));
    for (const holding::Tab& tab : feature.tabs)
        if (const auto nearest = index.nearest(tab.at); nearest && nearest->ring == ring) tabs.push_back(tab);
    return tabs;
}

std::vector<Slot> slots_of(const Edge& edge, const Shape& centres, const Rules& rules, const auto& lane) {
    std::vector<Slot> slots;
    const double room = rules.radius + rules.allowance / 2;
    for (Track& track : tracks_of(centres, edge, rules.climb, room))
        slots.push_back({lane(std::move(track)), {}});
    if (rules.widening == 0) return slots;
    const Shape wider = inset(edge.free, rules.radius + rules.allowance + rules.widening);
    for (Track& track : tracks_of(wider, edge, rules.climb, room)) {
        const auto gap = [&](const Slot& slot) {
            const Vec p = track.at(0);
            return distance(p, slot.inner.track.at(slot.inner.track.nearest(p)));
        };
        const auto beside =
            std::min_element(slots.begin(), slots.end(), [&](const Slot& a, const Slot& b) { return gap(a) < gap(b); });
        // A second lane of a small bay would need an entry of its own for little use.
        if (beside != slots.end() && track.length() > 4 * rules.radius) beside->outer.push_back(lane(std::move(track)));
    }
    return slots;
}

Result<Contour> contour_of(const ProfileFeature& feature, const Edge& edge, std::size_t ring,
                           const Technology& technology, const SheetFrame& frame) {
    const Rules rules = rules_of(technology);
    Contour contour;
    contour.name = ring == 0 ? feature.name : fmt::format("{}, hole {}", feature.name, ring);
    contour.edge = edge.outer;
    contour.floor = feature.floor;
    const Shape exact = centres_with_tips(edge.free, rules.radius, 0);
    if (const auto place = out_of_reach(edge, exact, rules.radius))
        return Problem{"", 0, 0,
                       fmt::format("the cutter {} ({} mm) cannot get along {} near ({:.2f}, {:.2f})",
                                   technology.cutter.name, technology.cutter.DC, contour.name, place->x, place->y),
                       "choose a smaller cutter for this part"};
    const auto tabs = tabs_on(feature, ring);
    const double reach = rules.radius + rules.allowance + rules.widening + 1;
    const auto lane = [&](Track track) {
        return lane_with_tabs(std::move(track), tabs, rules.radius, reach, frame.bottom);
    };
    const Shape roughed = rules.allowance > 0 ? centres_with_tips(edge.free, rules.radius, rules.allowance) : exact;
    contour.rough = slots_of(edge, roughed, rules, lane);
    contour.rough_floor = feature.floor;
    if (rules.allowance == 0) return contour;
    for (Track& track : tracks_of(exact, edge, rules.climb, rules.radius + rules.allowance / 2))
        contour.finish.push_back(lane(std::move(track)));
    const double left = std::max(feature.floor, frame.bottom); // the skin's top, or the bed
    if (feature.tabs.empty() && frame.top - left > 3 * holding::kLastLayer)
        contour.rough_floor = left + holding::kLastLayer;
    constexpr double kTouch = 0.006; // mm, for fitted arcs, thinned areas and rounding
    const Shape beyond = inset(thinned(edge.free, kAccount), rules.radius + rules.allowance + rules.widening + kTouch);
    contour.room.travel = subtract(offset(exact, kSlack), beyond);
    contour.room.start = intersect(contour.room.travel, offset(thinned(roughed, kAccount), kTouch));
    return contour;
}

} // namespace

Result<std::vector<Contour>> contours_of(const std::vector<ProfileFeature>& features, const Technology& technology,
                                         const SheetFrame& frame) {
    std::vector<Contour> contours;
    for (std::size_t f = 0; f < features.size(); ++f) {
        const auto rings = rings_of(features[f].outline);
        for (std::size_t r = 0; r < rings.size(); ++r) {
            auto contour =
                contour_of(features[f], edge_of(rings[r], r > 0, rules_of(technology)), r, technology, frame);
            if (!contour) return contour.problem();
            contour.value().feature = f;
            contours.push_back(std::move(contour).value());
        }
    }
    return contours;
}

std::vector<Precedence> inner_before_outer(const std::vector<Contour>& contours) {
    std::vector<Precedence> before;
    for (std::size_t outer = 0; outer < contours.size(); ++outer) {
        const plane::Box box = bounds(contours[outer].edge);
        const double size = signed_area(contours[outer].edge);
        for (std::size_t inner = 0; inner < contours.size(); ++inner) {
            const Ring& ring = contours[inner].edge;
            if (inner == outer || signed_area(ring) >= size || !overlap(box, bounds(ring))) continue;
            if (side_of(contours[outer].edge, ring.front()) != plane::Side::outside) before.push_back({inner, outer});
        }
    }
    return before;
}

} // namespace kerfwright::toolpath
