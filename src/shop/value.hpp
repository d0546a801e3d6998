#pragma once
// A number that came from outside, with where it came from.

#include <string>

namespace kerfwright::shop {

enum class Sureness {
    published,       ///< read in the source that is named
    derived,         ///< computed from a published value, as the source says
    common_practice, ///< what the trade does; no source to cite
    from_memory,     ///< a known value, not checked against its text
    measured,        ///< the shop's own measurement
};
[[nodiscard]] const char* to_string(Sureness sureness); ///< "published", "common practice", ...

/// A value with its spread and its source. `low` and `high` bound what sources or batches give; low <= value <= high.
struct Sourced {
    double value = 0;
    double low = 0, high = 0;
    Sureness sureness = Sureness::from_memory;
    std::string source;
};

} // namespace kerfwright::shop
