#pragma once
// Changes of a TOML file by path: the file keeps its comments, its order, its line ends and everything else that was
// not asked to change.

#include "base/result.hpp"

#include <nlohmann/json.hpp>

#include <cstddef>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace kerfwright::edits {

/// One change. Values are JSON as TOML has them: no null, whole numbers of 64 bits, finite numbers.
struct Edit { // NOLINT(bugprone-exception-escape): the JSON library's moves are not marked noexcept
    enum class Kind {
        set,    ///< the value at `path` becomes `value`; a key that is missing is made, tables on the way too
        remove, ///< what is at `path`, and its lines
        append  ///< a new `[[path]]` table behind the others
    } kind = Kind::set;
    std::vector<std::variant<std::string, std::size_t>> path; ///< keys, and numbers (from 0) within arrays
    nlohmann::ordered_json value;
};

/// The text with all edits made, one after the other. The result is read again and compared with what was asked, so
/// that an edit never does anything else. Fails on a text that is no TOML, on a path that leads nowhere, on a value
/// that TOML does not have.
[[nodiscard]] Result<std::string> edit_toml(std::string_view text, const std::string& file,
                                            const std::vector<Edit>& edits);

/// The text's values; null when it is no TOML. Dates, and numbers that are not finite, become texts.
[[nodiscard]] nlohmann::ordered_json toml_values(std::string_view text);

} // namespace kerfwright::edits
