#include "cutting/limits.hpp"

#include "cutting/chatter_bound.hpp"
#include "cutting/heat.hpp"
#include "cutting/kinematics.hpp"
#include "cutting/tool.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::cutting {
namespace {

using std::numbers::pi;

// Common practice, all of them.
constexpr double kPocketStepover = 0.45;   ///< of DC
constexpr double kRestStepover = 0.3;      ///< of DC
constexpr double kWideSlot = 1.3;          ///< of DC, where chips pack
constexpr double kThinningBonus = 1.5;     ///< how far feed may rise where the chip is thinned
constexpr double kEdgesPerChip = 3;        ///< the thickest chip is at least so many minimum chips
constexpr double kUnmarkedSpeed = 40 * 60; ///< m/min, for large cutters without a marked speed
constexpr double kLargeCutter = 16;        ///< mm: EN 847-1 begins there
constexpr double kTransport = 0.25;        ///< share of the flutes' lead that chips climb in a turn
constexpr double kPackedTransport = 0.2;   ///< of that, for dust that packs
constexpr double kRoughness = 2.5; ///< judging: chip room and roughing's deflection are known no better than this

double stepover(const shop::Cutter& cutter, const Task& task) {
    switch (task.step) {
    case Step::profile:
    case Step::drill:
        return cutter.DC;
    case Step::pocket:
        return kPocketStepover * cutter.DC;
    case Step::rest:
        return kRestStepover * cutter.DC;
    case Step::finish:
        return std::min(task.finish_allowance, cutter.DC);
    }
    return cutter.DC;
}

/// Chip-load window as feed per tooth. In a slot it is the trade's; a thin engagement needs more feed for the same
/// chip.
void set_chip_window(Situation& at) {
    const shop::Material& m = *at.material;
    const double scale = std::pow(at.cutter->DC / 6, m.fz_scale_exponent);
    const double thin =
        at.drilling() ? 1 : chip_ratio(at.cut.exit - at.cut.entry < pi - 1e-9 ? at.ae : at.cutter->DC, at.cutter->DC);
    const bool slotting = thin > 0.999;
    const double trade = slotting ? lower_bound(m.fz_min, at.side) : m.fz_min.low;
    const double edge = kEdgesPerChip * m.hmin_over_edge.value * at.cutter->edge_radius;
    at.fz_low = std::max(trade * scale, edge) / thin;
    const double bonus = at.task.step == Step::finish ? 1 : std::min(kThinningBonus, 1 / thin);
    at.fz_high = upper_bound(m.fz_max, at.side) * scale * bonus;
    // By the log not so low that the cutter rubs: what is bad even then is not the feed's doing.
    if (at.tried && shop::most_fz(*at.tried) > 0) {
        const double rubs = std::max(m.fz_min.high * scale, edge) / thin;
        at.fz_high = std::min(at.fz_high, std::max(shop::most_fz(*at.tried), rubs * 1.001));
    }
    if (at.task.step == Step::finish) { // of the cautious side's, so that what is planned is never judged to rub
        const double planned = std::min(at.fz_high, upper_bound(m.fz_max, Side::cautious) * scale);
        at.fz_low = std::min(at.fz_low, 0.6 * planned);
    }
}

void set_speed_bounds(Situation& at) {
    const shop::Material& m = *at.material;
    const shop::Cutter& c = *at.cutter;
    at.n_low = at.machine->spindle.n_min;
    at.n_high = at.machine->spindle.n_max;
    if (c.n_max > 0)
        at.n_high = std::min(at.n_high, c.n_max);
    else if (c.DC >= kLargeCutter)
        at.n_high = std::min(at.n_high, speed_for(c.DC, kUnmarkedSpeed));
    at.vc_low = lower_bound(m.vc_min, at.side);
    at.vc_high = upper_bound(m.vc_max, at.side);
    const auto& axes = at.machine->axes;
    at.vf_high = at.drilling() ? axes[2].feed_max : std::min(axes[0].feed_max, axes[1].feed_max);
}

/// Torque and thrust of a drill (Dietrich and Tschätsch's relations: Fc per edge at h = fz sin κ; the thrust is an
/// upper bound, from memory).
Loads drill_loads(const Situation& at, const Setting& s) {
    const double half = at.cutter->tip_angle / 2 * pi / 180;
    const double sine = std::max(0.2, std::sin(half));
    const double edge_force = at.law.tangential(s.fz * sine) * at.cutter->DC / 2 / sine;
    Loads loads;
    loads.lift_peak = -edge_force * at.cutter->ZEFP * sine;
    loads.torque = edge_force * at.cutter->ZEFP * at.cutter->DC / 4 / 1000;
    loads.torque_peak = loads.torque;
    loads.power = power_of(loads.torque, s.n);
    return loads;
}

/// Bulk of the chips made in a turn over the room that flutes and open slot carry away in a turn. Depth cancels: a
/// deeper slot holds more chips and more flutes. Assumes that chips climb a quarter of the lead in a turn (common
/// practice has no number; it is set so that one diameter deep in boards is easy and dust in laminates is not).
double chip_fill(const Situation& at, const Setting& s) {
    const shop::Cutter& c = *at.cutter;
    const double bulk = at.material->chip_bulk.value * s.fz * c.ZEFP * std::min(at.ae, c.DC) * s.ap;
    const double climb = c.helix > 5 ? kTransport * pi * c.DC / std::tan(c.helix * pi / 180) : c.DC;
    const double area = c.chip_room * pi / 4 * c.DC * c.DC + at.open * c.DC / 2;
    return bulk / (area * climb * (at.material->chips_pack ? kPackedTransport : 1));
}

class LimitList {
  public:
    void most(const char* name, double value, double bound, const char* unit, std::string loosen) {
        limits.push_back({name, value, bound, false, unit, std::move(loosen)});
    }
    void least(const char* name, double value, double bound, const char* unit, std::string loosen) {
        limits.push_back({name, value, bound, true, unit, std::move(loosen)});
    }
    std::vector<Limit> limits;
};

/// Share of the edge's heat that stays with the chips: in the open, half goes with the wall and the cutter.
double edge_share(const Situation& at) {
    return at.drilling() || at.cut.exit - at.cut.entry > pi - 1e-9 ? 1 : 0.5;
}

void add_cutting_limits(LimitList& list, const Situation& at, const Setting& s) {
    list.most("chip load", s.fz, at.fz_high, "mm/tooth",
              "more teeth or more speed at the same feed, or a larger cutter");
    list.least("rubbing", s.fz, at.fz_low, "mm/tooth", "fewer teeth or less speed, so that each tooth takes a chip");
    if (const double cool = least_tried(at, s.n); cool > 0)
        list.least("melted before", s.fz, cool, "mm/tooth", "less speed, or more feed: see the shop's log");
    const double vc = surface_speed(at.cutter->DC, s.n);
    list.most("surface speed", vc, at.vc_high, "m/min", "a smaller cutter, or less speed");
    list.least("least surface speed", vc, at.vc_low, "m/min", "a larger cutter, or more speed");
    if (at.material->softening) {
        const double mean = s.fz * (at.drilling() ? 1 : mean_chip_ratio(at.ae, at.cutter->DC));
        const bool plastic = at.material->kind == shop::MaterialKind::plastic;
        list.most("heat", cut_temperature(*at.material, *at.cutter, mean, vc, edge_share(at)), softening_bound(at), "C",
                  plastic ? "thicker chips: fewer teeth or more feed; a sharper cutter; an air blast"
                          : "less speed; a sharper or a diamond-coated cutter");
    }
}

/// What finishing leaves is the part; what roughing leaves, finishing takes.
double deflection_bound(const Situation& at) {
    if (at.task.step == Step::finish) return at.task.deflection_max / 2;
    return at.task.deflection_max * (at.side == Side::likely ? kRoughness : 1);
}

void add_load_limits(LimitList& list, const Situation& at, const Setting& s, const Loads& loads) {
    const shop::Spindle& spindle = at.machine->spindle;
    list.most("power", loads.power / spindle.efficiency, shop::power_at(spindle, s.n), "W",
              "more speed (the spindle has its torque at every speed), less depth, or a stronger spindle");
    list.most("torque", loads.torque / spindle.efficiency, torque_of(spindle.power, spindle.constant_power_from), "N m",
              "less depth, or a smaller cutter");
    if (!at.drilling())
        list.most("deflection", loads.deflection, deflection_bound(at), "mm",
                  "a shorter stick-out, a thicker cutter, or lighter passes");
    list.most("strength", stress(*at.cutter, loads.force_peak, loads.torque_peak * 1000, s.ap / 2), at.cutter->strength,
              "MPa", "lighter passes, a shorter stick-out, or a thicker cutter");
    if (at.task.holding_force > 0)
        list.most("holding", std::max(loads.force_peak, 0.0), at.task.holding_force, "N",
                  "a better hold (clamps or screws in waste, tabs with the tape), lighter passes, or a smaller cutter");
}

} // namespace

double upper_bound(const shop::Sourced& s, Side side) {
    return side == Side::cautious ? s.low : s.high;
}
double lower_bound(const shop::Sourced& s, Side side) {
    return side == Side::cautious ? s.high : s.low;
}

Situation situation(const shop::Material& material, const shop::Cutter& cutter, const shop::Machine& machine,
                    const Task& task, Side side, const Setting* given) {
    const double ae = given && given->ae > 0 ? std::min(given->ae, cutter.DC) : stepover(cutter, task);
    double width = cutter.DC;
    if (task.step == Step::profile) {
        width = material.chips_pack ? kWideSlot * cutter.DC : cutter.DC;
        if (given && given->slot_width > 0) width = std::max(given->slot_width, cutter.DC);
    }
    Cut cut{cutter.DC, cutter.ZEFP, cutter.helix, cutter.runout, 0, 0, 0, 0};
    // A pocket is opened by a slot and its corners are near to one: its loads are those of the slot.
    engage(cut, task.step == Step::pocket ? cutter.DC : ae);
    const ForceLaw law = force_law(material, cutter, side);
    Situation at{&material,
                 &cutter,
                 &machine,
                 task,
                 side,
                 ae,
                 width,
                 std::max(0.0, width - cutter.DC),
                 width > cutter.DC + 1e-9 ? 2 : 1,
                 cut,
                 law,
                 ForceTable(law, cut)};
    if (task.step != Step::finish)
        for (const shop::CutterEvidence& evidence : material.tried)
            if (evidence.cutter == cutter.name) at.tried = &evidence.feeds;
    set_chip_window(at);
    set_speed_bounds(at);
    const bool thin = task.step == Step::finish || task.step == Step::rest;
    at.ap_high = thin ? cutter.APMX : std::min(cutter.APMX, upper_bound(material.ap_over_dc, side) * cutter.DC);
    if (at.drilling()) at.ap_high = std::min(cutter.APMX, 2 * cutter.DC);
    if (!machine.modes.empty() && !at.drilling()) at.chatter = chatter_bound(at);
    return at;
}

double least_tried(const Situation& at, double n) {
    return at.tried ? shop::least_fz(*at.tried, n) : 0;
}

std::string log_note(const Situation& at) {
    const shop::FeedRange& log = *at.tried;
    std::string note = fmt::format("log: {} cut{} of {} with {}", log.count, log.count == 1 ? "" : "s",
                                   at.material->name, at.cutter->name);
    if (log.ceiling > 0)
        note += fmt::format(", {} too much: at most {:.4f} mm/tooth", log.too_much,
                            std::min(at.fz_high, shop::most_fz(log)));
    if (log.ceiling > 0 && shop::most_fz(log) < at.fz_high)
        note += fmt::format(" asked, but the cutter rubs below {:.4f}", at.fz_high);
    if (!log.hot.empty()) {
        note += fmt::format(", {} too hot:", log.too_hot);
        for (const shop::CutTried& cut : log.hot)
            note += fmt::format(" thicker chips than {:.4f} mm/tooth near {:.0f} rev/min and above;", cut.fz, cut.n);
        note.pop_back();
    }
    return log.ceiling > 0 || !log.hot.empty() ? note : note + ": no bound is moved";
}

SpeedRange speed_range(const Situation& at) {
    const double dc = at.cutter->DC;
    SpeedRange range{std::max(at.n_low, speed_for(dc, at.vc_low)), std::min(at.n_high, speed_for(dc, at.vc_high))};
    if (!at.material->softening || at.material->kind != shop::MaterialKind::laminate) return range;
    double cool = 0, hot = at.vc_high; // m/min; the face gets hotter with speed
    for (int i = 0; i < 40; ++i) {
        const double mid = (cool + hot) / 2;
        (face_temperature(*at.material, *at.cutter, mid) <= softening_bound(at) * (1 - 1e-7) ? cool : hot) = mid;
    }
    if (face_temperature(*at.material, *at.cutter, at.vc_high) > softening_bound(at) * (1 - 1e-7))
        range.high = std::min(range.high, speed_for(dc, cool));
    return range;
}

double softening_bound(const Situation& at) {
    return at.side == Side::cautious ? at.material->softening->low : at.material->softening->value;
}

double thinnest_cool_chip(const Situation& at) {
    if (!at.material->softening || at.material->kind != shop::MaterialKind::plastic) return 0;
    const double bound = softening_bound(at);
    double cold = 1, hot = 1e-6; // mm; temperature falls as the chip grows
    if (chip_temperature(*at.material, cold, edge_share(at)) > bound) return 1e9;
    for (int i = 0; i < 60; ++i) {
        const double mid = std::sqrt(cold * hot);
        (chip_temperature(*at.material, mid, edge_share(at)) > bound ? hot : cold) = mid;
    }
    return cold;
}

Loads loads_at(const Situation& at, const Setting& s) {
    if (at.drilling()) return drill_loads(at, s);
    const PeakForce peak = at.table.peak(s.fz, s.ap);
    const double lifts = at.cutter->up_length > 0 ? std::clamp(2 * at.cutter->up_length / s.ap - 1, -1.0, 1.0) : 1;
    Loads loads;
    const Force mean = at.table.mean(s.fz, s.ap);
    loads.force_mean = std::hypot(mean.x, mean.y);
    loads.force_peak = peak.in_plane;
    loads.lift_peak = peak.axial * lifts;
    loads.torque = at.table.torque(s.fz, s.ap) / 1000;
    loads.torque_peak = peak.torque / 1000;
    loads.power = power_of(loads.torque, s.n);
    loads.deflection = peak.in_plane * chain_compliance(*at.cutter, *at.machine, s.ap / 2);
    return loads;
}

std::vector<Limit> limits_at(const Situation& at, const Setting& s, const Loads& loads) {
    LimitList list;
    const shop::Cutter& c = *at.cutter;
    add_cutting_limits(list, at, s);
    add_load_limits(list, at, s, loads);
    if (at.task.step == Step::profile || at.task.step == Step::pocket)
        list.most("chip room", chip_fill(at, s), at.side == Side::likely ? kRoughness : 1, "of the room",
                  "fewer teeth, a wider slot, lighter passes, an air blast");
    list.most("machine feed", s.vf, at.vf_high, "mm/min", "a faster machine, or a deeper pass at less feed");
    list.most("cutter speed", s.n, at.n_high, "rev/min",
              c.n_max > 0 ? "a cutter marked for more speed" : "a cutter that has its speed marked, or a smaller one");
    list.least("spindle speed", s.n, at.n_low, "rev/min", "a spindle that runs slower");
    list.most("depth", s.ap, at.ap_high, "mm", "more passes, or a cutter with longer flutes");
    if (at.chatter.known)
        list.most("chatter", s.ap, std::min(at.chatter.at(s.n, at.side), 1e6), "mm",
                  "another speed (kerfwright feeds --tap lists the quiet ones), a shorter stick-out, a thicker cutter");
    const bool shank_fits = c.DCON < at.slot_width - 0.05;
    list.most("reach", at.task.depth, shank_fits ? c.LPR : c.APMX, "mm",
              "a cutter with longer flutes, or one whose shank is thinner than the slot");
    return list.limits;
}

void set_entry(const Situation& at, Setting& s) {
    // Common practice: plunge at 0.3 to 0.5 of the feed in boards, less in harder stuff; ramps of 2 to 6 degrees.
    double share = 0.4, angle = 6;
    switch (at.material->kind) {
    case shop::MaterialKind::wood:
    case shop::MaterialKind::panel:
        break;
    case shop::MaterialKind::plastic:
        share = 0.3, angle = 5;
        break;
    case shop::MaterialKind::metal:
        share = 0.15, angle = 2;
        break;
    case shop::MaterialKind::laminate:
        share = 0.2, angle = 2;
        break;
    }
    const double z_feed = at.machine->axes[2].feed_max;
    s.ramp_angle = std::min(angle, at.cutter->max_ramp);
    if (at.drilling())
        s.plunge_feed = s.vf, s.ramp_angle = 90;
    else if (at.cutter->centre_cutting)
        s.plunge_feed = std::min(z_feed, share * s.vf);
    else // it never goes straight down, and chips under its middle have nowhere to go
        s.plunge_feed = std::min(z_feed / std::sin(s.ramp_angle * pi / 180), share / 2 * s.vf);
}

} // namespace kerfwright::cutting
