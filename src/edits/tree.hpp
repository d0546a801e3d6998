#pragma once
// Private to edits/: edits of a file's values, free of its text; and paths. edits.cpp makes the same edits on the text
// and compares.

#include "edits/scan.hpp"

#include <nlohmann/json.hpp>

#include <string>

namespace kerfwright::edits {

/// Thrown when an edit cannot be made; edit_toml turns it into a Problem.
struct CannotEdit {
    std::string what, remedy;
};
/// Throws that the path leads nowhere.
[[noreturn]] void nowhere(const Path& path);

/// "sheet[2].name".
[[nodiscard]] std::string shown(const Path& path);
[[nodiscard]] inline const std::string* key_of(const PathStep& step) {
    return std::get_if<std::string>(&step);
}
[[nodiscard]] inline const std::size_t* number_of(const PathStep& step) {
    return std::get_if<std::size_t>(&step);
}
[[nodiscard]] Path from(const Path& path, std::size_t begin);
[[nodiscard]] Path up_to(const Path& path, std::size_t end);
[[nodiscard]] Path with(Path path, PathStep step);

/// Null when there is nothing.
[[nodiscard]] nlohmann::ordered_json* find_in(nlohmann::ordered_json& tree, const Path& path);
/// Tables and arrays on the way are made; an array grows by one element at most. Throws CannotEdit.
void set_in(nlohmann::ordered_json& tree, const Path& path, const nlohmann::ordered_json& value);
/// Throws CannotEdit when there is nothing.
void remove_in(nlohmann::ordered_json& tree, const Path& path);

/// A table of nothing says nothing: removing the last key of a dotted table removes it too. Keys sorted.
[[nodiscard]] nlohmann::json without_empty_tables(const nlohmann::ordered_json& tree);

} // namespace kerfwright::edits
