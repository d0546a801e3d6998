#include "papers/hatch.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::papers {
namespace {

using plane::Vec;
using RingList = std::vector<std::vector<Vec>>;

constexpr double kLightGrey = 0.88;
constexpr double kDarkGrey = 0.62;
constexpr Ink kHatchInk{.width = 0.13, .grey = 0.15, .dashed = false};

Vec turned(Vec v, double cosine, double sine) {
    return {cosine * v.x - sine * v.y, sine * v.x + cosine * v.y};
}

std::pair<double, double> range_of_y(const RingList& rings) {
    double low = 1e300;
    double high = -1e300;
    for (const auto& ring : rings)
        for (const Vec v : ring) {
            low = std::min(low, v.y);
            high = std::max(high, v.y);
        }
    return {low, high};
}

/// Parallel lines at an angle; `dash` and `gap` in mm cut them, shifted by half on every other line.
Segments lines(const RingList& rings, double angle_deg, double spacing, double dash = 0, double gap = 0) {
    const double angle = angle_deg * std::numbers::pi / 180;
    const double cosine = std::cos(angle);
    const double sine = std::sin(angle);
    RingList level = rings;
    for (auto& ring : level)
        for (Vec& v : ring)
            v = turned(v, cosine, -sine);
    const auto [low, high] = range_of_y(level);
    Segments out{{}, kHatchInk};
    for (double k = std::ceil(low / spacing); k * spacing <= high; ++k) {
        const double y = k * spacing;
        const std::vector<double> xs = crossings(level, y);
        for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
            if (dash <= 0) {
                out.segments.emplace_back(turned({xs[i], y}, cosine, sine), turned({xs[i + 1], y}, cosine, sine));
                continue;
            }
            const double period = dash + gap;
            const double shift = std::fmod(std::abs(k), 2) * period / 2;
            for (double m = std::floor((xs[i] - shift - dash) / period); m * period + shift < xs[i + 1]; ++m) {
                const double from = std::max(xs[i], m * period + shift);
                const double to = std::min(xs[i + 1], m * period + shift + dash);
                if (to > from)
                    out.segments.emplace_back(turned({from, y}, cosine, sine), turned({to, y}, cosine, sine));
            }
        }
    }
    return out;
}

Dots dots(const RingList& rings, double spacing) {
    constexpr double kRadius = 0.17;
    const auto [low, high] = range_of_y(rings);
    Dots out{{}, kRadius};
    for (double k = std::ceil(low / spacing); k * spacing <= high; ++k) {
        const std::vector<double> xs = crossings(rings, k * spacing);
        const double shift = std::fmod(std::abs(k), 2) * spacing / 2;
        for (std::size_t i = 0; i + 1 < xs.size(); i += 2)
            for (double m = std::ceil((xs[i] - shift) / spacing); m * spacing + shift <= xs[i + 1]; ++m)
                out.at.push_back({m * spacing + shift, k * spacing});
    }
    return out;
}

} // namespace

std::vector<double> crossings(const RingList& rings, double y) {
    std::vector<double> xs;
    for (const auto& ring : rings) {
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Vec a = ring[i];
            const Vec b = ring[(i + 1) % ring.size()];
            if ((a.y > y) != (b.y > y)) xs.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    }
    std::sort(xs.begin(), xs.end());
    return xs;
}

void add_fill(std::vector<Item>& items, const RingList& rings, Fill fill) {
    const auto tone = [&](double grey) { items.push_back(Rings{rings, grey, Ink{.width = 0}}); };
    tone(1);
    switch (fill) {
    case Fill::none:
        break;
    case Fill::light:
        tone(kLightGrey);
        break;
    case Fill::dark:
        tone(kDarkGrey);
        break;
    case Fill::lines:
        items.push_back(lines(rings, 45, 1.6));
        break;
    case Fill::back_lines:
        items.push_back(lines(rings, -45, 1.6));
        break;
    case Fill::cross:
        items.push_back(lines(rings, 45, 2.2));
        items.push_back(lines(rings, -45, 2.2));
        break;
    case Fill::grid:
        items.push_back(lines(rings, 0, 2));
        items.push_back(lines(rings, 90, 2));
        break;
    case Fill::dashes:
        items.push_back(lines(rings, 0, 1.3, 1.8, 1.2));
        break;
    case Fill::dots:
        items.push_back(dots(rings, 1.3));
        break;
    }
}

} // namespace kerfwright::papers
