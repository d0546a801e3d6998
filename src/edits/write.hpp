#pragma once
// Private to edits/: values as TOML text, and a TOML file as a tree of JSON values.

#include <nlohmann/json.hpp>
#include <toml++/toml.h>

#include <string>

namespace kerfwright::edits {

/// Thrown for what TOML does not have: null, numbers that are not finite or beyond 64 bits. `what` says which.
struct NoTomlValue {
    std::string what;
};

/// On one line: arrays as [a, b], objects as inline tables.
[[nodiscard]] std::string toml_value(const nlohmann::ordered_json& value);
[[nodiscard]] std::string toml_string(const std::string& text);
/// Bare where it may be, else quoted.
[[nodiscard]] std::string toml_key(const std::string& key, bool quoted = false);

/// The file as values. Dates, and numbers that are not finite, become tagged texts: they only serve to be compared.
[[nodiscard]] nlohmann::ordered_json tree_of(const toml::node& node);

} // namespace kerfwright::edits
