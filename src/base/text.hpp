#pragma once
// Small things that every reader of text needs.

#include <string_view>

namespace kerfwright {

/// Without the blanks at both ends: spaces and tabs, and ends of lines.
[[nodiscard]] constexpr std::string_view trimmed(std::string_view text, std::string_view blanks = " \t\r\n\f") {
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

} // namespace kerfwright
