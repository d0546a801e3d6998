#include "base/quantity.hpp"

#include "base/text.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <string>

namespace kerfwright {
namespace {

struct Unit {
    std::string_view name;
    Dimension dimension;
    double factor;
    double offset = 0; ///< added before the factor is applied
};

constexpr double kInch = 25.4;

constexpr std::array kUnits = {
    Unit{"mm", Dimension::length, 1},
    Unit{"um", Dimension::length, 1e-3},
    Unit{"µm", Dimension::length, 1e-3},
    Unit{"cm", Dimension::length, 10},
    Unit{"m", Dimension::length, 1000},
    Unit{"in", Dimension::length, kInch},
    Unit{"inch", Dimension::length, kInch},
    Unit{"\"", Dimension::length, kInch},
    Unit{"thou", Dimension::length, kInch / 1000},
    Unit{"mm/min", Dimension::feed, 1},
    Unit{"mm/s", Dimension::feed, 60},
    Unit{"m/min", Dimension::feed, 1000},
    Unit{"in/min", Dimension::feed, kInch},
    Unit{"in/s", Dimension::feed, kInch * 60},
    Unit{"rpm", Dimension::speed, 1},
    Unit{"rev/min", Dimension::speed, 1},
    Unit{"1/min", Dimension::speed, 1},
    Unit{"mm/tooth", Dimension::feed_per_tooth, 1},
    Unit{"um/tooth", Dimension::feed_per_tooth, 1e-3},
    Unit{"in/tooth", Dimension::feed_per_tooth, kInch},
    Unit{"deg", Dimension::angle, 1},
    Unit{"°", Dimension::angle, 1},
    Unit{"rad", Dimension::angle, 180 / std::numbers::pi},
    Unit{"C", Dimension::temperature, 1},
    Unit{"°C", Dimension::temperature, 1},
    Unit{"K", Dimension::temperature, 1, -273.15},
    Unit{"F", Dimension::temperature, 5.0 / 9, -32},
    Unit{"°F", Dimension::temperature, 5.0 / 9, -32},
    Unit{"W", Dimension::power, 1},
    Unit{"kW", Dimension::power, 1000},
    Unit{"hp", Dimension::power, 745.69987},
    Unit{"%", Dimension::ratio, 0.01},
};

constexpr std::string_view kind_of(Dimension dimension) {
    switch (dimension) {
    case Dimension::length:
        return "a length, such as \"6.35 mm\" or \"1/4 in\"";
    case Dimension::feed:
        return "a feed, such as \"1500 mm/min\" or \"30 in/min\"";
    case Dimension::speed:
        return "a speed, such as \"18000 rpm\"";
    case Dimension::feed_per_tooth:
        return "a feed per tooth, such as \"0.1 mm/tooth\" or \"0.004 in/tooth\"";
    case Dimension::angle:
        return "an angle, such as \"90 deg\"";
    case Dimension::temperature:
        return "a temperature, such as \"20 C\"";
    case Dimension::power:
        return "a power, such as \"1.5 kW\"";
    case Dimension::ratio:
        return "a ratio, such as \"40 %\" or 0.4";
    }
    return "a quantity";
}

/// Takes a number off the front; false when there is none.
bool take_number(std::string_view& text, double& value) {
    std::string_view digits = text;
    if (!digits.empty() && digits.front() == '+') digits.remove_prefix(1);
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc{}) return false;
    text = trimmed(digits.substr(static_cast<std::size_t>(end - digits.data())));
    return true;
}

/// "3", "1/4", "3 1/8".
bool take_mixed_number(std::string_view& text, double& value) {
    if (!take_number(text, value)) return false;
    const auto over = [&](double above) {
        text = trimmed(text.substr(1));
        double below = 0;
        if (!take_number(text, below) || below == 0) return false;
        value = above / below;
        return true;
    };
    const bool fraction = text.size() > 1 && text.front() == '/' && text[1] >= '0' && text[1] <= '9';
    if (fraction) return over(value);
    if (!text.empty() && text.front() >= '0' && text.front() <= '9') {
        const double whole = value;
        if (!take_number(text, value) || text.empty() || text.front() != '/') return false;
        if (!over(value)) return false;
        value = whole < 0 ? whole - value : whole + value;
    }
    return true;
}

} // namespace

double length_unit(std::string_view unit) {
    for (const Unit& known : kUnits)
        if (known.dimension == Dimension::length && known.name == unit) return known.factor;
    return 0;
}

Result<double> parse_quantity(std::string_view text, Dimension dimension, std::string_view bare_unit) {
    const std::string shown(text);
    const auto problem = [&](const std::string& what) {
        return Problem{"", 0, 0, what, "write " + std::string(kind_of(dimension))};
    };
    std::string_view rest = trimmed(text);
    double value = 0;
    if (!take_mixed_number(rest, value)) return problem("\"" + shown + "\" is not a number with a unit");
    if (!std::isfinite(value)) return problem("\"" + shown + "\" is not a finite number");
    if (rest.empty()) rest = bare_unit;
    if (rest.empty()) return value;
    for (const Unit& unit : kUnits)
        if (unit.name == rest && unit.dimension == dimension) return (value + unit.offset) * unit.factor;
    return problem("\"" + shown + "\": \"" + std::string(rest) + "\" is not a unit that fits here");
}

} // namespace kerfwright
