#include "toolpath/finishing.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Vec;

namespace {

constexpr double kOverlap = 1.0; // mm, how far a closed pass goes on beyond its start
constexpr int kPlaces = 24;      // places to enter a lane that are looked at

/// How far the last pass goes on beyond its start: over its own ramp below the open depth, and a little more.
double overlap_of(const FinishWay& way, const FinishRules& rules) {
    return ramp_length(std::max(0.0, way.open - way.floor), rules.ramp_angle) + kOverlap;
}

std::optional<Lead> lead_within(const FinishWay& way, double s, const FinishRules& rules) {
    const double end = s + overlap_of(way, rules);
    if (clear_of_tabs(way.lane, end, way.floor, rules.tab_angle) != end) return std::nullopt;
    for (const LeadForm& form : rules.leads)
        if (auto lead = lead_at(way.lane.track, s, end, form.radius, form.angle, rules.climb, way.room)) return lead;
    return std::nullopt;
}

/// Steps of the finishing pass: as few as `ap` allows; where one of them would cut a slot deeper than roughing may,
/// the layer that roughing left gets steps of its own.
std::vector<double> finishing_steps(const FinishWay& way, const FinishRules& rules) {
    std::vector<double> steps = passes(way.top, way.floor, rules.ap);
    double above = way.top;
    bool gentle = !rules.layer_apart;
    for (const double z : steps) {
        gentle = gentle && std::min(above, way.open) - z <= rules.slot_ap + 1e-6;
        above = z;
    }
    if (gentle || way.open >= way.top || way.open <= way.floor) return steps;
    steps = passes(way.top, way.open, rules.ap);
    for (const double z : passes(way.open, way.floor, std::min(rules.ap, rules.slot_ap)))
        steps.push_back(z);
    return steps;
}

} // namespace

std::vector<double> passes(double top, double floor, double ap) {
    const int count = std::max(1, static_cast<int>(std::ceil((top - floor) / ap - 1e-6)));
    std::vector<double> z;
    for (int k = 1; k < count; ++k)
        z.push_back(top - (top - floor) * k / count);
    z.push_back(floor);
    return z;
}

std::vector<double> places_on(const Lane& lane, double z, double tab_angle) {
    std::vector<double> places;
    const Track& track = lane.track;
    for (std::size_t i = 0; i < track.spans().size() && places.size() < kPlaces; ++i)
        if (track.spans()[i].sweep == 0 && track.spans()[i].length > 2 * kOverlap)
            places.push_back(track.start_of(i) + track.spans()[i].length / 2);
    for (int k = 0; k < kPlaces; ++k)
        places.push_back(track.length() * k / kPlaces);
    std::erase_if(places, [&](double s) { return clear_of_tabs(lane, s, z, tab_angle) != s; });
    if (places.empty()) places.push_back(clear_of_tabs(lane, 0, z, tab_angle));
    return places;
}

std::vector<Start> starts_of(const FinishWay& way, const FinishRules& rules) {
    constexpr std::size_t kEnough = 12;
    std::vector<Start> starts;
    const auto places = places_on(way.lane, way.floor, rules.tab_angle);
    for (const double s : places) {
        if (auto lead = lead_within(way, s, rules)) starts.push_back({s, lead});
        if (starts.size() == kEnough) break;
    }
    if (starts.empty())
        for (const double s : places)
            starts.push_back({s, std::nullopt});
    return starts;
}

Start nearest_start(const std::vector<Start>& starts, const Lane& lane, Vec p) {
    return *std::min_element(starts.begin(), starts.end(), [&](const Start& a, const Start& b) {
        return distance(lane.track.at(a.s), p) < distance(lane.track.at(b.s), p);
    });
}

void finish(Pen& pen, const FinishWay& way, const Start& start, const FinishRules& rules) {
    const Track& track = way.lane.track;
    const plane::EdgeIndex open_border(way.room.start);
    const auto beside = [&](Vec p) { // where it is open next to a place that has no room for arcs
        const auto nearest = open_border.nearest(p);
        return nearest ? nearest->at : p;
    };
    for (const double z : finishing_steps(way, rules)) {
        const double open = std::max(z, way.open);
        const double end = start.s + track.length() + overlap_of(way, rules);
        const Heights heights =
            over_tabs(way.lane, ramp(start.s, open, z, rules.ramp_angle), start.s, end, z, rules.tab_angle);
        const double z_start = height_at(heights, start.s); // on a tab where tabs leave no other place
        pen.go_over(start.lead ? start.lead->on.from : beside(track.at(start.s)));
        pen.lower(z_start, rules.feeds.down);
        if (track.length() < kDrilled) {
            pen.lower(z, rules.feeds.down);
            continue;
        }
        if (start.lead)
            pen.span(start.lead->on, z_start, rules.feeds.cut);
        else
            pen.line(track.at(start.s), z_start, rules.feeds.cut);
        pen.follow(track, start.s, end, heights, rules.feeds);
        if (start.lead)
            pen.span(start.lead->off, pen.at().z, rules.feeds.cut);
        else
            pen.line(beside(pen.over()), pen.at().z, rules.feeds.cut);
    }
    pen.raise();
}

} // namespace kerfwright::toolpath
