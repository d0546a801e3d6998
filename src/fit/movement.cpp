#include "fit/movement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace kerfwright::fit {
namespace {

constexpr double kFibreSaturation = 30;      // % moisture content
constexpr double kDriest = 6, kWettest = 14; // % moisture content; where WH eq. 13-2 holds
constexpr Climate kLeast{0, -20}, kMost{100, 100};

std::optional<Problem> check_span(const char* what, const char* unit, double low, double high, double least,
                                  double most) {
    if (low >= least && low <= high && high <= most) return std::nullopt; // false for NaN
    return Problem{"", 0, 0, fmt::format("{} from {:g} to {:g} {}", what, low, high, unit),
                   fmt::format("give the lower one first, both in {:g} to {:g} {}", least, most, unit)};
}

struct WeightedClimate {
    Climate climate;
    double weight = 0;
    double humidity = 0, temperature = 0; ///< how many standard deviations from the middle
};
using Draws = std::array<WeightedClimate, 9>;

/// Stands for the whole range; the weights sum to 1.
Draws draws_of(const ClimateRange& range) {
    struct Node {
        double at, weight, deviations;
    };
    static const double out = std::sqrt(0.15);
    static const std::array<Node, 3> nodes{{{0.5 - out, 5.0 / 18, -out * std::sqrt(12.0)},
                                            {0.5, 8.0 / 18, 0},
                                            {0.5 + out, 5.0 / 18, out * std::sqrt(12.0)}}};
    const auto between = [](double low, double high, double at) { return low + at * (high - low); };
    Draws draws;
    auto draw = draws.begin();
    for (const Node& h : nodes)
        for (const Node& t : nodes)
            *draw++ = {{between(range.low.humidity, range.high.humidity, h.at),
                        between(range.low.temperature, range.high.temperature, t.at)},
                       h.weight * t.weight,
                       h.deviations,
                       t.deviations};
    return draws;
}

} // namespace

std::optional<Problem> check(const ClimateRange& range) {
    const Climate &low = range.low, &high = range.high;
    if (auto fault = check_span("humidity", "% RH", low.humidity, high.humidity, kLeast.humidity, kMost.humidity))
        return fault;
    return check_span("temperature", "°C", low.temperature, high.temperature, kLeast.temperature, kMost.temperature);
}

double equilibrium_moisture(const Climate& climate) {
    const double t = climate.temperature;
    const double w = 349 + 1.29 * t + 0.0135 * t * t;
    const double k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
    const double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
    const double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
    const double kh = k * climate.humidity / 100;
    const double hydrates = k1 * kh + k1 * k2 * kh * kh; // the second one counts twice
    return 1800 / w * (kh / (1 - kh) + (hydrates + k1 * k2 * kh * kh) / (1 + hydrates));
}

std::optional<double> humidity_for_moisture(double moisture, double temperature) {
    double low = kLeast.humidity, high = kMost.humidity;
    if (!(moisture >= equilibrium_moisture({low, temperature}) &&
          moisture <= equilibrium_moisture({high, temperature})))
        return std::nullopt;
    for (int i = 0; i < 40; ++i) { // halves of 100 % RH: 2^-40 is below 1e-9 %
        const double middle = (low + high) / 2;
        (equilibrium_moisture({middle, temperature}) < moisture ? low : high) = middle;
    }
    return (low + high) / 2;
}

double strain_by_shrinkage(double shrinkage, double from, double to) {
    const double m0 = std::min(from, kFibreSaturation), m1 = std::min(to, kFibreSaturation);
    return shrinkage * (m1 - m0) / (kFibreSaturation * 100 - shrinkage * (kFibreSaturation - m0));
}

double coefficient_of_shrinkage(double shrinkage) {
    return shrinkage / (3000 - 20 * shrinkage);
}

double strain_by_moisture(double coefficient, double from, double to) {
    const auto [driest, wettest] = std::minmax({from, to});
    if (driest >= kDriest && wettest <= kWettest) return coefficient * (to - from);
    return strain_by_shrinkage(3000 * coefficient / (1 + 20 * coefficient), from, to);
}

double strain_by_humidity(double coefficient, double from, double to) {
    return coefficient * (to - from);
}

double strain_by_temperature(double expansion, double from, double to) {
    return expansion * 1e-6 * (to - from);
}

Movement movement_of(const shop::Material& material, const Climate& from, const Climate& to) {
    const auto damp = [&](const shop::Sourced& coefficient) {
        return material.movement_by_moisture
                   ? strain_by_moisture(coefficient.value, equilibrium_moisture(from), equilibrium_moisture(to))
                   : strain_by_humidity(coefficient.value, from.humidity, to.humidity);
    };
    const auto heat = [&](double expansion) {
        return strain_by_temperature(expansion, from.temperature, to.temperature);
    };
    const shop::Sourced& expansion = material.expansion;
    const bool wood = material.kind == shop::MaterialKind::wood;
    return {damp(material.movement_along) + heat(wood ? expansion.low : expansion.value),
            damp(material.movement_across) + heat(expansion.value)};
}

MovementSpread movement_spread_of(const shop::Material& material, const ClimateRange& from, const ClimateRange& to) {
    const Draws before = draws_of(from), after = draws_of(to);
    MovementSpread spread;
    const auto add = [](Movement& sum, double weight, const Movement& m) {
        sum.along += weight * m.along;
        sum.across += weight * m.across;
    };
    for (const WeightedClimate& b : before)
        for (const WeightedClimate& a : after) {
            const Movement m = movement_of(material, b.climate, a.climate);
            const double weight = b.weight * a.weight;
            add(spread.mean, weight, m);
            // Each cause has mean 0 and deviation 1, so its slope is the mean of the product with it.
            add(spread.humidity_before, weight * b.humidity, m);
            add(spread.temperature_before, weight * b.temperature, m);
            add(spread.humidity_after, weight * a.humidity, m);
            add(spread.temperature_after, weight * a.temperature, m);
        }
    return spread;
}

} // namespace kerfwright::fit
