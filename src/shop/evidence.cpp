#include "shop/evidence.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::shop {
namespace {

constexpr double kPriorSd = 0.03;   // mm, a new or reground cutter with its run-out; common practice
constexpr double kMeasureSd = 0.03; // mm, calipers and the edge of one part; common practice

} // namespace

Evidence effective_diameter(double DC, std::span<const SizeMeasured> sizes) {
    double precision = 1 / (kPriorSd * kPriorSd);
    double sum = DC * precision;
    for (const SizeMeasured& size : sizes) {
        const double excess = size.measured - size.asked;
        const double weight = 1 / (kMeasureSd * kMeasureSd);
        sum += weight * (size.inside ? DC + excess : DC - excess);
        precision += weight;
    }
    return {sum / precision, 1 / std::sqrt(precision), static_cast<int>(sizes.size())};
}

const char* to_string(CutTried::Outcome outcome) {
    switch (outcome) {
    case CutTried::Outcome::good:
        return "good";
    case CutTried::Outcome::noisy:
        return "noisy";
    case CutTried::Outcome::rough:
        return "rough";
    case CutTried::Outcome::melted:
        return "melted";
    case CutTried::Outcome::burnt:
        return "burnt";
    case CutTried::Outcome::broken:
        return "broken";
    }
    return "";
}

std::optional<CutTried::Outcome> outcome_named(std::string_view name) {
    using Outcome = CutTried::Outcome;
    for (const Outcome outcome :
         {Outcome::good, Outcome::noisy, Outcome::rough, Outcome::melted, Outcome::burnt, Outcome::broken})
        if (name == to_string(outcome)) return outcome;
    return std::nullopt;
}

FeedRange feed_range(std::span<const CutTried> cuts) {
    using Outcome = CutTried::Outcome;
    FeedRange range;
    for (const CutTried& cut : cuts) {
        ++range.count;
        if (cut.outcome == Outcome::good) {
            range.good_low = range.good_low == 0 ? cut.fz : std::min(range.good_low, cut.fz);
            range.good_high = std::max(range.good_high, cut.fz);
        } else if (cut.outcome == Outcome::melted || cut.outcome == Outcome::burnt) {
            range.floor = std::max(range.floor, cut.fz);
        } else {
            range.ceiling = range.ceiling == 0 ? cut.fz : std::min(range.ceiling, cut.fz);
        }
    }
    return range;
}

HoldingFactor holding_factor(std::span<const PartHeld> parts) {
    HoldingFactor factor;
    for (const PartHeld& part : parts) {
        ++(part.held ? factor.held : factor.lost);
        if (!part.held) factor.factor = std::max(factor.factor, part.margin);
    }
    return factor;
}

} // namespace kerfwright::shop
