#include "drawing/map.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>
#include <proj.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>

namespace kerfwright::drawing {
namespace {

using plane::Box;
using plane::Vec;

constexpr double kHalfTurn = 180;
constexpr double kTurn = 360;
constexpr double kMmInMetre = 1000;
constexpr int kDeepestSplit = 10; ///< an edge becomes at most 1024
constexpr std::size_t kLongestName = 1000;

struct Span {
    double low, high;
    bool operator<(const Span& other) const { return low < other.low; }
};

/// What an edge covers on the circle of longitudes; one that is longer than half a turn runs across the antimeridian.
void add_edge(std::vector<Span>& spans, double a, double b) {
    const double low = std::min(a, b);
    const double high = std::max(a, b);
    if (high - low <= kHalfTurn) {
        spans.push_back({low, high});
    } else {
        spans.push_back({-kHalfTurn, low});
        spans.push_back({high, kHalfTurn});
    }
}

/// The middle of the longitudes lies opposite the widest gap between them.
double middle_longitude(std::vector<Span> spans) {
    std::sort(spans.begin(), spans.end());
    double reached = spans.front().high;
    double gap = 0;
    double gap_middle = 0;
    for (const Span& span : spans) {
        if (span.low - reached > gap) {
            gap = span.low - reached;
            gap_middle = (reached + span.low) / 2;
        }
        reached = std::max(reached, span.high);
    }
    const double around = spans.front().low + kTurn - reached; // the gap that holds the antimeridian
    if (around >= gap) return (spans.front().low + reached) / 2;
    return gap_middle > 0 ? gap_middle - kHalfTurn : gap_middle + kHalfTurn;
}

/// The one name that a meridian has here: at least half a turn below the middle, less than half a turn above.
double canonical(double longitude, double middle) {
    if (longitude >= middle + kHalfTurn) return longitude - kTurn;
    if (longitude < middle - kHalfTurn) return longitude + kTurn;
    return longitude;
}

class Projector {
  public:
    /// Longitudes are taken around the meridian `middle`.
    explicit Projector(double middle) : middle_(middle), context_(proj_context_create(), proj_context_destroy) {
        proj_log_level(context_.get(), PJ_LOG_NONE);
        proj_context_set_enable_network(context_.get(), 0);
    }

    /// False when PROJ does not know the projection; then `reason` says why.
    bool open(const std::string& name) {
        PJ* made = nullptr;
        if (name.find("+proj=") != std::string::npos) {
            made = proj_create(context_.get(), name.c_str());
        } else if (PJ* raw = proj_create_crs_to_crs(context_.get(), "OGC:CRS84", name.c_str(), nullptr)) {
            made = proj_normalize_for_visualization(context_.get(), raw);
            proj_destroy(raw);
        }
        if (made == nullptr) {
            reason = proj_context_errno_string(context_.get(), proj_context_errno(context_.get()));
            return false;
        }
        projection_.reset(made);
        radians_ = proj_angular_input(made, PJ_FWD) != 0;
        return true;
    }

    std::optional<Vec> operator()(Vec degrees) const {
        const double factor = radians_ ? proj_torad(1) : 1;
        const double longitude = canonical(degrees.x, middle_);
        const PJ_COORD out =
            proj_trans(projection_.get(), PJ_FWD, proj_coord(longitude * factor, degrees.y * factor, 0, 0));
        if (!std::isfinite(out.xy.x) || !std::isfinite(out.xy.y) || std::abs(out.xy.x) > 1e12 ||
            std::abs(out.xy.y) > 1e12)
            return std::nullopt;
        return Vec{out.xy.x * kMmInMetre, out.xy.y * kMmInMetre};
    }

    std::string reason;

  private:
    double middle_;
    std::unique_ptr<PJ_CONTEXT, PJ_CONTEXT* (*)(PJ_CONTEXT*)> context_;
    std::unique_ptr<PJ, PJ* (*)(PJ*)> projection_{nullptr, proj_destroy};
    bool radians_ = true;
};

/// An edge in degrees and in the plane; split where the curve leaves the chord. It is always split from its smaller
/// end, so that both neighbours get the same points.
class Densifier {
  public:
    Densifier(const Projector& projector, double tolerance) : project_(projector), tolerance_(tolerance) {}

    /// Appends the points after `a` and before `b`, by the shorter way around.
    void between(Vec a, Vec b, std::vector<Vec>& out) const {
        const bool swapped = std::pair(b.x, b.y) < std::pair(a.x, a.y);
        if (swapped) std::swap(a, b);
        if (b.x - a.x > kHalfTurn) b.x -= kTurn;
        const auto from = project_(a);
        const auto to = project_(b);
        if (!from || !to) return;
        const std::size_t first = out.size();
        split(a, *from, b, *to, kDeepestSplit, out);
        if (swapped) std::reverse(out.begin() + static_cast<std::ptrdiff_t>(first), out.end());
    }

  private:
    void split(Vec a, Vec from, Vec b, Vec to, int depth, std::vector<Vec>& out) const {
        const auto off_chord = [&](Vec at) { return plane::distance_to_segment(at, from, to) > tolerance_; };
        const Vec middle = (a + b) * 0.5;
        const auto at = project_(middle);
        if (depth == 0 || !at) return;
        if (!off_chord(*at)) {
            // The middle of a curve that bends both ways may lie on its chord.
            const auto quarter = project_((a + middle) * 0.5);
            if (!quarter || !off_chord(*quarter)) return;
        }
        split(a, from, middle, *at, depth - 1, out);
        out.push_back(*at);
        split(middle, *at, b, to, depth - 1, out);
    }

    const Projector& project_;
    double tolerance_;
};

/// The place of a feature cannot be used; `at` is in the coordinates of the file.
Problem outside(const std::string& file, const MapFeature& feature, Vec at, std::string_view what, std::string remedy) {
    const std::string name = feature.id.empty() ? std::string("a feature") : fmt::format("feature \"{}\"", feature.id);
    return {file, 0, 0, fmt::format("{} has a position ({}, {}) that {}", name, at.x, at.y, what), std::move(remedy)};
}

/// The middle of the longitudes and latitudes.
Result<Vec> centre_of(const MapData& map, const std::string& file) {
    constexpr double kSlack = 1e-6;
    std::vector<Span> spans;
    double south = kTurn;
    double north = -kTurn;
    for (const MapFeature& feature : map.features) {
        for (const MapRing& ring : feature.rings) {
            for (std::size_t i = 0; i < ring.points.size(); ++i) {
                const Vec p = ring.points[i];
                if (!(std::abs(p.x) <= kHalfTurn + kSlack) || !(std::abs(p.y) <= kHalfTurn / 2 + kSlack))
                    return outside(file, feature, p, "is no longitude and latitude in degrees",
                                   "give longitudes within 180 and latitudes within 90 degrees, or set projection = "
                                   "\"none\" when the coordinates are already flat");
                add_edge(spans, p.x, ring.points[(i + 1) % ring.points.size()].x);
                south = std::min(south, p.y);
                north = std::max(north, p.y);
            }
        }
    }
    const double middle = middle_longitude(std::move(spans));
    return Vec{middle, (south + north) / 2};
}

Result<std::vector<MapRing>> flat(const MapData& map, const std::string& file) {
    std::vector<MapRing> rings;
    for (const MapFeature& feature : map.features) {
        for (const MapRing& ring : feature.rings) {
            for (const Vec p : ring.points)
                if (!(std::abs(p.x) <= 1e12) || !(std::abs(p.y) <= 1e12))
                    return outside(file, feature, p, "is too far out", "check the coordinates");
            rings.push_back(ring);
        }
    }
    return rings;
}

} // namespace

Result<std::vector<MapRing>> project(const MapData& map, const std::string& file, const ReadOptions& options) {
    if (options.projection == "none") return flat(map, file);
    auto middle = centre_of(map, file);
    if (!middle) return middle.problem();
    const Vec centre = middle.value();
    const std::string name =
        !options.projection.empty()
            ? options.projection
            : fmt::format("+proj=laea +lat_0={:.9f} +lon_0={:.9f} +datum=WGS84 +units=m", centre.y, centre.x);
    Projector projector(centre.x);
    if (name.size() > kLongestName || !projector.open(name))
        return Problem{file, 0, 0,
                       fmt::format("the projection \"{}\" is not known ({})", name.substr(0, 80), projector.reason),
                       "give a PROJ string such as \"+proj=laea +lat_0=50 +lon_0=10\" or \"EPSG:3035\", or \"none\""};
    std::vector<MapRing> degrees;
    std::vector<MapRing> rings;
    Box box;
    for (const MapFeature& feature : map.features) {
        for (const MapRing& ring : feature.rings) {
            degrees.push_back(ring);
            rings.push_back({{}, ring.hole});
            for (Vec& p : degrees.back().points) {
                const auto at = projector(p);
                if (!at)
                    return outside(file, feature, p, "the projection cannot show",
                                   "choose a projection that covers the map, or leave it out for a local one");
                p.x = canonical(p.x, centre.x);
                plane::extend(box, *at);
                rings.back().points.push_back(*at);
            }
        }
    }
    const auto frame = finished_frame(box, file, options);
    if (!frame) return frame.problem();
    const Densifier densifier(projector, kFlatness / frame.value().factor);
    std::size_t points = 0;
    for (std::size_t r = 0; r < rings.size(); ++r) {
        const std::vector<Vec>& corners = degrees[r].points;
        std::vector<Vec> curve;
        for (std::size_t i = 0; i < corners.size(); ++i) {
            curve.push_back(rings[r].points[i]);
            densifier.between(corners[i], corners[(i + 1) % corners.size()], curve);
            if (points + curve.size() > kMostPoints)
                return Problem{file, 0, 0, fmt::format("the map has more than {} points at this size", kMostPoints),
                               "simplify the map, give a smaller width, or keep only the regions that are cut"};
        }
        points += curve.size();
        rings[r].points = std::move(curve);
    }
    return rings;
}

} // namespace kerfwright::drawing
