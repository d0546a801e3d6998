#pragma once
// Private to edits/: where everything stands in the text of a TOML file, to the byte. toml++ tells what a file says and
// where values begin; edits that keep comments also need line ends, commas and headers.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace kerfwright::edits {

using PathStep = std::variant<std::string, std::size_t>;
using Path = std::vector<PathStep>; ///< {"sheet", 2, "thickness"}

/// Bytes [from, to) of the text.
struct Span {
    std::size_t from = 0, to = 0;
};

struct TomlEntry;

struct TomlValue {
    enum class Form { scalar, array, table } form = Form::scalar; ///< table: an inline one
    Span span;
    std::vector<TomlValue> items;   ///< of an array
    std::vector<TomlEntry> entries; ///< of an inline table
};

/// `key = value`.
struct TomlEntry {
    std::vector<std::string> key; ///< more than one for a dotted key
    Span span;                    ///< from the key to the end of the value
    std::size_t equals = 0;       ///< where its '=' stands
    bool quoted = false;          ///< the key's last part
    Span lines;                   ///< whole lines with comment and line end; empty within an inline table
    TomlValue value;
};

/// The file's head, a `[table]`, or one element of an `[[array of tables]]`.
struct TomlSection {
    Path path; ///< with the numbers of the elements it lies in
    Span header;
    std::vector<TomlEntry> entries;
    std::size_t end = 0; ///< after the line of the last entry, or of the header
};

struct TomlText {
    std::vector<TomlSection> sections; ///< in the order of the text; the first is the file's head
};

/// REQUIRES: a text that toml++ takes; empty for (some) others. Never reads beyond the text, whatever it is.
[[nodiscard]] std::optional<TomlText> scan_toml(std::string_view text);

/// Does `path` begin with `head`?
[[nodiscard]] bool begins_with(const Path& path, const Path& head);
/// The entry's path from the root of the file.
[[nodiscard]] Path path_of(const TomlSection& section, const TomlEntry& entry);

} // namespace kerfwright::edits
