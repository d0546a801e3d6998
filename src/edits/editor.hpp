#pragma once
// Private to edits/: one text, changed in place edit by edit, and the same edits on its values.

#include "edits/scan.hpp"
#include "edits/tree.hpp"

namespace kerfwright::edits {

/// Replaces these bytes by that text.
struct Patch {
    Span span;
    std::string text;
};

/// Where a path leads in the text.
struct Place {
    const TomlSection* section = nullptr;
    const TomlEntry* entry = nullptr;  ///< the innermost `key = value` on the way
    const TomlValue* inside = nullptr; ///< the array or inline table that holds `value`; null on a line of its own
    std::size_t number = 0;            ///< of `value` or its entry in there
    const TomlValue* value = nullptr;  ///< the last value on the way
    Path rest;                         ///< what is left of the path there; empty: found
};

/// The value at the path, or the one nearest to it; no value at all when no line of the text begins the path.
[[nodiscard]] Place find(const TomlText& toml, const Path& path);

/// Throws CannotEdit and NoTomlValue.
class Editor {
  public:
    Editor(std::string text, nlohmann::ordered_json tree) : text_(std::move(text)), tree_(std::move(tree)) {}

    [[nodiscard]] const std::string& text() const { return text_; }
    [[nodiscard]] const nlohmann::ordered_json& tree() const { return tree_; }

    void set(const Path& path, const nlohmann::ordered_json& value);
    void remove(const Path& path);
    void append(const Path& path, const nlohmann::ordered_json& value);

  private:
    [[nodiscard]] std::string newline() const {
        const std::size_t first = text_.find('\n');
        return first != std::string::npos && first > 0 && text_[first - 1] == '\r' ? "\r\n" : "\n";
    }
    void scan();
    void apply(std::vector<Patch> patches);

    void change_value(const TomlValue& old, const nlohmann::ordered_json& was, const nlohmann::ordered_json& now,
                      std::vector<Patch>& patches) const;
    void change_array(const TomlValue& old, const nlohmann::ordered_json& was, const nlohmann::ordered_json& now,
                      std::vector<Patch>& patches) const;
    [[nodiscard]] bool change_inline(const TomlValue& old, const nlohmann::ordered_json& was,
                                     const nlohmann::ordered_json& now, std::vector<Patch>& patches) const;
    void change_line(const TomlEntry& entry, const nlohmann::ordered_json& was, const nlohmann::ordered_json& now);
    void change_table(const Path& path, const nlohmann::ordered_json& was, const nlohmann::ordered_json& now);
    void add(const Path& path, const nlohmann::ordered_json& value);
    void add_items(const TomlValue& array, const std::vector<std::string>& items, std::vector<Patch>& patches) const;
    void add_line(const TomlSection& section, const TomlEntry* after, std::vector<std::string> key,
                  const nlohmann::ordered_json& value);
    void add_section(const Path& name, bool element, const nlohmann::ordered_json& value);
    [[nodiscard]] Span span_of_item(const TomlValue& in, std::size_t number) const;
    [[nodiscard]] Span whole_lines(Span span) const;

    std::string text_;
    nlohmann::ordered_json tree_;
    TomlText toml_;
};

} // namespace kerfwright::edits
