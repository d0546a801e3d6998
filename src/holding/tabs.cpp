#include "holding/tabs.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::holding {
namespace {

using plane::Vec;

constexpr double kStraightness[] = {0.15, 0.3, 0.6,
                                    1.0}; ///< mm, sagitta of the stretch that carries a tab; the next only where needed
constexpr double kCornerCosine = 0.866;   ///< a turn of 30° within a millimetre to each side is a corner
constexpr double kFromCorner = 2;         ///< mm kept from the ends of the straight stretch
constexpr int kOffsets = 24;              ///< rotations of the even spread that are tried
constexpr std::size_t kMostSites = 2000;

/// The ring as points at equal steps.
std::vector<Vec> even_points(const plane::Ring& ring, double step, double perimeter) {
    const auto count = static_cast<std::size_t>(std::max(8.0, std::floor(perimeter / step)));
    std::vector<Vec> points;
    points.reserve(count);
    double walked = 0; // length up to vertex i
    std::size_t i = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const double target = perimeter * static_cast<double>(k) / static_cast<double>(count);
        while (i < ring.size()) {
            const Vec a = plane::to_mm(ring[i]), b = plane::to_mm(ring[(i + 1) % ring.size()]);
            const double edge = plane::distance(a, b);
            if (target <= walked + edge && edge > 0) {
                points.push_back(a + (b - a) * ((target - walked) / edge));
                break;
            }
            walked += edge;
            ++i;
        }
        if (points.size() <= k) points.push_back(plane::to_mm(ring.front()));
    }
    return points;
}

bool turns(Vec a, Vec b, Vec c) {
    const Vec u = b - a, v = c - b;
    return plane::dot(u, v) < kCornerCosine * plane::length(u) * plane::length(v);
}

/// Whether the stretch of `half` points to each side of `k` keeps to its chord and has no corner; `step` points are
/// about a millimetre.
bool straight(const std::vector<Vec>& points, std::size_t k, std::size_t half, std::size_t step, double sagitta) {
    const std::size_t n = points.size();
    if (2 * half + 1 >= n) return false;
    const Vec a = points[(k + n - half) % n], b = points[(k + half) % n], chord = b - a;
    const double length = plane::length(chord);
    if (length <= 0) return false;
    for (std::size_t j = 0; j <= 2 * half; ++j) {
        const Vec p = points[(k + n - half + j) % n] - a;
        if (std::abs(plane::cross(chord, p)) / length > sagitta) return false;
        const double along = plane::dot(chord, p) / length;
        if (along < -sagitta || along > length + sagitta) return false;
        const std::size_t at = (k + n - half + j) % n;
        if (turns(points[(at + n - step) % n], points[at], points[(at + step) % n])) return false;
    }
    return true;
}

/// Where the ring keeps within `sagitta` of its chord over the whole width of a tab.
std::vector<TabSite> sites_of(const std::vector<Vec>& points, double perimeter, double width, double sagitta,
                              const std::vector<std::pair<Vec, double>>& tight_spots) {
    const double pace = perimeter / static_cast<double>(points.size());
    const auto paces = [&](double length) { return static_cast<std::size_t>(std::ceil(length / pace)); };
    const std::size_t step = paces(1);
    std::vector<TabSite> sites;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const bool tight = std::any_of(tight_spots.begin(), tight_spots.end(), [&](const auto& spot) {
            return plane::distance(points[k], spot.first) < spot.second + width / 2;
        });
        if (tight || !straight(points, k, paces(width / 2), step, sagitta)) continue;
        double spare = 0;
        while (spare < 10 && straight(points, k, paces(width / 2 + spare + kFromCorner), step, sagitta))
            spare += kFromCorner;
        sites.push_back({points[k], pace * static_cast<double>(k), spare});
    }
    const bool roomy = std::any_of(sites.begin(), sites.end(), [](const TabSite& s) { return s.spare >= kFromCorner; });
    if (roomy) std::erase_if(sites, [](const TabSite& s) { return s.spare < kFromCorner; });
    return sites;
}

double around(double a, double b, double perimeter) {
    const double apart = std::abs(a - b);
    return std::min(apart, perimeter - apart);
}

} // namespace

std::vector<TabSite> tab_sites(const plane::Ring& ring, double width,
                               const std::vector<std::pair<Vec, double>>& tight_spots) {
    const double perimeter = plane::perimeter(ring);
    const double step = std::max(std::min(0.5, width / 6), perimeter / static_cast<double>(kMostSites));
    const std::vector<Vec> points = even_points(ring, step, perimeter);
    std::vector<TabSite> sites;
    for (const double sagitta : kStraightness) {
        sites = sites_of(points, perimeter, width, sagitta, tight_spots);
        if (spread_tabs(sites, perimeter, 3, width).size() >= 3) break;
    }
    return sites;
}

std::vector<Vec> spread_tabs(const std::vector<TabSite>& sites, double perimeter, int count, double width) {
    std::vector<TabSite> best;
    double best_score = -1e300;
    for (int offset = 0; offset < kOffsets && count > 0; ++offset) {
        std::vector<TabSite> chosen;
        double astray = 0;
        for (int k = 0; k < count; ++k) {
            const double target = perimeter * (k + static_cast<double>(offset) / kOffsets) / count;
            const TabSite* nearest = nullptr;
            double least = 1e300;
            for (const TabSite& site : sites) {
                const double cost =
                    around(site.along, target, perimeter) - site.spare; // a straighter stretch is worth a walk
                const bool apart = std::all_of(chosen.begin(), chosen.end(), [&](const TabSite& other) {
                    return around(site.along, other.along, perimeter) >= 2 * width;
                });
                if (apart && cost < least) least = cost, nearest = &site;
            }
            if (!nearest) continue;
            chosen.push_back(*nearest);
            astray += least;
        }
        const double score = static_cast<double>(chosen.size()) * 1e6 - astray;
        if (score > best_score + 1e-9) best_score = score, best = chosen;
    }
    std::vector<Vec> places;
    for (const TabSite& site : best)
        places.push_back(site.at);
    return places;
}

} // namespace kerfwright::holding
