#pragma once
// Reads TOML tables key by key. Every fault carries its place; only the first one is kept, and after it all reads are
// no-ops, so that readers are plain lists of fields.

#include "base/quantity.hpp"
#include "shop/value.hpp"

#include <toml++/toml.h>

#include <array>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

/// What a number may be; both ends are allowed.
struct Range {
    double low = 0, high = 0;
};

enum class Need { required, optional };

/// State of reading one text.
struct TomlText {
    std::string file;
    std::string units = "mm"; ///< of bare lengths; feeds are in it per minute
    std::optional<Problem> problem;

    void fail(const toml::source_region& where, std::string what, std::string remedy);
};

class TomlTable {
  public:
    /// `what` names the table in messages, such as "material \"mdf\"".
    TomlTable(TomlText& text, const toml::table& table, std::string what)
        : text_(text), table_(table), what_(std::move(what)) {}
    void rename(std::string what) { what_ = std::move(what); }

    bool has(std::string_view key) const { return table_.contains(key); }
    void string(std::string_view key, std::string& out, Need need = Need::required);
    void strings(std::string_view key, std::vector<std::string>& out);
    void flag(std::string_view key, bool& out);
    void integer(std::string_view key, int& out, Range range, Need need = Need::optional);
    /// A number or a string with its unit.
    void number(std::string_view key, double& out, Range range, std::optional<Dimension> dimension = {},
                Need need = Need::optional);
    /// A bare number, or { value, low, high, sureness, source }. A bare one has no spread and counts as from memory.
    void sourced(std::string_view key, Sourced& out, Range range, std::optional<Dimension> dimension = {},
                 Need need = Need::required);
    void sourced(std::string_view key, std::optional<Sourced>& out, Range range,
                 std::optional<Dimension> dimension = {});
    /// One of `words`; `out` becomes its index cast to the enumeration.
    template <class Enum, std::size_t count>
    void choice(std::string_view key, Enum& out, const std::array<const char*, count>& words, Need need) {
        int index = static_cast<int>(out);
        choice_index(key, index, words.data(), count, need);
        out = static_cast<Enum>(index);
    }
    /// The table under `key`, or null.
    const toml::table* table(std::string_view key, Need need);
    /// The tables of the array under `key`, at most `most`.
    std::vector<const toml::table*> tables(std::string_view key, std::size_t most, Need need);
    /// Faults the first key that nobody has asked for. Call it last.
    void refuse_unknown_keys();
    void fail(std::string_view key, std::string what, std::string remedy);
    [[nodiscard]] TomlText& text() { return text_; }

  private:
    const toml::node* find(std::string_view key, Need need);
    void choice_index(std::string_view key, int& out, const char* const* words, std::size_t count, Need need);
    bool quantity(std::string_view key, const toml::node& node, double& out, Range range,
                  std::optional<Dimension> dimension);

    TomlText& text_;
    const toml::table& table_;
    std::string what_;
    std::set<std::string, std::less<>> known_;
};

/// Parses a text of a shop file, at most 4 MiB. Sets `text.problem` and gives an empty table on a fault.
[[nodiscard]] toml::table parse_toml(TomlText& text, std::string_view toml);

/// The tables under [[kind]] of a shop file; also reads `units` and refuses keys that no shop file has.
[[nodiscard]] std::vector<const toml::table*> shop_tables(TomlText& text, const toml::table& root,
                                                          std::string_view kind);

/// Faults a name that is empty, over long, or not made of letters, digits, '-', '.' and '_', or that `taken` has.
void check_name(TomlTable& table, const std::string& name, std::set<std::string>& taken);

} // namespace kerfwright::shop
