#pragma once
// What measurements after the cut say about the shop's numbers, and how much evidence that is.

#include <optional>
#include <span>
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
};
[[nodiscard]] const char* to_string(CutTried::Outcome outcome);
/// The outcome of that name; nothing for any other word.
[[nodiscard]] std::optional<CutTried::Outcome> outcome_named(std::string_view name);

/// The range of feeds per tooth that the evidence leaves. 0: no evidence on that side.
struct FeedRange {
    double ceiling = 0; ///< the lowest that was noisy, rough or broke the cutter
    double floor = 0;   ///< the highest that melted or burnt
    double good_low = 0, good_high = 0;
    int count = 0;
};
[[nodiscard]] FeedRange feed_range(std::span<const CutTried> cuts);

/// How a part stayed in its place.
struct PartHeld {
    double margin = 0; ///< as planned
    bool held = true;
};
/// The holding factor that the evidence asks for: planned margins are to be divided by it. 1 while no part of a margin
/// above 1 was lost; else the largest margin that did not hold.
struct HoldingFactor {
    double factor = 1;
    int held = 0, lost = 0;
};
[[nodiscard]] HoldingFactor holding_factor(std::span<const PartHeld> parts);

} // namespace kerfwright::shop
