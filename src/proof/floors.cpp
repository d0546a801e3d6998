#include "floors.hpp"

#include "edges.hpp"
#include "findings.hpp"
#include "zones.hpp"

#include "base/parallel.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kFirstSquare = 8;            ///< mm
constexpr std::size_t kMostSquares = 400'000; ///< of one floor and sense: more are not looked at, as when all is wrong
constexpr std::size_t kMostSpots = 200;       ///< of one floor and sense

struct Spot {
    Vec at;
    double excess = 0; ///< mm: how far outside the nearest cutter, or how far inside one that goes too deep
};

/// How far a place lies inside a shape, mm; negative outside. Rings keep the shape on their left.
class Depth {
  public:
    explicit Depth(const plane::Shape& shape) : shape_(shape), edges_(shape) {}

    [[nodiscard]] double at(Vec p) const {
        const auto near = edges_.nearest(p);
        if (!near) return -1e300;
        const plane::Ring& ring = edges_.rings()[near->ring];
        const Vec a = plane::to_mm(ring[near->segment]), b = plane::to_mm(ring[(near->segment + 1) % ring.size()]);
        const bool corner = near->at == a || near->at == b;
        const bool inside = corner ? plane::contains(shape_, plane::to_grid(p)) : cross(b - a, p - a) > 0;
        return inside ? near->distance : -near->distance;
    }

  private:
    const plane::Shape& shape_;
    plane::EdgeIndex edges_;
};

/// Divides squares while `excess` may be above 0 somewhere in them; tells the centres of the smallest. `excess` must
/// not change faster than the place does.
template <class Excess>
class Search {
  public:
    Search(const Depth& depth, double border, Excess excess)
        : depth_(depth), border_(border), excess_(std::move(excess)) {}

    [[nodiscard]] std::vector<Spot> spots(const plane::Box& box) {
        for (double y = box.low.y; y < box.high.y; y += kFirstSquare)
            for (double x = box.low.x; x < box.high.x; x += kFirstSquare)
                look({x + kFirstSquare / 2, y + kFirstSquare / 2}, kFirstSquare / 2, false);
        return std::move(spots_);
    }

  private:
    void look(Vec centre, double half, bool inside) {
        if (++squares_ > kMostSquares || spots_.size() >= kMostSpots) return;
        const double reach = half * std::numbers::sqrt2;
        if (!inside) {
            const double depth = depth_.at(centre) - border_;
            if (depth + reach < 0) return;
            inside = depth >= reach;
            if (!inside && half <= kSmallestSquare && depth < 0) return;
        }
        const double excess = excess_(centre);
        if (excess + reach <= 0) return;
        if (half <= kSmallestSquare) {
            if (excess > 0) spots_.push_back({centre, excess});
            return;
        }
        const double next = half / 2;
        for (const Vec to : {Vec{-next, -next}, Vec{next, -next}, Vec{-next, next}, Vec{next, next}})
            look(centre + to, next, inside);
    }

    const Depth& depth_;
    double border_;
    Excess excess_;
    std::vector<Spot> spots_;
    std::size_t squares_ = 0;
};

/// One finding for each spot, with the line of the move that made the surface there, else of the nearest.
void tell(const Sequence& sequence, const PathTree& cutting, const std::vector<Spot>& spots, const Finding& like,
          std::vector<Finding>& findings) {
    for (const Spot& spot : spots) {
        Finding finding = like;
        std::optional<Finding> named = lowest_over(sequence, cutting, spot.at);
        if (const auto near = cutting.closest(spot.at); near && !named)
            named = finding_at(sequence, like.kind, cutting.pieces()[near->piece], near->share);
        if (named) {
            finding.program = named->program;
            finding.line = named->line;
        }
        finding.at = {spot.at.x, spot.at.y, named ? named->at[2] : like.at[2]};
        finding.value = like.kind == FindingKind::gouge ? finding.at[2] - like.at[2] : spot.excess;
        findings.push_back(std::move(finding));
    }
}

std::vector<Finding> findings_of(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                 const AskedFloor& floor) {
    std::vector<Finding> findings;
    const double z = setup.stock.top - floor.depth;
    const Tolerances& tolerances = setup.tolerances;
    const double high = z + tolerances.left_standing, low = z - tolerances.floor;
    const PathTree full = path_at_level(sequence, {high, high, true, false});
    const PathTree deep = path_at_level(sequence, {low, low, false, true});
    const Depth depth(floor.area);
    const plane::Box box = plane::bounds(floor.area);
    const std::string name = floor.id.empty() ? "the floor" : fmt::format("the floor of {}", floor.id);

    Finding like;
    like.at[2] = z;
    like.program = sequence.runs.empty() ? "" : sequence.runs.back().file;
    const auto uncovered = [&](Vec p) {
        const auto near = full.closest(p);
        return near ? near->gap : 1e9;
    };
    like.kind = FindingKind::left_standing;
    like.bound = 0;
    like.text = fmt::format("no feed at full depth comes over this place of {}", name);
    // Where borders run back over themselves, as at the thin end of a floor, the nearest edge does not tell the side.
    const auto spots_of = [&](auto excess) {
        std::vector<Spot> spots = Search(depth, tolerances.left_standing, excess).spots(box);
        std::erase_if(spots, [&](const Spot& spot) { return !plane::contains(floor.area, plane::to_grid(spot.at)); });
        return spots;
    };
    if (!full.empty()) tell(sequence, cutting, spots_of(uncovered), like, findings);

    const auto dug = [&](Vec p) { // how far a cutter below the floor reaches over p
        const auto near = deep.closest(p, kFirstSquare);
        return near ? -near->gap : -kFirstSquare;
    };
    like.kind = FindingKind::gouge;
    like.bound = -tolerances.floor;
    like.text = fmt::format("goes deeper than {}", name);
    if (!deep.empty()) tell(sequence, cutting, spots_of(dug), like, findings);
    return findings;
}

} // namespace

std::vector<Finding> floor_findings(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                    int threads) {
    std::vector<std::vector<Finding>> of_floor(setup.floors.size());
    parallel_for(of_floor.size(), threads,
                 [&](std::size_t i) { of_floor[i] = findings_of(setup, sequence, cutting, setup.floors[i]); });
    std::vector<Finding> findings;
    for (std::vector<Finding>& some : of_floor)
        findings.insert(findings.end(), std::make_move_iterator(some.begin()), std::make_move_iterator(some.end()));
    return findings;
}

} // namespace kerfwright::proof
