#pragma once
// What measurements after the cut say about the shop's numbers, and how much evidence that is.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

/// One measured size of a part that was cut along its outline.
struct SizeMeasured {
    double asked = 0, measured = 0; ///< mm
    bool inside = false;            ///< a hole or recess: a cutter that cuts less leaves it smaller
};

/// A number with the evidence behind it.
struct Evidence {
    double value = 0; ///< mm: the effective cutting diameter
    double sd = 0;    ///< its standard deviation
    int count = 0;    ///< measurements
};

/// Effective cutting diameter of a cutter of nominal diameter DC: a part that comes out too large by d tells of a
/// cutter that is smaller by d. Normal prior around DC and normal errors of measuring (Gelman et al., Bayesian Data
/// Analysis, 3rd ed., 2013, eq. 2.11 and 2.12); both standard deviations are common practice: see the source.
[[nodiscard]] Evidence effective_diameter(double DC, std::span<const SizeMeasured> sizes);

/// How one cut went.
struct CutTried {
    double fz = 0; ///< mm per tooth
    enum class Outcome { good, noisy, rough, melted, burnt, broken } outcome = Outcome::good;
    double n = 0; ///< rev/min
};
[[nodiscard]] const char* to_string(CutTried::Outcome outcome);
/// The outcome of that name; nothing for any other word.
[[nodiscard]] std::optional<CutTried::Outcome> outcome_named(std::string_view name);

/// The range of feeds per tooth that the evidence leaves. 0: no evidence on that side. Load grows with feed, and chips
/// get hotter with speed and as they get thinner: so a cut says something about all that load or heat more. A bad cut
/// counts unless twice as many cuts were good at as much or more of it as were bad at as little or less.
struct FeedRange {
    double ceiling = 0; ///< the lowest that was noisy, rough or broke the cutter
    double floor = 0;   ///< the highest that melted or burnt
    double good_low = 0, good_high = 0;
    int count = 0;
    int too_much = 0, too_hot = 0; ///< of them
    std::vector<CutTried> hot;     ///< those that melted or burnt and count
};
[[nodiscard]] FeedRange feed_range(std::span<const CutTried> cuts);

/// Bounds of the next cut, common practice: a tenth away from what was bad. Feed per tooth, 0: none.
[[nodiscard]] double most_fz(const FeedRange& range);
/// What melted at some speed asks for thicker chips from 0.9 of that speed on; below, nothing is asked.
[[nodiscard]] double least_fz(const FeedRange& range, double n);

/// How a part stayed in its place.
struct PartHeld {
    double margin = 0; ///< as planned
    bool held = true;
};
/// What planned margins are to be divided by: 1 over the posterior median of real over planned strength, never below 1.
/// ln of that ratio is normal around 0, deviation 0.5; a part of margin m is held when ratio × m × luck exceeds 1, ln
/// luck normal, 0.3 (both common practice). A probit likelihood on a grid (Gelman et al. 2013, ch. 3.7, by another
/// link).
struct HoldingFactor {
    double factor = 1;
    int held = 0, lost = 0;
};
[[nodiscard]] HoldingFactor holding_factor(std::span<const PartHeld> parts);

/// What the shop's log says of one cutter, and of one way to hold, in a material.
struct CutterEvidence {
    std::string cutter;
    FeedRange feeds;
};
struct HoldEvidence {
    std::string hold; ///< as hold_name gives it
    HoldingFactor factor;
};

} // namespace kerfwright::shop
