#include "fit/refusals.hpp"

#include "fit/disc_search.hpp"
#include "fit/edge_cells.hpp"
#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::fit {
namespace {

/// Bits that fall off at thin necks are let go, and noted, up to this extent, mm, and never beyond `detail`.
constexpr double kCrumb = 2;

std::string place(plane::Vec at) {
    return fmt::format("({:.2f}, {:.2f})", at.x, at.y);
}

std::string seam_name(const Bodies& bodies, SeamKey key) {
    const std::string& a = bodies.all[static_cast<std::size_t>(key.first)].id;
    if (key.second == kNobody) return fmt::format("the free edge of '{}'", a);
    const std::string& b = bodies.all[static_cast<std::size_t>(key.second)].id;
    if (b == kTrayName) return fmt::format("the seam of '{}' with the tray wall", a);
    return fmt::format("the seam between '{}' and '{}'", a, b);
}

/// The bodies as they are around a place; every part within the window is a body of its own.
struct Window {
    Bodies bodies;
    std::vector<std::size_t> original;
    plane::Box watched;
};

Window window_around(const Bodies& bodies, plane::Box watched, double margin) {
    Window window;
    window.watched = watched;
    const plane::Box box = grown(watched, margin);
    const plane::Shape pane{{plane::rectangle(box.low, box.high), {}}};
    window.bodies.frame = bodies.frame;
    for (std::size_t i = 0; i < bodies.all.size(); ++i) {
        const Body& body = bodies.all[i];
        if (!overlap(plane::bounds(body.drawn), box)) continue;
        const plane::Shape seen = plane::intersect(body.drawn, pane);
        if (seen.empty()) continue;
        if (i == bodies.tray) {
            window.bodies.tray = window.bodies.all.size();
            window.bodies.all.push_back(body);
            window.bodies.all.back().drawn = seen;
            window.original.push_back(i);
            continue;
        }
        for (const plane::Polygon& part : seen) {
            window.bodies.all.push_back(body);
            window.bodies.all.back().drawn = {part};
            window.original.push_back(i);
        }
    }
    return window;
}

bool within(const plane::Box& box, plane::Vec p) {
    return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y;
}

/// Displacement of the watched borders when the named bodies get cutters of at most `radius`.
double moved_with(Window window, const std::vector<std::size_t>& changed, double radius, int threads) {
    for (std::size_t k = 0; k < window.bodies.all.size(); ++k)
        if (std::find(changed.begin(), changed.end(), window.original[k]) != changed.end())
            window.bodies.all[k].cutter_radius = std::min(window.bodies.all[k].cutter_radius, radius);
    const Eased eased = ease(window.bodies, threads);
    double worst = 0;
    for (std::size_t k = 0; k < window.bodies.all.size(); ++k) {
        const plane::Shape& drawn = window.bodies.all[k].drawn;
        if (!overlap(plane::bounds(drawn), window.watched)) continue;
        const NearEdges index(eased.shapes[k]);
        for (const plane::Ring& ring : plane::rings_of(drawn))
            for (const plane::Vec p : plane::sampled(ring, 0.1)) {
                if (!within(window.watched, p)) continue;
                worst = std::max(worst, eased.shapes[k].empty() ? 1e300 : std::max(0.0, signed_distance(index, p)));
            }
    }
    return worst;
}

/// How often a window may be eased: so often that 0.01 mm are found in an ordinary one, and less where each time costs
/// seconds.
int most_tries(const Window& window) {
    constexpr double kMostWork = 60000; // vertices eased in all; a core eases about 30,000 a second
    constexpr int kLeast = 5, kMost = 12;
    double vertices = 1;
    for (const Body& body : window.bodies.all)
        for (const plane::Ring& ring : plane::rings_of(body.drawn))
            vertices += static_cast<double>(ring.size());
    return std::clamp(static_cast<int>(kMostWork / vertices), kLeast, kMost);
}

/// A radius, rounded down to 0.01 mm, with which the watched borders stay within `detail`: the largest, as near as the
/// tries allow; 0: none.
double radius_that_does(const Window& window, const std::vector<std::size_t>& changed, double now,
                        const FitRules& rules) {
    constexpr double kLeast = 0.05; // mm
    const auto does = [&](double radius) { return moved_with(window, changed, radius, rules.threads) <= rules.detail; };
    if (!does(kLeast)) return 0;
    double low = kLeast;
    double high = now;
    for (int left = most_tries(window); left > 0 && high - low > 0.01; --left) {
        const double middle = (low + high) / 2;
        (does(middle) ? low : high) = middle;
    }
    return std::floor(low * 100) / 100;
}

/// A remedy for a watched border: first a smaller cutter for the body that takes, then for both of its sides, then for
/// all around, since with large cutters a third neighbour may act on the same place.
std::string remedy(const Bodies& bodies, plane::Box watched, std::size_t taker, std::size_t loser,
                   const FitRules& rules) {
    const auto radius = [&](std::size_t i) { return bodies.all[i].cutter_radius; };
    double largest = 0;
    for (const Body& body : bodies.all)
        largest = std::max(largest, body.cutter_radius);
    const Window window = window_around(bodies, watched, 8 * largest + 4);
    if (const double r = radius_that_does(window, {taker}, radius(taker), rules); r > 0)
        return fmt::format(
            "cut '{}' with a cutter of at most {:.2f} mm radius here (now {:.2f}), or allow more detail loss",
            bodies.all[taker].id, r, radius(taker));
    if (const double r = radius_that_does(window, {taker, loser}, std::max(radius(taker), radius(loser)), rules); r > 0)
        return fmt::format("cut '{}' and '{}' with cutters of at most {:.2f} mm radius here, or allow more detail loss",
                           bodies.all[taker].id, bodies.all[loser].id, r);
    std::vector<std::size_t> around = window.original;
    around.erase(std::unique(around.begin(), around.end()), around.end());
    if (around.size() > 2)
        if (const double r = radius_that_does(window, around, largest, rules); r > 0)
            return fmt::format("cut '{}', '{}' and what is around them ({} more) with cutters of at most {:.2f} mm "
                               "radius, or allow more detail loss",
                               bodies.all[taker].id, bodies.all[loser].id, around.size() - 2, r);
    return "no cutter can follow this border: change the drawing here, or allow more detail loss";
}

/// The body that took the place from the loser.
std::size_t taker_at(const Eased& eased, plane::Vec at, std::size_t loser, SeamKey key) {
    for (std::size_t i = 0; i < eased.shapes.size(); ++i)
        if (i != loser && plane::contains(eased.shapes[i], plane::to_grid(at))) return i;
    const auto a = static_cast<std::size_t>(key.first);
    if (key.second == kNobody) return a;
    return a == loser ? static_cast<std::size_t>(key.second) : a;
}

/// The part of the loser's drawn shape that went at the place.
double area_lost_at(const Bodies& bodies, const Eased& eased, std::size_t loser, plane::Vec at) {
    double lost = 0;
    double closest = 1e300;
    for (const plane::Polygon& part : lost_parts(bodies, eased, loser)) {
        const auto near = plane::EdgeIndex(plane::Shape{part}).nearest(at);
        if (!near || near->distance >= closest) continue;
        closest = near->distance;
        lost = plane::area(part);
    }
    return lost;
}

plane::Box box_around(plane::Vec at, double by) {
    return {at - plane::Vec{by, by}, at + plane::Vec{by, by}};
}

Problem lost(const Bodies& bodies, std::size_t i, const FitRules& rules) {
    const Body& body = bodies.all[i];
    const plane::Vec at = plane::inner_point(body.drawn.front());
    // Of a long piece, the place where it is thickest: what follows the rest of it is asked for when this is mended.
    constexpr double kAround = 15; // mm
    const plane::Box near = box_around(at, kAround);
    const plane::Box all = plane::bounds(body.drawn);
    const plane::Box watched{{std::max(near.low.x, all.low.x), std::max(near.low.y, all.low.y)},
                             {std::min(near.high.x, all.high.x), std::min(near.high.y, all.high.y)}};
    double radius = 0;
    std::size_t taker = i;
    // The neighbour with the largest easing radius that meets the lost piece took it.
    for (std::size_t j = 0; j < bodies.all.size(); ++j)
        if (j != i && overlap(plane::bounds(bodies.all[j].drawn), plane::bounds(body.drawn)) &&
            bodies.all[j].easing_radius() > radius) {
            radius = bodies.all[j].easing_radius();
            taker = j;
        }
    return {"", 0, 0,
            fmt::format("piece '{}' at {} is lost: it is too small for the cutters around it", body.id, place(at)),
            remedy(bodies, watched, taker, i, rules)};
}

} // namespace

std::optional<Problem> refuse_lost(const Bodies& bodies, const Eased& eased, const std::vector<SteppedBack>& cut,
                                   const FitRules& rules) {
    for (std::size_t i = 0; i < bodies.all.size(); ++i) {
        if (i == bodies.tray) continue;
        const Body& body = bodies.all[i];
        if (eased.shapes[i].empty()) return lost(bodies, i, rules);
        if (cut[i].asked.empty())
            return Problem{"", 0, 0,
                           fmt::format("piece '{}' at {} is narrower than the clearance of {:.2f} mm", body.id,
                                       place(plane::inner_point(body.drawn.front())), 2 * body.step_back),
                           "draw it wider or ask for less clearance"};
        for (std::size_t k = 1; k < cut[i].asked.size(); ++k) {
            const plane::Box box = plane::bounds(cut[i].asked[k]);
            if (std::max(box.width(), box.height()) <= std::min(rules.detail, kCrumb)) continue;
            return Problem{"", 0, 0,
                           fmt::format("piece '{}' falls apart at {}: a neck there is narrower than the clearance of "
                                       "{:.2f} mm, and {:.2f} mm² would fall off",
                                       body.id, place(plane::inner_point(cut[i].asked[k])), 2 * body.step_back,
                                       plane::area(cut[i].asked[k])),
                           "draw the neck wider, ask for less clearance, or make the part a region of its own"};
        }
    }
    return std::nullopt;
}

std::optional<Problem> refuse_moved(const Bodies& bodies, const Eased& eased,
                                    const std::map<SeamKey, Displacement>& moved, const FitRules& rules) {
    const auto worst = std::max_element(moved.begin(), moved.end(),
                                        [](const auto& a, const auto& b) { return a.second.max < b.second.max; });
    if (worst == moved.end() || worst->second.max <= rules.detail) return std::nullopt;
    const auto& [key, displacement] = *worst;
    const std::size_t loser = displacement.loser;
    const std::size_t taker = taker_at(eased, displacement.at, loser, key);
    const auto too_far =
        std::count_if(moved.begin(), moved.end(), [&](const auto& m) { return m.second.max > rules.detail; });
    std::string what =
        fmt::format("{} moves by {:.2f} mm at {}, more than the detail of {:.2f} mm: {} of {:.2f} mm radius "
                    "cannot follow it, and {:.2f} mm² of '{}' would be lost",
                    seam_name(bodies, key), displacement.max, place(displacement.at), rules.detail,
                    fmt::format("the cutter of '{}'", bodies.all[taker].id), bodies.all[taker].cutter_radius,
                    area_lost_at(bodies, eased, loser, displacement.at), bodies.all[loser].id);
    if (too_far > 1) what += fmt::format(" ({} more seams move too far)", too_far - 1);
    const double around = displacement.max + 2 * bodies.all[taker].cutter_radius;
    return Problem{"", 0, 0, what, remedy(bodies, box_around(displacement.at, around), taker, loser, rules)};
}

std::optional<Problem> refuse_overlap(const Bodies& bodies, const std::vector<plane::Shape>& as_cut,
                                      const std::vector<std::pair<SeamKey, plane::Vec>>& close) {
    constexpr double kNothing = 1e-6; // mm²
    const auto judge = [&](std::size_t i, std::size_t j, plane::Vec at) -> std::optional<Problem> {
        const bool tray = j == bodies.tray;
        const plane::Shape shared =
            tray ? plane::subtract(as_cut[i], as_cut[j]) : plane::intersect(as_cut[i], as_cut[j]);
        const double area = plane::area(shared);
        if (area <= kNothing) return std::nullopt;
        if (at.x > 1e299) at = plane::inner_point(plane::largest(shared));
        return Problem{"", 0, 0,
                       fmt::format("as cut, {} would overlap by {:.4f} mm² at {}",
                                   seam_name(bodies, {static_cast<int>(i), static_cast<int>(j)}), area, place(at)),
                       "ask for more clearance, or choose smaller cutters for these two"};
    };
    for (const auto& [key, at] : close)
        if (auto fault = judge(static_cast<std::size_t>(key.first), static_cast<std::size_t>(key.second), at))
            return fault;
    // Outlines that never meet can still lie one inside the other.
    for (std::size_t i = 0; i < as_cut.size(); ++i)
        for (std::size_t j = i + 1; j < as_cut.size(); ++j) {
            const bool tray = j == bodies.tray;
            if (as_cut[i].empty() || as_cut[j].empty()) continue;
            if (!tray && !overlap(plane::bounds(as_cut[i]), plane::bounds(as_cut[j]))) continue;
            const bool i_in_j = plane::contains(as_cut[j], as_cut[i].front().outer.front());
            const bool j_in_i = !tray && plane::contains(as_cut[i], as_cut[j].front().outer.front());
            if (tray ? !i_in_j : i_in_j || j_in_i)
                if (auto fault = judge(i, j, {1e300, 0})) return fault;
        }
    return std::nullopt;
}

} // namespace kerfwright::fit
