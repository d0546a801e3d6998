#pragma once
// Quantities at the door: a number in the file's unit, or a string that carries its unit.
// Inside, every length is in mm, every feed in mm/min, every speed in rev/min.

#include "base/result.hpp"

#include <string_view>

namespace kerfwright {

enum class Dimension {
    length,         ///< mm; units: mm um cm m in (also ", inch, thou)
    feed,           ///< mm/min; units: mm/min, mm/s, m/min, in/min, in/s
    speed,          ///< rev/min; units: rpm, rev/min, 1/min
    feed_per_tooth, ///< mm; units: mm/tooth, in/tooth, um/tooth
    angle,          ///< degrees; units: deg, rad, °
    temperature,    ///< °C; units: C, °C, F, °F, K
    power,          ///< W; units: W, kW, hp
    ratio,          ///< 1; units: %, none
};

/// Millimetres in one `unit` ("mm", "in", ...), or 0 when it is no unit of length.
[[nodiscard]] double length_unit(std::string_view unit);

/// Reads "1/4 in", "6.35 mm", "3 1/8 in", "30 in/min", "18000 rpm", "0.004 in/tooth", "12".
/// A bare number is taken in `bare_unit`; its default, "", is the inside unit of the dimension.
/// Fails (with no file and line: the caller knows those) on an unknown unit, a wrong dimension, an unreadable number,
/// a number that is not finite, or a division by zero.
[[nodiscard]] Result<double> parse_quantity(std::string_view text, Dimension dimension,
                                            std::string_view bare_unit = "");

} // namespace kerfwright
