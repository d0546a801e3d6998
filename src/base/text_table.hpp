#pragma once
// Tables for a terminal: columns as wide as their longest cell, numbers to the right.

#include <string>
#include <vector>

namespace kerfwright {

struct TextTable {
    std::vector<std::string> head;
    std::vector<std::vector<std::string>> rows;
};

/// The table with one line per row and a rule under the head. Cells that read as numbers are set to the right.
/// Widths count UTF-8 characters, not bytes.
[[nodiscard]] std::string to_string(const TextTable& table);

} // namespace kerfwright
