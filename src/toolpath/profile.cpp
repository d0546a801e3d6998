// Profiles: every edge is roughed in depth passes, the inner ones first; then, when the whole sheet has been roughed
// and has come to rest, every edge is finished at full depth in the same precedence. See docs/toolpath.md.

#include "toolpath/checks.hpp"
#include "toolpath/contours.hpp"
#include "toolpath/path_moves.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::toolpath {

using plane::Vec;

namespace {

constexpr double kOverlap = 1.0;    // mm, how far a closed pass goes on beyond its start
constexpr double kStartAbove = 0.3; // mm above the sheet's nominal top where ramps begin
constexpr double kPoint = 0.5;      // mm around: a way this short is a hole of the cutter's own size
constexpr int kPlaces = 24;         // places to enter a contour that are looked at

/// Equal steps from `top` down to `floor`, none deeper than `ap`.
std::vector<double> levels(double top, double floor, double ap) {
    const int count = std::max(1, static_cast<int>(std::ceil((top - floor) / ap - 1e-6)));
    std::vector<double> z;
    for (int k = 1; k <= count; ++k)
        z.push_back(k == count ? floor : top - (top - floor) * k / count);
    return z;
}

/// How one run cuts.
struct Cut {
    const SheetFrame& frame;
    Feeds rough, finish;
    double rough_ap = 0, finish_ap = 0;
    double ramp_angle = 0, tab_angle = 0;
    double radius = 0, allowance = 0, widening = 0;
    bool climb = true;
    [[nodiscard]] double air() const {
        return frame.top + std::min(kStartAbove, std::max(0.0, frame.near_top - frame.top));
    }
};

Cut cut_of(const Technology& technology, const SheetFrame& frame) {
    const cutting::Setting& rough = technology.rough.setting;
    const cutting::Setting& finish = technology.finish.setting;
    Cut cut{frame, {}, {}};
    cut.rough = {rough.vf, rough.plunge_feed};
    cut.rough_ap = rough.ap;
    cut.ramp_angle = ramp_angle_of(rough, technology.cutter);
    cut.tab_angle = tab_side_angle(technology);
    cut.radius = technology.cutter.radius();
    cut.allowance = std::max(0.0, technology.finish_allowance);
    cut.widening = std::max(0.0, rough.slot_width - technology.cutter.DC);
    cut.climb = technology.climb;
    cut.finish = finishing_feeds(technology);
    cut.finish_ap = finish.ap;
    return cut;
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
    if (slot.inner.track.length() < kPoint) {
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
    for (const double z : levels(cut.frame.top, floor, cut.rough_ap)) {
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

/// A place to begin finishing, with the arcs onto the edge and off it.
struct Start {
    double s = 0;
    std::optional<Lead> lead;
};

/// How far the last pass goes on beyond its start: over its own ramp through the last layer, and a little more.
double finish_overlap(const Contour& contour, const Cut& cut) {
    return ramp_length(contour.rough_floor - contour.floor, cut.ramp_angle) + kOverlap;
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

std::optional<Lead> lead_within(const Contour& contour, const Lane& lane, double s, const Cut& cut) {
    const double end = s + finish_overlap(contour, cut);
    if (clear_of_tabs(lane, end, contour.floor, cut.tab_angle) != end) return std::nullopt;
    const double width = cut.allowance + 0.5 * cut.widening;
    for (const double share : {1.0, 0.5, 0.25}) {
        const double radius = std::max(cut.radius * share, width);
        const double angle = std::acos(1 - width / radius);
        if (auto lead = lead_at(lane.track, s, end, radius, angle, cut.climb, contour.room)) return lead;
    }
    return std::nullopt;
}

/// Places with a tangential way in; all places when there is none.
std::vector<Start> starts_of(const Contour& contour, const Lane& lane, const Cut& cut) {
    constexpr std::size_t kEnough = 12;
    std::vector<Start> starts;
    const auto places = places_on(lane, contour.floor, cut.tab_angle);
    for (const double s : places) {
        if (auto lead = lead_within(contour, lane, s, cut)) starts.push_back({s, lead});
        if (starts.size() == kEnough) break;
    }
    if (starts.empty())
        for (const double s : places)
            starts.push_back({s, std::nullopt});
    return starts;
}

/// Where the slot is open beside a place of the edge that has no room for arcs.
Vec beside(const Contour& contour, Vec p) {
    Vec best = p;
    double least = 1e300;
    for (const Slot& slot : contour.rough) {
        const Vec q = slot.inner.track.at(slot.inner.track.nearest(p));
        if (distance(p, q) < least) least = distance(p, q), best = q;
    }
    return best;
}

void finish_lane(Pen& pen, const Contour& contour, const Lane& lane, const Start& start, const Cut& cut) {
    const Vec on = lane.track.at(start.s);
    const Vec from = start.lead ? start.lead->on.from : beside(contour, on);
    for (const double z : levels(cut.frame.top, contour.floor, cut.finish_ap)) {
        const double open = std::max(z, contour.rough_floor);
        pen.go_over(from);
        pen.lower(open, cut.finish.down);
        if (lane.track.length() < kPoint) {
            pen.lower(z, cut.finish.down);
            continue;
        }
        if (start.lead)
            pen.span(start.lead->on, open, cut.finish.cut);
        else
            pen.line(on, open, cut.finish.cut);
        const double end = start.s + lane.track.length() + finish_overlap(contour, cut);
        Heights heights = ramp(start.s, open, z, cut.ramp_angle);
        heights = over_tabs(lane, std::move(heights), start.s, end, z, cut.tab_angle);
        pen.follow(lane.track, start.s, end, heights, cut.finish);
        const double z_end = pen.at().z;
        if (start.lead)
            pen.span(start.lead->off, z_end, cut.finish.cut);
        else
            pen.line(beside(contour, pen.over()), z_end, cut.finish.cut);
    }
    pen.raise();
}

Start nearest_of(const std::vector<Start>& starts, const Lane& lane, Vec p) {
    return *std::min_element(starts.begin(), starts.end(), [&](const Start& a, const Start& b) {
        return distance(lane.track.at(a.s), p) < distance(lane.track.at(b.s), p);
    });
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
    std::vector<Stop> stops;
    std::vector<std::vector<Start>> starts;
    for (const Contour& contour : contours) {
        const Lane& lane = contour.finish.front();
        starts.push_back(starts_of(contour, lane, cut));
        Stop stop;
        for (const Start& start : starts.back())
            stop.places.push_back(lane.track.at(start.s));
        stops.push_back(std::move(stop));
    }
    for (const Visit& visit : short_tour(stops, inner_before_outer(contours), pen.over())) {
        const Contour& contour = contours[visit.stop];
        for (std::size_t k = contour.finish.size(); k-- > 1;) {
            const Lane& lane = contour.finish[k];
            finish_lane(pen, contour, lane, nearest_of(starts_of(contour, lane, cut), lane, pen.over()), cut);
        }
        finish_lane(pen, contour, contour.finish.front(), starts[visit.stop][visit.place], cut);
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
    if (cut.allowance > 0) finish_all(pen, features, contours.value(), cut, run);
    return run;
}

} // namespace kerfwright::toolpath
