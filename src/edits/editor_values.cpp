// Values in place: what is the same stays, with its comments.
#include "edits/editor.hpp"
#include "edits/write.hpp"

#include <algorithm>

namespace kerfwright::edits {

using Json = nlohmann::ordered_json;
using Form = TomlValue::Form;

void Editor::change_value(const TomlValue& old, const Json& was, const Json& now, std::vector<Patch>& patches) const {
    if (was == now) return;
    if (old.form == Form::array && now.is_array() && was.is_array() && was.size() == old.items.size())
        return change_array(old, was, now, patches);
    std::vector<Patch> inner;
    if (old.form == Form::table && now.is_object() && was.is_object() && change_inline(old, was, now, inner)) {
        patches.insert(patches.end(), inner.begin(), inner.end());
        return;
    }
    patches.push_back({old.span, toml_value(now)});
}

void Editor::change_array(const TomlValue& old, const Json& was, const Json& now, std::vector<Patch>& patches) const {
    const std::size_t both = std::min(was.size(), now.size());
    if (both == 0) {
        patches.push_back({old.span, toml_value(now)});
        return;
    }
    for (std::size_t i = 0; i < both; ++i)
        change_value(old.items[i], was[i], now[i], patches);
    if (now.size() < was.size()) patches.push_back({{old.items[both - 1].span.to, old.items.back().span.to}, ""});
    std::vector<std::string> more;
    for (std::size_t i = both; i < now.size(); ++i)
        more.push_back(toml_value(now[i]));
    add_items(old, more, patches);
}

/// Keys of an inline table one by one. False when dotted keys make that unclear: then it is written anew.
bool Editor::change_inline(const TomlValue& old, const Json& was, const Json& now, std::vector<Patch>& patches) const {
    if (now.empty() || old.entries.empty()) return false;
    std::size_t same = 0;
    for (const TomlEntry& entry : old.entries) {
        if (entry.key.size() != 1) return false;
        if (!now.contains(entry.key.front())) return false;
        change_value(entry.value, was.at(entry.key.front()), now.at(entry.key.front()), patches);
        ++same;
    }
    if (same != was.size()) return false;
    std::string more;
    for (const auto& [key, value] : now.items())
        if (!was.contains(key)) more += ", " + toml_key(key) + " = " + toml_value(value);
    if (!more.empty()) patches.push_back({{old.entries.back().span.to, old.entries.back().span.to}, more});
    return true;
}

/// New items behind the last one, each on its line where the last one has its own.
void Editor::add_items(const TomlValue& array, const std::vector<std::string>& items,
                       std::vector<Patch>& patches) const {
    if (items.empty()) return;
    const Span last = array.items.back().span;
    std::size_t begin = last.from;
    while (begin > 0 && (text_[begin - 1] == ' ' || text_[begin - 1] == '\t'))
        --begin;
    const bool own_line = begin > 0 && text_[begin - 1] == '\n' && begin > array.span.from;
    if (!own_line) {
        std::string more;
        for (const std::string& item : items)
            more += ", " + item;
        patches.push_back({{last.to, last.to}, more});
        return;
    }
    const std::string indent = text_.substr(begin, last.from - begin);
    std::size_t end = last.to;
    while (text_[end] == ' ' || text_[end] == '\t')
        ++end;
    const bool comma = text_[end] == ',';
    if (!comma) patches.push_back({{last.to, last.to}, ","});
    // Behind a comment on the last item's line, which stays with it.
    std::size_t line_end = comma ? end + 1 : last.to;
    while (text_[line_end] == ' ' || text_[line_end] == '\t')
        ++line_end;
    if (text_[line_end] == '#')
        line_end = std::min(text_.find_first_of("\r\n", line_end), text_.size());
    else
        line_end = comma ? end + 1 : last.to;
    std::string more;
    for (std::size_t i = 0; i < items.size(); ++i)
        more += newline() + indent + items[i] + (comma || i + 1 < items.size() ? "," : "");
    patches.push_back({{line_end, line_end}, more});
}

/// A comment behind the value keeps its column where it can.
void Editor::change_line(const TomlEntry& entry, const Json& was, const Json& now) {
    std::vector<Patch> patches;
    change_value(entry.value, was, now, patches);
    std::size_t comment = entry.span.to;
    while (comment < text_.size() && text_[comment] == ' ')
        ++comment;
    const bool one = patches.size() == 1 && patches.front().text.find('\n') == std::string::npos;
    if (one && comment < text_.size() && text_[comment] == '#' && comment > entry.span.to) {
        const Patch& patch = patches.front();
        const auto blanks = static_cast<std::ptrdiff_t>(comment - entry.span.to);
        const auto grown = static_cast<std::ptrdiff_t>(patch.text.size()) -
                           static_cast<std::ptrdiff_t>(patch.span.to - patch.span.from);
        const auto left = static_cast<std::size_t>(std::max<std::ptrdiff_t>(1, blanks - grown));
        patches.push_back({{entry.span.to, comment}, std::string(left, ' ')});
    }
    apply(std::move(patches));
}

} // namespace kerfwright::edits
