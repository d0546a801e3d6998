// Profiles: every edge is roughed in depth passes, the inner ones first; then, when the whole sheet has been roughed
// and has come to rest, every edge is finished at full depth in the same precedence. See docs/toolpath.md.

#include "toolpath/checks.hpp"
#include "toolpath/contours.hpp"
#include "toolpath/finishing.hpp"
#include "toolpath/path_moves.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Vec;

namespace {

constexpr double kStartAbove = 0.3; // mm above the sheet's nominal top where ramps begin

/// How one run cuts.
struct Cut {
    const SheetFrame& frame;
    Feeds rough;
    double ap = 0;
    double ramp_angle = 0, tab_angle = 0;
    double widening = 0;
    FinishRules finish;
    [[nodiscard]] double air() const { return frame.top + std::min(kStartAbove, frame.near_top - frame.top); }
};

/// Leads that turn off as far as the middle of the lane that has been roughed: there is no more room in a slot.
std::vector<LeadForm> leads_in_a_slot(double radius, double width) {
    std::vector<LeadForm> leads;
    for (const double share : {1.0, 0.5, 0.25}) {
        const double turning = std::max(radius * share, width);
        leads.push_back({turning, std::acos(1 - width / turning)});
    }
    return leads;
}

Cut cut_of(const Technology& technology, const SheetFrame& frame) {
    const cutting::Setting& rough = technology.rough.setting;
    const double ramp_angle = ramp_angle_of(rough, technology.cutter);
    const double tab_angle = tab_side_angle(technology);
    const double widening = std::max(0.0, rough.slot_width - technology.cutter.DC);
    const double width = std::max(0.0, technology.finish_allowance) + 0.5 * widening;
    // Not more chips per minute than in a roughing pass.
    const double slot_ap = rough.ap * std::min(1.0, rough.vf / technology.finish.setting.vf);
    return {frame,
            {rough.vf, rough.plunge_feed},
            rough.ap,
            ramp_angle,
            tab_angle,
            widening,
            {finishing_feeds(technology), technology.finish.setting.ap, slot_ap, ramp_angle, tab_angle,
             technology.climb, leads_in_a_slot(technology.cutter.radius(), width), technology.layer_apart}};
}

/// One time around at z, coming down from z0 along the way; ends clear of the tabs. Gives the position of the end.
double go_round(Pen& pen, const Lane& lane, double s, double z0, double z, const Feeds& feeds, const Cut& cut) {
    Heights heights = ramp(s, z0, z, cut.ramp_angle);
    const double end = clear_of_tabs(lane, heights.back().s + lane.track.length(), z, cut.tab_angle);
    heights = over_tabs(lane, std::move(heights), s, end, z, cut.tab_angle);
    pen.follow(lane.track, s, end, heights, feeds);
    return end;
}

/// Straight over from the lane that has just been cut to this one, or no way at all when it is the same; false when
/// they do not lie side by side.
bool step_over(Pen& pen, const Lane& lane, const Cut& cut) {
    constexpr double kLoose = 0.01; // mm, for fitted arcs
    if (pen.is_up()) return false;
    const Vec to = lane.track.at(lane.track.nearest(pen.over()));
    if (distance(to, pen.over()) > cut.widening + kLoose) return false;
    pen.line(to, pen.at().z, cut.rough.cut);
    return true;
}

void rough_slot(Pen& pen, const Slot& slot, Vec near, double floor, const Cut& cut) {
    if (slot.inner.track.length() < kDrilled) {
        pen.go_over(slot.inner.track.at(0));
        pen.lower(floor, cut.rough.down);
        return pen.raise();
    }
    // The outermost lane first: chips of the lane beside the part then have room.
    std::vector<const Lane*> lanes;
    for (const Lane& lane : slot.outer)
        lanes.push_back(&lane);
    lanes.push_back(&slot.inner);
    pen.raise();
    double z0 = cut.air();
    for (const double z : passes(cut.frame.top, floor, cut.ap)) {
        for (const Lane* lane : lanes) {
            if (!step_over(pen, *lane, cut)) {
                const Vec to = pen.is_up() ? near : pen.over();
                pen.go_over(lane->track.at(clear_of_tabs(*lane, lane->track.nearest(to), floor, cut.tab_angle)));
                pen.lower(z0, cut.rough.down);
            }
            go_round(pen, *lane, lane->track.nearest(pen.over()), pen.at().z, z, cut.rough, cut);
        }
        z0 = z;
    }
    pen.raise();
}

Workingstep step_of(Pen& pen, const Contour& contour, const ProfileFeature& feature, cutting::Step kind) {
    const bool finishing = kind == cutting::Step::finish;
    return {contour.name + (finishing ? ", finishing" : ""), feature.name, kind, pen.taken()};
}

void rough_all(Pen& pen, const std::vector<ProfileFeature>& features, const std::vector<Contour>& contours,
               const Cut& cut, CutterRun& run) {
    std::vector<Stop> stops;
    for (const Contour& contour : contours) {
        const Slot& slot = contour.rough.front();
        const Lane& first = slot.outer.empty() ? slot.inner : slot.outer.front();
        Stop stop;
        for (const double s : places_on(first, contour.rough_floor, cut.tab_angle))
            stop.places.push_back(first.track.at(s));
        stops.push_back(std::move(stop));
    }
    for (const Visit& visit : short_tour(stops, inner_before_outer(contours), pen.over())) {
        const Contour& contour = contours[visit.stop];
        Vec near = stops[visit.stop].places[visit.place];
        // Bays behind necks first: the long way around frees the part.
        for (std::size_t k = contour.rough.size(); k-- > 0;)
            rough_slot(pen, contour.rough[k], k == 0 ? near : pen.over(), contour.rough_floor, cut);
        run.steps.push_back(step_of(pen, contour, features[contour.feature], cutting::Step::profile));
    }
}

void finish_all(Pen& pen, const std::vector<ProfileFeature>& features, const std::vector<Contour>& contours,
                const Cut& cut, CutterRun& run) {
    const auto way = [&](const Contour& contour, const Lane& lane) {
        return FinishWay{lane, contour.room, cut.frame.top, contour.rough_floor, contour.floor};
    };
    std::vector<Stop> stops;
    std::vector<std::vector<Start>> starts;
    for (const Contour& contour : contours) {
        const Lane& lane = contour.finish.front();
        starts.push_back(starts_of(way(contour, lane), cut.finish));
        Stop stop;
        for (const Start& start : starts.back())
            stop.places.push_back(lane.track.at(start.s));
        stops.push_back(std::move(stop));
    }
    for (const Visit& visit : short_tour(stops, inner_before_outer(contours), pen.over())) {
        const Contour& contour = contours[visit.stop];
        for (std::size_t k = contour.finish.size(); k-- > 1;) {
            const FinishWay bay = way(contour, contour.finish[k]);
            finish(pen, bay, nearest_start(starts_of(bay, cut.finish), bay.lane, pen.over()), cut.finish);
        }
        finish(pen, way(contour, contour.finish.front()), starts[visit.stop][visit.place], cut.finish);
        run.steps.push_back(step_of(pen, contour, features[contour.feature], cutting::Step::finish));
    }
}

std::optional<Problem> cannot_enter(const std::vector<Contour>& contours, const Technology& technology) {
    if (technology.cutter.centre_cutting) return std::nullopt;
    for (const Contour& contour : contours)
        for (const Slot& slot : contour.rough)
            if (slot.inner.track.length() < 2 * technology.cutter.DC)
                return Problem{"", 0, 0,
                               "the cutter " + technology.cutter.name + " cannot go down in " + contour.name +
                                   ": it does not cut at its centre and there is no room for a ramp",
                               "choose a centre-cutting or a smaller cutter for this part"};
    return std::nullopt;
}

} // namespace

Result<CutterRun> profile_run(const std::vector<ProfileFeature>& features, const Technology& technology,
                              const SheetFrame& frame, const shop::Machine& machine) {
    if (auto problem = unusable(technology, frame)) return *problem;
    for (const ProfileFeature& feature : features)
        if (auto problem = unusable(feature, frame)) return *problem;
    auto contours = contours_of(features, technology, frame);
    if (!contours) return contours.problem();
    if (auto problem = cannot_enter(contours.value(), technology)) return *problem;
    CutterRun run{technology.cutter.name, technology.rough.setting.n, {}};
    Pen pen(frame, machine.abilities, run.n);
    const Cut cut = cut_of(technology, frame);
    rough_all(pen, features, contours.value(), cut, run);
    if (technology.finish_allowance > 0) finish_all(pen, features, contours.value(), cut, run);
    return run;
}

} // namespace kerfwright::toolpath
