#include "drawing/partition.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;
using plane::Shape;
using plane::Vec;

// Common practice for parts that are cut, held and handled; notes only.
constexpr double kNarrow = 1;                  ///< mm: narrower places break
constexpr double kNearMiss = 10;               ///< times snap
constexpr double kSmallArea = 25;              ///< mm²: smaller parts get lost
constexpr double kLeastArc = 3;                ///< mm of border on both sides of a narrow place: a corner is no neck
constexpr std::size_t kMostLooks = 50'000'000; ///< at edges, for one region
constexpr double kStep = 0.05;                 ///< mm between the vertices that are looked at

/// A place where two stretches of a region's border come close to each other with the region between them.
struct Neck {
    double width = kNarrow;
    Vec at;
};

class NeckFinder {
  public:
    explicit NeckFinder(const Shape& shape) : rings_(plane::rings_of(shape)) {
        for (std::size_t r = 0; r < rings_.size(); ++r) {
            double along = 0;
            for (std::size_t i = 0; i < rings_[r].size(); ++i) {
                const Point a = rings_[r][i];
                const Point b = rings_[r][(i + 1) % rings_[r].size()];
                edges_.push_back({a, b});
                place_.push_back({r, along});
                along += plane::distance(plane::to_mm(a), plane::to_mm(b));
            }
            lengths_.push_back(along);
        }
    }

    /// The narrowest place, or one of the narrowest where borders are very crowded.
    [[nodiscard]] std::optional<Neck> narrowest() {
        const BoxTree tree(edges_);
        std::optional<Neck> best;
        std::size_t e = 0;
        for (const Ring& ring : rings_) {
            double looked = -kStep;
            for (std::size_t i = 0; i < ring.size(); ++i, ++e) {
                if (place_[e].along - looked < kStep) continue;
                looked = place_[e].along;
                if (looks_ > kMostLooks) return best;
                look_from(tree, e, ring[(i + ring.size() - 1) % ring.size()], best);
            }
        }
        return best;
    }

  private:
    struct Place {
        std::size_t ring;
        double along; ///< mm from the first vertex of the ring to the start of the edge
    };

    /// Looks from the start of edge `e`, whose predecessor starts at `before`, through the region.
    void look_from(const BoxTree& tree, std::size_t e, Point before, std::optional<Neck>& best) {
        const Vec p = plane::to_mm(edges_[e].a);
        const Vec in = p - plane::to_mm(before);
        const Vec out = plane::to_mm(edges_[e].b) - p;
        const double reach = best ? best->width : kNarrow;
        tree.visit(grown(box_of(edges_[e].a, edges_[e].a), static_cast<std::int64_t>(reach / plane::kGrid)),
                   [&](std::size_t f) {
                       ++looks_;
                       const Vec a = plane::to_mm(edges_[f].a);
                       const Vec b = plane::to_mm(edges_[f].b);
                       if (plane::cross(b - a, p - a) <= 0) return; // its inside looks the other way
                       const Vec q = plane::nearest_on_segment(p, a, b);
                       const double width = plane::distance(p, q);
                       if (width >= (best ? best->width : kNarrow) || !separates(e, f, plane::distance(a, q))) return;
                       const bool reflex = plane::cross(in, out) < 0;
                       const bool left_of_in = plane::cross(in, q - p) > 0;
                       const bool left_of_out = plane::cross(out, q - p) > 0;
                       if (reflex ? left_of_in || left_of_out : left_of_in && left_of_out)
                           best = Neck{width, (p + q) * 0.5};
                   });
    }

    [[nodiscard]] bool separates(std::size_t e, std::size_t f, double beyond) const {
        if (place_[e].ring != place_[f].ring) return true;
        const double arc = std::abs(place_[f].along + beyond - place_[e].along);
        return std::min(arc, lengths_[place_[e].ring] - arc) > kLeastArc;
    }

    std::vector<Ring> rings_;
    std::vector<GridSegment> edges_;
    std::vector<Place> place_;
    std::vector<double> lengths_;
    std::size_t looks_ = 0;
};

} // namespace

void note_near_misses(const Drawing& drawing, double snap, std::vector<Note>& notes) {
    std::vector<GridSegment> edges; // of the outer border
    std::vector<int> region;
    std::set<std::pair<int, int>> joined;
    for (const Seam& seam : drawing.seams) {
        joined.emplace(seam.a, seam.b);
        for (const auto& chain : seam.chains)
            for (std::size_t i = 0; seam.b == kOutside && i + 1 < chain.size(); ++i) {
                edges.push_back({chain[i], chain[i + 1]});
                region.push_back(seam.a);
            }
    }
    const BoxTree tree(edges);
    const double reach = kNearMiss * snap;
    std::map<std::pair<int, int>, Neck> misses;
    std::size_t looks = 0;
    for (std::size_t e = 0; e < edges.size() && looks < kMostLooks; ++e) {
        const Point p = edges[e].a;
        tree.visit(grown(box_of(p, p), static_cast<std::int64_t>(reach / plane::kGrid)), [&](std::size_t f) {
            ++looks;
            const std::pair<int, int> pair = std::minmax(region[e], region[f]);
            if (pair.first == pair.second || joined.count(pair) > 0) return;
            const Vec at =
                plane::nearest_on_segment(plane::to_mm(p), plane::to_mm(edges[f].a), plane::to_mm(edges[f].b));
            const double distance = plane::distance(plane::to_mm(p), at);
            if (distance > reach) return;
            const auto [it, is_new] = misses.emplace(pair, Neck{distance, at});
            if (distance < it->second.width) it->second = {distance, at};
        });
    }
    for (const auto& [pair, gap] : misses) {
        if (gap.width < plane::kGrid) continue; // they meet in a corner
        const std::string& a = drawing.regions[static_cast<std::size_t>(pair.first)].name;
        const std::string& b = drawing.regions[static_cast<std::size_t>(pair.second)].name;
        notes.push_back(
            {Note::Kind::gap_left,
             fmt::format("\"{}\" and \"{}\" come within {:.3f} mm of each other near ({:.2f}, {:.2f}) mm but "
                         "share no border; raise snap if they should",
                         a, b, gap.width, gap.at.x, gap.at.y),
             {a, b},
             gap.at,
             gap.width});
    }
}

void note_widths(const std::vector<Region>& regions, std::vector<Note>& notes) {
    for (const Region& region : regions) {
        std::size_t small = 0;
        double least = kSmallArea;
        plane::Box box;
        for (const plane::Polygon& part : region.shape) {
            const double area = plane::area(part);
            if (area >= kSmallArea) continue;
            ++small;
            if (area >= least) continue;
            least = area;
            box = plane::bounds(part);
        }
        if (small > 0) {
            const Vec at = (box.low + box.high) * 0.5;
            const std::string which = region.shape.size() == 1
                                          ? fmt::format("region \"{}\" is small", region.name)
                                          : fmt::format("{} of {} parts of \"{}\" are small, the smallest", small,
                                                        region.shape.size(), region.name);
            notes.push_back({Note::Kind::small,
                             fmt::format("{}: {:.3g} × {:.3g} mm, {:.3g} mm² near ({:.2f}, {:.2f}) mm", which,
                                         box.width(), box.height(), least, at.x, at.y),
                             {region.name},
                             at,
                             least});
        }
        if (const auto neck = NeckFinder(region.shape).narrowest())
            notes.push_back({Note::Kind::narrow,
                             fmt::format("region \"{}\" is only {:.2f} mm wide near ({:.2f}, {:.2f}) mm", region.name,
                                         neck->width, neck->at.x, neck->at.y),
                             {region.name},
                             neck->at,
                             neck->width});
    }
}

bool thinner(const Shape& shape, double width) {
    const plane::Box box = plane::bounds(shape);
    if (shape.empty() || std::min(box.width(), box.height()) <= width) return true;
    return plane::offset(shape, -width / 2).empty();
}

double thickness(const Shape& shape) {
    if (shape.empty()) return 0;
    const plane::Box box = plane::bounds(shape);
    double low = 0;
    double high = std::min(box.width(), box.height());
    for (const plane::Polygon& polygon : shape) // a disc in each part bounds the answer from below
        low = std::max(low, 2 * plane::area(polygon) / plane::perimeter(polygon));
    while (high - low > 0.001 * high && high > 2 * plane::kGrid) {
        const double middle = (low + high) / 2;
        if (plane::offset(shape, -middle / 2).empty())
            high = middle;
        else
            low = middle;
    }
    return (low + high) / 2;
}

} // namespace kerfwright::drawing
