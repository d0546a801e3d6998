#include "fit/thickness.hpp"

#include "fit/local_boolean.hpp"
#include "fit/rolling_disc.hpp"
#include "plane/boolean.hpp"

#include <algorithm>
#include <numbers>

namespace kerfwright::fit {
namespace {

constexpr double kHair = 1e-4;  // mm
constexpr double kSpeck = 1e-6; // mm²
constexpr plane::OffsetOptions kMitre{kArcTolerance, plane::OffsetOptions::Join::mitre};

} // namespace

bool thicker_than(const plane::Polygon& polygon, double thickness) {
    const double area = plane::area(polygon);
    if (area < std::numbers::pi / 4 * thickness * thickness) return false;
    // The inradius of any shape is at least area / perimeter.
    if (2 * area > thickness * plane::perimeter(polygon)) return true;
    return !plane::offset({polygon}, -thickness / 2, kMitre).empty();
}

bool thicker_than(const plane::Shape& shape, double thickness) {
    return std::any_of(shape.begin(), shape.end(),
                       [&](const plane::Polygon& polygon) { return thicker_than(polygon, thickness); });
}

plane::Shape without_hairs(const plane::Shape& shape) {
    return plane::opening(shape, kHair, kMitre);
}

namespace {

/// The outline runs to b and back again within kSpike.
bool is_spike(plane::Point a, plane::Point b, plane::Point c) {
    constexpr double kSpike = 5e-4 / plane::kGrid;
    const auto abx = static_cast<double>(b.x - a.x), aby = static_cast<double>(b.y - a.y);
    const auto bcx = static_cast<double>(c.x - b.x), bcy = static_cast<double>(c.y - b.y);
    if (abx * bcx + aby * bcy > 0) return false;
    const double turn = abx * bcy - aby * bcx;
    const double longer = std::max(abx * abx + aby * aby, bcx * bcx + bcy * bcy);
    return turn * turn <= kSpike * kSpike * longer;
}

} // namespace

plane::Ring without_spikes(const plane::Ring& ring) {
    plane::Ring out;
    for (const plane::Point p : ring) {
        while (out.size() >= 2 && is_spike(out[out.size() - 2], out.back(), p))
            out.pop_back();
        if (out.empty() || out.back() != p) out.push_back(p);
    }
    // The two ends of the list meet, too.
    std::size_t first = 0;
    for (bool again = true; again && out.size() - first >= 3;) {
        const std::size_t n = out.size();
        again = true;
        if (out[first] == out[n - 1] || is_spike(out[n - 2], out[n - 1], out[first]))
            out.pop_back();
        else if (is_spike(out[n - 1], out[first], out[first + 1]))
            ++first;
        else
            again = false;
    }
    if (out.size() - first < 3) return {};
    out.erase(out.begin(), out.begin() + static_cast<std::ptrdiff_t>(first));
    return out;
}

plane::Shape without_spikes(const plane::Shape& shape) {
    plane::Shape out;
    for (const plane::Polygon& polygon : shape) {
        plane::Polygon clean{without_spikes(polygon.outer), {}};
        if (clean.outer.empty()) continue;
        for (const plane::Ring& hole : polygon.holes)
            if (plane::Ring ring = without_spikes(hole); !ring.empty()) clean.holes.push_back(std::move(ring));
        out.push_back(std::move(clean));
    }
    return out;
}

namespace {

/// Each corner goes out along its mitre; a sharp one is cut off square, so that it does not become a needle.
plane::Ring nudged(const plane::Ring& ring, double by) {
    constexpr double kSharp = 0.5; // 1 + cos of the turn: sharper than 120 degrees
    const std::size_t n = ring.size();
    plane::Ring out;
    out.reserve(n + 4);
    const auto along = [&](std::size_t k) {
        const plane::Vec edge = to_mm(ring[k + 1 < n ? k + 1 : 0]) - to_mm(ring[k]);
        return edge * (1 / std::max(1e-12, plane::length(edge)));
    };
    plane::Vec in = along(n - 1);
    for (std::size_t k = 0; k < n; ++k) {
        const plane::Vec next = along(k);
        const plane::Vec corner = to_mm(ring[k]);
        const plane::Vec in_normal{in.y, -in.x}, next_normal{next.y, -next.x};
        if (const double open = 1 + dot(in, next); open >= kSharp) {
            out.push_back(plane::to_grid(corner + (in_normal + next_normal) * (by / open)));
        } else {
            const double ahead = cross(in, next) > 0 ? by : -by;
            out.push_back(plane::to_grid(corner + in_normal * by + in * ahead));
            out.push_back(plane::to_grid(corner + next_normal * by - next * ahead));
        }
        in = next;
    }
    return out;
}

} // namespace

plane::Shape nudged(const plane::Shape& shape, double by) {
    plane::Shape out;
    for (const plane::Polygon& polygon : shape) {
        plane::Polygon& grown = out.emplace_back();
        grown.outer = nudged(polygon.outer, by);
        for (const plane::Ring& hole : polygon.holes)
            grown.holes.push_back(nudged(hole, by));
    }
    return out;
}

namespace {

plane::Shape without_thin(plane::Shape shape, double noise) {
    std::erase_if(shape, [&](const plane::Polygon& polygon) { return !thicker_than(polygon, noise); });
    return shape;
}

} // namespace

Closing closing(const plane::Shape& shape, double radius, double noise) {
    if (radius <= 0 || shape.empty()) return {{}, shape};
    // A contact of three edges at once may confuse the linking; a few nanometres more make it generic.
    constexpr int kTries = 4;
    constexpr double kMore = 3.7e-6; // mm
    for (int attempt = 0; attempt < kTries; ++attempt)
        if (auto found = rolled_closing(shape, radius + attempt * kMore, noise, kArcTolerance))
            return {without_spikes(without_thin(std::move(found->fills), noise)),
                    plane::without_specks(without_spikes(found->closed), kSpeck)};
    const plane::OffsetOptions options{kArcTolerance, plane::OffsetOptions::Join::round};
    plane::Shape found = plane::subtract(plane::closing(shape, radius, options), shape);
    found = without_thin(without_hairs(without_thin(std::move(found), noise)), noise);
    plane::Shape closed = plane::without_specks(with(shape, nudged(found, kNudge)), kSpeck);
    return {std::move(found), std::move(closed)};
}

plane::Shape fills(const plane::Shape& shape, double radius, double noise) {
    return closing(shape, radius, noise).fills;
}

} // namespace kerfwright::fit
