#include "holding/holding.hpp"

#include "holding/flex.hpp"
#include "holding/margin.hpp"
#include "holding/skin.hpp"
#include "holding/tabs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::holding {
namespace {

using plane::Vec;
using shop::Hold;

// Common practice, all of them.
constexpr double kTapeCover = 0.6; ///< of the area: strips cover 50 to 70 %
constexpr double kLeastSkin = 0.2; ///< mm
constexpr double kMostSkin = 1.0;  ///< mm, and at most 0.3 of the thickness: more is a chore to take off
constexpr double kMostSkinShare = 0.3;
constexpr double kSkinStep = 0.05;
constexpr double kBreakChance = 0.01; ///< a skin is chosen to break through less often than this, per sheet
constexpr double kTooThick = 1.5; ///< mm, and at most half of the thickness: a skin that no longer breaks out by hand
constexpr double kTooThickShare = 0.5;
constexpr double kTooThickChance = 0.05; ///< per sheet
constexpr double kTabSpacing = 150;      ///< mm, none farther apart
constexpr int kMoreTabs = 5;             ///< tried beyond the least count before tabs get thicker
constexpr double kMostFlex = 0.1;        ///< mm
constexpr double kScrew = 445;           ///< N pull-out, a wood screw in waste (training course, not a measurement)
constexpr int kScrews = 4;

/// Everything about one part while its holds are sought.
struct Work {
    const PartToHold* part;
    PartShape shape;
    MarginInput input;
};

struct Setup {
    const shop::Sheet& sheet;
    const shop::Material& material;
    const shop::Machine& machine;
    const cutting::FeedPlan& roughing;
    const cutting::FeedPlan* finishing;
    const HoldOptions& options;
    bool tape = false, vacuum = false, skin = false, tabs = false;
    double sheet_force = 1e300;
    SkinSpread spread{};
    std::vector<PartToHold> parts{}; ///< of the whole sheet: no clamp may stand in their cutters' way
    bool layer_apart = false;
    double divisor = 1;
};

/// A skin may turn out thinner than asked by two deviations.
double likely_thinnest(double skin, const SkinSpread& spread) {
    return std::max(0.0, skin - 2 * spread.total());
}

/// Force in the plane that one clamp stands by friction, above and below the sheet, N, factored.
double clamp_holding(const Setup& setup, const SafetyFactors& factors) {
    return setup.options.clamp_force * 2 * setup.material.friction.low / factors.friction;
}

std::vector<Moment> moments_of(const Setup& setup, double thickness) {
    const cutting::FeedPlan& rough = setup.roughing;
    std::vector<Moment> moments{{"last roughing pass", rough.loads.force_peak, std::max(0.0, rough.loads.lift_peak),
                                 std::min(thickness, rough.setting.ap) / 2}};
    if (!setup.finishing) return moments;
    const cutting::FeedPlan& fine = *setup.finishing;
    moments.push_back({"finishing", fine.loads.force_peak, std::max(0.0, fine.loads.lift_peak),
                       std::min(thickness, fine.setting.ap) / 2});
    if (thickness - std::min(kMostSkin, kMostSkinShare * thickness) <= 3 * kLastLayer) return moments; // too thin
    // The layer is a slot of its depth at the finishing feed. A slot's peak force goes with its depth, or a little
    // less than that where the helix spreads a deep one.
    constexpr double kSpread = 1.15;
    const double deep = rough.setting.ap > 0 ? std::min(1.0, kSpread * kLastLayer / rough.setting.ap) : 1;
    const double ratio = rough.setting.fz > 0 ? fine.setting.fz / rough.setting.fz : 1;
    const double fed = std::max(ratio, 0.5 + 0.5 * ratio); // at less feed about half of the force, the edges', stays
    moments[0].layer = likely_thinnest(kLastLayer, setup.spread);
    if (setup.layer_apart) {
        moments[1].layer = moments[0].layer;
        moments.push_back({"last layer"});
    }
    moments.back().layer_force = rough.loads.force_peak * deep * fed;
    moments.back().layer_lift = std::max(0.0, rough.loads.lift_peak) * deep * fed;
    return moments;
}

Holds holds_of(const Setup& setup) {
    Holds holds;
    holds.tape_share = setup.tape ? kTapeCover : 0;
    holds.vacuum_kpa = setup.vacuum ? setup.options.vacuum_kpa : 0;
    holds.sheet_force = setup.sheet_force;
    return holds;
}

double thinnest_part(const std::vector<Work>& works) {
    double thinnest = 1e300;
    for (const Work& work : works)
        thinnest = std::min(thinnest, work.part->thickness);
    return thinnest;
}

double most_skin(const std::vector<Work>& works) {
    return std::min(kMostSkin, kMostSkinShare * thinnest_part(works));
}

double chance_too_thick(double skin, const std::vector<Work>& works, const SkinSpread& spread) {
    const double limit = std::min(kTooThick, kTooThickShare * thinnest_part(works));
    return chance_thinner(limit - skin, 0, spread, static_cast<int>(works.size())); // errors are symmetric
}

/// The thinnest skin that neither breaks through nor grows too thick and holds as many parts as any such skin can; 0
/// when there is none.
double choose_skin(const std::vector<Work>& works, const Setup& setup) {
    const int spots = static_cast<int>(works.size());
    const double most = most_skin(works);
    double best = 0;
    std::size_t best_held = 0;
    for (int step = 0;; ++step) {
        const double skin = kLeastSkin + step * kSkinStep;
        if (skin > most + 1e-9) break;
        if (chance_thinner(skin, 0, setup.spread, spots) > kBreakChance ||
            chance_too_thick(skin, works, setup.spread) > kTooThickChance)
            continue;
        Holds holds = holds_of(setup);
        holds.skin = likely_thinnest(skin, setup.spread);
        const auto held = static_cast<std::size_t>(std::count_if(works.begin(), works.end(), [&](const Work& work) {
            return margin_of(work.input, holds).margin >= setup.options.margin_asked;
        }));
        if (best == 0 || held > best_held) best = skin, best_held = held;
        if (held == works.size()) break;
    }
    return best;
}

std::vector<Tab> tabs_at(const std::vector<Vec>& places, double width, double thickness) {
    std::vector<Tab> tabs;
    for (const Vec& at : places)
        tabs.push_back({at, width, thickness});
    return tabs;
}

/// The fewest and thinnest tabs that give the asked margin on top of `holds`, or the best there are.
std::vector<Tab> size_tabs(const Work& work, const Setup& setup, Holds holds) {
    const shop::Material& m = setup.material;
    const double perimeter = work.shape.perimeter;
    const int least = perimeter < kTabSpacing ? 2 : std::max(3, static_cast<int>(std::ceil(perimeter / kTabSpacing)));
    std::vector<Tab> best;
    double best_margin = -1;
    for (const double width : {m.tab_width.value, m.tab_width.high}) {
        auto sites = tab_sites(work.part->outline.outer, width, work.part->tight_spots);
        if (sites.empty() && !work.part->tight_spots.empty()) sites = tab_sites(work.part->outline.outer, width, {});
        for (const double asked : {m.tab_thickness.value, m.tab_thickness.high}) {
            const double thickness = std::min(asked, work.part->thickness / 2);
            for (int count = least; count <= least + kMoreTabs; ++count) {
                holds.tabs = tabs_at(spread_tabs(sites, perimeter, count, width), width, thickness);
                if (static_cast<int>(holds.tabs.size()) < count && !best.empty()) break; // no room for more
                const double margin = margin_of(work.input, holds).margin;
                if (margin > best_margin) best_margin = margin, best = holds.tabs;
                if (margin >= setup.options.margin_asked && holds.tabs.size() >= 2) return holds.tabs;
            }
        }
    }
    return best;
}

/// Scrap inside a hole comes loose as a part does: two tabs hold what is wider than the slot.
void add_scrap_tabs(const Work& work, const Setup& setup, std::vector<Tab>& tabs) {
    const double width = setup.material.tab_width.low;
    const double thickness = std::min(setup.material.tab_thickness.value, work.part->thickness / 2);
    for (const plane::Ring& hole : work.part->outline.holes) {
        const double across = 4 * std::abs(plane::signed_area(hole)) / plane::perimeter(hole);
        if (across < 3 * work.part->slot_width) continue;
        const auto sites = tab_sites(hole, width, work.part->tight_spots);
        for (const Tab& tab : tabs_at(spread_tabs(sites, plane::perimeter(hole), 2, width), width, thickness))
            tabs.push_back(tab);
    }
}

std::string tabs_text(const std::vector<Tab>& tabs) {
    return fmt::format("{} tabs of {:.3g} x {:.3g} mm", tabs.size(), tabs.front().width, tabs.front().thickness);
}

struct Remedy {
    std::string text;
    Holds holds;
};

/// A skin and tabs, each of the size that would be chosen on top of `holds`.
void add_skin_and_tabs(const Work& work, const Setup& setup, const Holds& holds, const char* besides,
                       std::vector<Remedy>& remedies) {
    if (setup.material.skin_allowed && holds.skin <= 0) {
        if (const double skin = choose_skin({work}, setup); skin > 0) {
            remedies.push_back({fmt::format("leave a skin of {:.2f} mm{}", skin, besides), holds});
            remedies.back().holds.skin = likely_thinnest(skin, setup.spread);
        }
    }
    if (!holds.tabs.empty()) return;
    Remedy remedy{"", holds};
    remedy.holds.tabs = size_tabs(work, setup, holds);
    if (remedy.holds.tabs.empty()) return;
    remedy.text = "leave " + tabs_text(remedy.holds.tabs) + besides;
    remedies.push_back(std::move(remedy));
}

/// Holds that may be added to those that are there, easiest first.
std::vector<Remedy> more_holds(const Work& work, const Setup& setup, const Holds& holds) {
    std::vector<Remedy> remedies;
    add_skin_and_tabs(work, setup, holds, "", remedies);
    if (holds.tape_share > 0 || setup.material.tape_factor.value < 0.3) return remedies;
    remedies.push_back({"put tape under the part", holds});
    Setup taped = setup;
    taped.tape = true;
    Holds with_tape = holds;
    remedies.back().holds.tape_share = with_tape.tape_share = kTapeCover;
    add_skin_and_tabs(work, taped, with_tape, " and tape under the part", remedies);
    return remedies;
}

/// Screws in the waste, where one can stand clear of the cutter; no holds more where none can.
Remedy more_screws(const Work& work, const Setup& setup, const Holds& holds) {
    const auto at = clear_place(setup.sheet, setup.parts, setup.options.screw_room);
    if (!at) return {"", holds};
    Remedy remedy{
        fmt::format("hold the sheet with {} screws in the waste, one near ({:.0f}, {:.0f}): no clamp is clear "
                    "of the spindle",
                    kScrews, at->x, at->y),
        holds};
    remedy.holds.sheet_force += kScrews * kScrew / work.input.factors.friction;
    return remedy;
}

/// The fewest clamps more that give the asked margin, or four; screws where no clamp is clear of the spindle.
Remedy more_clamps(const Work& work, const Setup& setup, const Holds& holds) {
    constexpr int kMostClamps = 4;
    const auto at = clear_place(setup.sheet, setup.parts, setup.options.clamp_room);
    if (!at) return more_screws(work, setup, holds);
    const double each = clamp_holding(setup, work.input.factors);
    Remedy remedy{"", holds};
    int count = 0;
    do {
        remedy.holds.sheet_force += each;
        ++count;
    } while (count < kMostClamps && margin_of(work.input, remedy.holds).margin < setup.options.margin_asked);
    remedy.text = fmt::format("hold the sheet with {} more, the first near ({:.0f}, {:.0f})",
                              count == 1 ? "a clamp" : fmt::format("{} clamps", count), at->x, at->y);
    return remedy;
}

/// The same part in the same holds, its last layer taken after the wall is finished.
double margin_with_layer_apart(const Work& work, const Setup& setup, const Holds& holds) {
    Setup apart = setup;
    apart.layer_apart = true;
    MarginInput input = work.input;
    input.moments = moments_of(apart, work.part->thickness);
    return margin_of(input, holds).margin;
}

/// The same part in the same holds, cut by another cutter.
double margin_with(const OtherCutter& other, const Work& work, const Setup& setup, const Holds& holds) {
    Setup with{setup.sheet, setup.material, setup.machine, other.roughing, &other.finishing, setup.options};
    with.spread = setup.spread;
    with.layer_apart = setup.layer_apart;
    MarginInput input = work.input;
    input.slot = other.slot_width;
    input.factors = safety_factors(setup.material.kind, other.slot_width);
    input.moments = moments_of(with, work.part->thickness);
    return margin_of(input, holds).margin;
}

/// What brings the part above the asked margin, easiest first; then what helps but is not enough.
std::vector<std::string> proposals_for(const Work& work, const Setup& setup, const Holds& holds,
                                       const Verdict& verdict) {
    const double asked = setup.options.margin_asked;
    const std::string_view weakest = verdict.weakest;
    std::vector<std::string> enough, too_little;
    for (const Moment& m : work.input.moments) {
        if (verdict.margin <= 0.4 * asked || std::string_view(m.name) != verdict.moment) continue;
        const double layer = holds.tabs.empty() ? m.layer_force : 0; // that of taking the last layer stays
        const double most = (m.force + layer) * verdict.margin / asked * 0.96 - layer;
        if (most < 0.2 * m.force) continue;
        enough.push_back(
            fmt::format("a lighter {}: at most {:.3g} N in the plane instead of {:.3g} N", m.name, most, m.force));
    }
    const auto propose = [&](const std::string& text, double margin) {
        if (margin >= asked)
            enough.push_back(fmt::format("{}: margin {:.2f}", text, margin));
        else
            too_little.push_back(fmt::format("{}: margin {:.2f}, not enough by itself", text, margin));
    };
    if (!setup.layer_apart)
        if (const double margin = margin_with_layer_apart(work, setup, holds); margin > verdict.margin * 1.01)
            propose("finish the wall first and take the last layer in a pass of its own", margin);
    if (weakest == "sheet") {
        const Remedy clamps = more_clamps(work, setup, holds);
        if (!clamps.text.empty()) propose(clamps.text, margin_of(work.input, clamps.holds).margin);
    }
    for (const Remedy& remedy : more_holds(work, setup, holds))
        propose(remedy.text, margin_of(work.input, remedy.holds).margin);
    for (const OtherCutter& other : setup.options.others)
        if (const double margin = margin_with(other, work, setup, holds); margin > verdict.margin)
            propose("cut it with " + other.name, margin);
    if (weakest == "lift" || weakest == "tip")
        too_little.push_back("use a straight or down-cut cutter, which does not lift");
    too_little.push_back("give the part a larger piece of the sheet around it, and break it out by hand");
    enough.insert(enough.end(), too_little.begin(), too_little.end());
    return enough;
}

/// Force in the plane that the sheet itself stands, N, factored; "unknown" when nothing is said.
double sheet_holding(const Setup& setup, const SafetyFactors& factors, std::vector<std::string>& notes) {
    const std::set<Hold>& hold = setup.sheet.hold;
    const double friction = setup.material.friction.low;
    double force = 0;
    const auto clamps = static_cast<double>(setup.sheet.clamps.size());
    if (clamps > 0)
        force += clamps * clamp_holding(setup, factors);
    else if (hold.contains(Hold::clamps)) {
        force += 4 * clamp_holding(setup, factors);
        notes.push_back("no clamps are listed with their places: four are counted on");
    }
    if (hold.contains(Hold::screws)) force += kScrews * kScrew / factors.friction;
    const double area = plane::area(setup.sheet.outline);
    if (setup.tape)
        force += setup.machine.tape_shear * area * kTapeCover * setup.material.tape_factor.value / factors.tape;
    if (setup.vacuum) force += friction * vacuum_force(setup.options.vacuum_kpa, area) / factors.vacuum;
    if (force > 0) return force;
    notes.push_back("nothing is said of what holds the sheet itself: screws or clamps in the waste are counted on");
    return 1e300;
}

/// The low end of a wood's bending strength is across the grain, the high end along it in clear wood, of which half is
/// counted on.
SpanStrength span_strength(const shop::Sheet& sheet, const shop::Material& material) {
    constexpr double kClearWood = 0.5;
    SpanStrength strength;
    if (!material.grain || !material.bending || material.bending->low <= 0) return strength;
    const double angle = sheet.grain_deg * std::numbers::pi / 180;
    strength.grain = {std::cos(angle), std::sin(angle)};
    strength.along_over_across = std::max(1.0, kClearWood * material.bending->high / material.bending->low);
    return strength;
}

Result<Done> check(const std::vector<PartToHold>& parts, const cutting::FeedPlan& roughing) {
    for (const PartToHold& part : parts) {
        const bool sound = part.outline.outer.size() >= 3 && std::isfinite(part.thickness) && part.thickness > 0 &&
                           std::isfinite(part.slot_width) && part.slot_width > 0 && plane::area(part.outline) > 0;
        if (!sound)
            return Problem{"", 0, 0, fmt::format("part \"{}\" has no area, thickness or slot to hold by", part.id),
                           "give a closed outline, a thickness and a slot width above zero"};
    }
    if (!std::isfinite(roughing.loads.force_peak) || roughing.loads.force_peak < 0)
        return Problem{"", 0, 0, "the feed plan has no cutting force", "plan the feeds first"};
    return Done{};
}

void choose_holds(Setup& setup, const std::vector<Work>& works, SetupHold& result) {
    const std::set<Hold>& hold = setup.sheet.hold;
    setup.tabs = hold.contains(Hold::tabs);
    setup.skin = hold.contains(Hold::skin);
    if (setup.skin && !setup.material.skin_allowed) {
        result.notes.push_back(fmt::format("a skin is no option in {}: tabs take its place", setup.material.title));
        setup.skin = false;
        setup.tabs = true;
    }
    if (!setup.skin) return;
    result.skin = choose_skin(works, setup);
    if (result.skin > 0) {
        result.break_through = chance_thinner(result.skin, 0, setup.spread, static_cast<int>(works.size()));
        result.too_thick = chance_too_thick(result.skin, works, setup.spread);
        result.notes.push_back(fmt::format("skin {:.2f} mm, {:.2f} to {:.2f} within two deviations (bed {:.3f}, Z zero "
                                           "{:.3f}, sheet {:.3f} mm); chance of breaking "
                                           "through {:.2g} %, of being too thick to break out {:.2g} %",
                                           result.skin, likely_thinnest(result.skin, setup.spread),
                                           result.skin + 2 * setup.spread.total(), setup.spread.bed, setup.spread.zero,
                                           setup.spread.sheet, 100 * result.break_through, 100 * result.too_thick));
        return;
    }
    result.notes.push_back(fmt::format("sheet and bed are too uneven for a skin of at most {:.2f} mm (deviation {:.2f} "
                                       "mm): tabs take its place; measure the "
                                       "sheet, skim the bed",
                                       most_skin(works), setup.spread.total()));
    setup.skin = false;
    setup.tabs = true;
}

PartHold hold_part(const Work& work, const Setup& setup, double skin) {
    Holds holds = holds_of(setup);
    holds.skin = skin > 0 ? likely_thinnest(skin, setup.spread) : 0;
    if (setup.tabs) holds.tabs = size_tabs(work, setup, holds);
    const Verdict verdict = margin_of(work.input, holds);
    PartHold held{work.part->id, verdict.margin, verdict.moment, verdict.weakest, skin, holds.tabs, {}};
    if (verdict.margin < setup.options.margin_asked) held.proposals = proposals_for(work, setup, holds, verdict);
    if (setup.tabs) add_scrap_tabs(work, setup, held.tabs);
    return held;
}

/// Parts that were lost on such a hold lower the margins of the next ones.
void apply_evidence(Setup& setup, SetupHold& result) {
    const std::string name = shop::hold_name(setup.sheet.hold);
    for (const shop::HoldEvidence& evidence : setup.material.held) {
        if (evidence.hold != name || evidence.factor.factor <= 1) continue;
        setup.divisor = evidence.factor.factor;
        result.notes.push_back(fmt::format("log: {} held and {} lost of {} on {}: margins are divided by {:.2f}",
                                           evidence.factor.held, evidence.factor.lost, setup.material.name, name,
                                           setup.divisor));
    }
}

/// A sheet that only clamps hold is lifted in the middle by a cutter that lifts, and rings.
void note_flexing(const Setup& setup, SetupHold& result) {
    if (setup.tape || setup.vacuum || setup.sheet.hold.contains(Hold::screws)) return;
    const double lift = std::max(0.0, setup.roughing.loads.lift_peak), span = clear_span(setup.sheet);
    if (lift <= 0 || span <= 0 || setup.sheet.thickness <= 0) return;
    const double modulus = setup.material.elastic_modulus.low;
    result.flex = plate_deflection(lift, span, setup.sheet.thickness, modulus);
    if (result.flex <= kMostFlex) return;
    const auto clear = clear_place(setup.sheet, setup.parts, setup.options.screw_room);
    const Vec at = clear ? *clear : clear_place(setup.sheet).value_or(Vec{});
    result.notes.push_back(fmt::format(
        "the sheet is free over {:.0f} mm between clamps: the cutter's lift of {:.2g} N may bend it {:.2g} mm, and it "
        "rings at about {:.0f} Hz; put {} near ({:.0f}, {:.0f}), or use a cutter that does not lift",
        span, lift, result.flex, plate_frequency(span, setup.sheet.thickness, modulus, setup.material.density.value),
        clear ? "a screw or tape" : "tape", at.x, at.y));
}

} // namespace

Result<SetupHold> hold_parts(const std::vector<PartToHold>& parts, const shop::Sheet& sheet,
                             const shop::Material& material, const shop::Machine& machine,
                             const cutting::FeedPlan& roughing, const cutting::FeedPlan* finishing,
                             const HoldOptions& options) {
    if (const Result<Done> checked = check(parts, roughing); !checked.ok()) return checked.problem();
    SetupHold result;
    Setup setup{sheet, material, machine, roughing, finishing, options};
    setup.tape = sheet.hold.contains(Hold::tape);
    setup.vacuum = sheet.hold.contains(Hold::vacuum);
    setup.spread = skin_spread(sheet, material, machine);
    setup.parts = parts;
    setup.layer_apart = options.layer_apart;
    apply_evidence(setup, result);

    std::vector<Work> works(parts.size());
    for (std::size_t i = 0; i < parts.size(); ++i) {
        Work& work = works[i];
        work.part = &parts[i];
        work.shape = shape_of(parts[i].outline, span_strength(sheet, material));
        work.input = {&work.shape,
                      &material,
                      &machine,
                      parts[i].thickness,
                      parts[i].slot_width,
                      safety_factors(material.kind, parts[i].slot_width),
                      moments_of(setup, parts[i].thickness),
                      setup.divisor};
    }
    if (!works.empty()) {
        setup.sheet_force = sheet_holding(setup, works.front().input.factors, result.notes);
        choose_holds(setup, works, result);
    }
    for (const Work& work : works)
        result.parts.push_back(hold_part(work, setup, result.skin));
    result.margin_min = parts.empty() ? 0 : 1e300;
    for (const PartHold& part : result.parts)
        result.margin_min = std::min(result.margin_min, part.margin);
    const auto loose =
        std::count_if(result.parts.begin(), result.parts.end(), [](const PartHold& p) { return p.margin <= 0; });
    if (loose > 0)
        result.notes.push_back(
            fmt::format("{} of {} parts come loose when their slot closes: clamps and screws hold the sheet, "
                        "not the parts",
                        loose, parts.size()));
    note_flexing(setup, result);
    return result;
}

} // namespace kerfwright::holding
