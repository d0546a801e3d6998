#include "fit/fit.hpp"

#include "base/parallel.hpp"
#include "fit/refusals.hpp"
#include "fit/seam_table.hpp"
#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::fit {
namespace {

/// Borders of neighbours run this close together after easing.
constexpr double kTogether = 0.006; // mm

std::vector<plane::Shape> drawn_shapes(const Bodies& bodies) {
    std::vector<plane::Shape> shapes;
    for (const Body& body : bodies.all)
        shapes.push_back(body.drawn);
    return shapes;
}

std::vector<std::string> notes_of(const Bodies& bodies, const Eased& eased, const std::vector<SteppedBack>& cut) {
    std::vector<std::string> notes;
    for (const HandOver& over : eased.hand_overs) {
        const plane::Vec at = plane::inner_point(over.part);
        notes.push_back(fmt::format("{:.3f} mm² of '{}' at ({:.2f}, {:.2f}) went to '{}': no cutter keeps it joined",
                                    plane::area(over.part), bodies.all[over.from].id, at.x, at.y,
                                    bodies.all[over.to].id));
    }
    for (const Void& gone : eased.voids) {
        const plane::Vec at = (gone.box.low + gone.box.high) * 0.5;
        notes.push_back(fmt::format("a void stays at ({:.2f}, {:.2f}) between '{}' and '{}'", at.x, at.y,
                                    bodies.all[gone.claimant].id, bodies.all[gone.other].id));
    }
    for (std::size_t i = 0; i < cut.size(); ++i)
        for (std::size_t k = 1; k < cut[i].asked.size(); ++k) {
            const plane::Vec at = plane::inner_point(cut[i].asked[k]);
            notes.push_back(fmt::format("a bit of {:.4f} mm² falls off '{}' at ({:.2f}, {:.2f}): its neck is narrower "
                                        "than the clearance",
                                        plane::area(cut[i].asked[k]), bodies.all[i].id, at.x, at.y));
        }
    if (!eased.at_rest) notes.push_back("easing did not come to rest");
    return notes;
}

Piece piece_of(const Bodies& bodies, const Eased& eased, std::size_t i, const SteppedBack& cut) {
    const Body& body = bodies.all[i];
    Piece piece;
    piece.id = body.id;
    piece.region = body.region;
    piece.outline = cut.asked.front();
    piece.as_cut = plane::largest(cut.as_cut);
    piece.cutter_radius = body.cutter_radius;
    piece.area_lost = plane::area(lost_parts(bodies, eased, i));
    return piece;
}

} // namespace

Result<Fit> fit_regions(const std::vector<RegionToFit>& regions, const FitRules& rules) {
    auto made = make_bodies(regions, rules);
    if (!made) return made.problem();
    const Bodies& bodies = made.value();
    const std::size_t count = bodies.all.size();

    const Eased eased = ease(bodies, rules.threads);
    std::vector<SteppedBack> cut(count);
    Fit fit;
    parallel_for(count, rules.threads, [&](std::size_t i) {
        const Body& body = bodies.all[i];
        if (i != bodies.tray) {
            cut[i] = step_back(eased.shapes[i], body.step_back, body.cutter_radius);
            return;
        }
        Recess found = recess(eased.shapes[i], bodies.frame, body.step_back, body.cutter_radius);
        fit.wall = std::move(found.asked);
        fit.wall_as_cut = std::move(found.as_cut);
    });
    if (auto fault = refuse_lost(bodies, eased, cut, rules)) return *fault;

    const std::vector<Border> drawn = borders_of(drawn_shapes(bodies), kTogether, rules.threads);
    const std::vector<Border> borders = borders_of(eased.shapes, kTogether, rules.threads);
    const std::map<SeamKey, Displacement> moved = displacements(drawn, borders, rules.threads);
    if (auto fault = refuse_moved(bodies, eased, moved, rules)) return *fault;

    CutBodies done{std::vector<plane::Shape>(count), std::vector<plane::Shape>(count)};
    for (std::size_t i = 0; i < count; ++i) {
        done.as_cut[i] = i == bodies.tray ? fit.wall_as_cut : cut[i].as_cut;
        if (cut[i].asked.size() > 1) done.fallen[i].assign(cut[i].asked.begin() + 1, cut[i].asked.end());
    }
    SeamTable table = seam_table(bodies, borders, done, eased.voids, moved, rules);
    if (auto fault = refuse_overlap(bodies, done.as_cut, table.close)) return *fault;

    fit.seams = std::move(table.seams);
    fit.notes = notes_of(bodies, eased, cut);
    const std::size_t pieces = bodies.tray.value_or(count);
    fit.pieces.resize(pieces);
    parallel_for(pieces, rules.threads, [&](std::size_t i) { fit.pieces[i] = piece_of(bodies, eased, i, cut[i]); });
    for (const auto& [key, displacement] : moved)
        for (const int side : {key.first, key.second})
            if (side != kNobody && static_cast<std::size_t>(side) < pieces) {
                Piece& piece = fit.pieces[static_cast<std::size_t>(side)];
                piece.moved_max = std::max(piece.moved_max, displacement.max);
            }
    return fit;
}

} // namespace kerfwright::fit
