#include "shop/evidence.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::shop {
namespace {

constexpr double kPriorSd = 0.03;   // mm, a new or reground cutter with its run-out; common practice
constexpr double kMeasureSd = 0.03; // mm, calipers and the edge of one part; common practice
constexpr double kAway = 0.1;       // the next cut keeps a tenth away from a bad one; common practice
constexpr double kStrengthSd = 0.5; // ln of real over planned strength of a hold, common practice
constexpr double kLuckSd = 0.3;     // ln, from part to part; common practice

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

namespace {

bool is_hot(const CutTried& cut) {
    return cut.outcome == CutTried::Outcome::melted || cut.outcome == CutTried::Outcome::burnt;
}
bool is_good(const CutTried& cut) {
    return cut.outcome == CutTried::Outcome::good;
}
bool is_too_much(const CutTried& cut) {
    return !is_good(cut) && !is_hot(cut);
}
bool loads_as_much(const CutTried& cut, const CutTried& as) {
    return cut.fz >= as.fz;
}
bool heats_as_much(const CutTried& cut, const CutTried& as) {
    return cut.fz <= as.fz && cut.n >= as.n;
}

/// Twice as many good cuts where it should have been at least as bad?
template <class IsBad, class AsMuch>
bool outvoted(const CutTried& bad, std::span<const CutTried> cuts, const IsBad& is_bad, const AsMuch& as_much) {
    int against = 0, in_favour = 0;
    for (const CutTried& cut : cuts) {
        against += is_good(cut) && as_much(cut, bad) ? 1 : 0;
        in_favour += is_bad(cut) && as_much(bad, cut) ? 1 : 0;
    }
    return against >= 2 * in_favour;
}

} // namespace

FeedRange feed_range(std::span<const CutTried> cuts) {
    FeedRange range;
    for (const CutTried& cut : cuts) {
        ++range.count;
        if (is_good(cut)) {
            range.good_low = range.good_low == 0 ? cut.fz : std::min(range.good_low, cut.fz);
            range.good_high = std::max(range.good_high, cut.fz);
        } else if (is_hot(cut)) {
            ++range.too_hot;
            if (outvoted(cut, cuts, is_hot, heats_as_much)) continue;
            range.floor = std::max(range.floor, cut.fz);
            range.hot.push_back(cut);
        } else {
            ++range.too_much;
            if (outvoted(cut, cuts, is_too_much, loads_as_much)) continue;
            range.ceiling = range.ceiling == 0 ? cut.fz : std::min(range.ceiling, cut.fz);
        }
    }
    return range;
}

double most_fz(const FeedRange& range) {
    return (1 - kAway) * range.ceiling;
}

double least_fz(const FeedRange& range, double n) {
    double least = 0;
    for (const CutTried& cut : range.hot)
        if (n >= (1 - kAway) * cut.n) least = std::max(least, (1 + kAway) * cut.fz);
    return least;
}

HoldingFactor holding_factor(std::span<const PartHeld> parts) {
    HoldingFactor factor;
    for (const PartHeld& part : parts)
        ++(part.held ? factor.held : factor.lost);
    if (factor.lost == 0) return factor;
    constexpr int kSteps = 400;
    constexpr double kReach = 2;   // in ln of the ratio, both ways
    std::vector<double> posterior; // logarithms first: many parts make small products
    for (int i = 0; i <= kSteps; ++i) {
        const double ratio = kReach * (2.0 * i / kSteps - 1);
        double sum = -ratio * ratio / (2 * kStrengthSd * kStrengthSd);
        for (const PartHeld& part : parts) {
            const double z = (std::log(std::clamp(part.margin, 0.01, 100.0)) + ratio) / kLuckSd;
            sum += std::log(std::max(1e-300, 0.5 * std::erfc((part.held ? -z : z) / std::sqrt(2.0))));
        }
        posterior.push_back(sum);
    }
    const double most = *std::max_element(posterior.begin(), posterior.end());
    double all = 0;
    for (double& p : posterior)
        all += p = std::exp(p - most);
    double below = 0;
    int median = 0;
    while (median < kSteps && below + posterior[static_cast<std::size_t>(median)] < all / 2)
        below += posterior[static_cast<std::size_t>(median++)];
    factor.factor = std::max(1.0, std::exp(-kReach * (2.0 * median / kSteps - 1)));
    return factor;
}

} // namespace kerfwright::shop
