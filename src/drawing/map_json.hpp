#pragma once
// Private to drawing/: a JSON text as a tree that knows where each value stands in the text.

#include "base/result.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::drawing {

/// One value of a JSON text. A list of nothing but numbers keeps them in `numbers`; any other list in `items`.
struct Json {
    enum class Kind { null, boolean, number, text, list, object } kind = Kind::null;
    std::size_t at = 0; ///< byte in the text where it begins or, for numbers and names, ends
    double number = 0;  ///< also 0 or 1 for a boolean
    std::string text;
    std::vector<double> numbers;
    std::vector<Json> items;       ///< values of a list or of an object
    std::vector<std::string> keys; ///< of an object, beside `items`

    [[nodiscard]] const Json* find(std::string_view key) const; ///< member of an object; nullptr when there is none
    [[nodiscard]] std::string_view text_of(std::string_view key) const; ///< "" when there is no such text
    [[nodiscard]] bool is_list() const { return kind == Kind::list; }
    [[nodiscard]] std::size_t size() const { return numbers.empty() ? items.size() : numbers.size(); }
};

/// Line and column of a byte, both from 1.
struct TextPlace {
    int line = 0, column = 0;
};
[[nodiscard]] TextPlace place_of(std::string_view text, std::size_t byte);

/// A problem at a byte of the text.
[[nodiscard]] Problem problem_at(std::string_view text, const std::string& file, std::size_t byte, std::string what,
                                 std::string remedy);

/// Fails on anything that is not JSON (RFC 8259), on numbers that do not fit a double, on more than 64 levels of
/// nesting and on more than 64 MiB of text.
[[nodiscard]] Result<Json> parse_json(std::string_view text, const std::string& file);

} // namespace kerfwright::drawing
