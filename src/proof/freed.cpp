#include "freed.hpp"

#include "edges.hpp"
#include "findings.hpp"

#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kSampleStep = 0.5;     ///< mm along outlines
constexpr double kStillAttached = 0.01; ///< mm: a thinner film does not hold
constexpr double kNear = 0.3;           ///< mm beyond the cutter that still counts as having cut an edge through
constexpr double kOverlap = 8;          ///< mm along a part that a contour's end may run again
constexpr double kRub = 0.01;           ///< mm into a part that is a hit however short

struct Freed {
    std::size_t piece = 0; ///< in the through tree: the one that set it free
};

/// When the last bit of the outline is cut through; nothing if some of it never is.
std::optional<Freed> freed_by(const AskedPart& part, const PathTree& through) {
    Freed freed;
    for (const Vec place : plane::sampled(part.outline.outer, kSampleStep)) {
        const auto first = through.first_over(place, kNear);
        if (!first) return std::nullopt;
        freed.piece = std::max(freed.piece, *first);
    }
    return freed;
}

struct Touch {
    double way = 0;  ///< mm along the part
    double into = 0; ///< mm into it
    std::size_t first = 0;
};

} // namespace

std::vector<Finding> freed_part_findings(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting) {
    std::vector<Finding> findings;
    if (setup.parts.empty() || setup.holds.count(shop::Hold::tape) || setup.holds.count(shop::Hold::vacuum))
        return findings;
    const double limit = setup.stock.bottom + kStillAttached;
    const PathTree through = path_at_level(sequence, {limit, limit, false, true});
    for (const AskedPart& part : setup.parts) {
        const auto freed = freed_by(part, through);
        if (!freed) continue;
        const std::uint32_t freed_move = through.pieces()[freed->piece].move;
        const plane::EdgeIndex edges(plane::Shape{part.outline});
        double way = 0;
        cutting.visit(plane::bounds(part.outline), [&](std::size_t i) {
            const Piece& piece = cutting.pieces()[i];
            if (piece.move <= freed_move) return;
            const motion::Vec3 middle = point_on(piece, 0.5);
            const auto near = edges.nearest({middle.x, middle.y}, cutting.radius(i) + kRub);
            if (!near) return;
            const double before = way;
            way += std::max(length_of(piece), 1e-6);
            const bool hit = near->distance < cutting.radius(i) - setup.tolerances.edge;
            if (!hit && !(before <= kOverlap && way > kOverlap)) return;
            Finding finding = finding_at(sequence, FindingKind::freed_part_hit, piece, 0.5);
            finding.value = way;
            finding.bound = kOverlap;
            finding.text = fmt::format("cuts along {} again, which line {} has set free and nothing holds", part.id,
                                       sequence.moves[freed_move].line);
            findings.push_back(std::move(finding));
        });
    }
    return findings;
}

} // namespace kerfwright::proof
