#include "job/edits.hpp"

#include "job/edit_tree.hpp"
#include "job/toml_scan.hpp"
#include "job/toml_write.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

using Json = nlohmann::ordered_json;
using Form = TomlValue::Form;

/// Replaces these bytes by that text.
struct Patch {
    Span span;
    std::string text;
};

std::string patched(const std::string& text, std::vector<Patch> patches) {
    std::stable_sort(patches.begin(), patches.end(), [](const Patch& a, const Patch& b) {
        return a.span.from != b.span.from ? a.span.from < b.span.from : a.span.to < b.span.to;
    });
    std::string out;
    std::size_t at = 0;
    for (const Patch& patch : patches) {
        if (patch.span.from < at) throw CannotEdit{"two parts of the edit meet in one place", "make them one by one"};
        out.append(text, at, patch.span.from - at).append(patch.text);
        at = patch.span.to;
    }
    return out.append(text, at, std::string::npos);
}

/// Where a path leads in the text.
struct Place {
    const TomlSection* section = nullptr;
    const TomlEntry* entry = nullptr;  ///< the innermost `key = value` on the way
    const TomlValue* inside = nullptr; ///< the array or inline table that holds `value`; null on a line of its own
    std::size_t number = 0;            ///< of `value` or its entry in there
    const TomlValue* value = nullptr;  ///< the last value on the way
    Path rest;                         ///< what is left of the path there; empty: found
};

void descend(Place& place) {
    while (!place.rest.empty()) {
        const TomlValue& value = *place.value;
        bool found = false;
        if (const std::size_t* number = number_of(place.rest.front())) {
            if (value.form != Form::array || *number >= value.items.size()) return;
            place.inside = &value;
            place.number = *number;
            place.value = &value.items[*number];
            place.rest.erase(place.rest.begin());
            continue;
        }
        for (std::size_t i = 0; i < value.entries.size() && !found; ++i) {
            const TomlEntry& entry = value.entries[i];
            if (!begins_with(place.rest, Path(entry.key.begin(), entry.key.end()))) continue;
            place.inside = &value;
            place.number = i;
            place.entry = &entry;
            place.value = &entry.value;
            place.rest = from(place.rest, entry.key.size());
            found = true;
        }
        if (!found) return;
    }
}

/// The value at the path, or the one nearest to it; no value at all when no line of the text begins the path.
Place find(const TomlText& toml, const Path& path) {
    for (const TomlSection& section : toml.sections) {
        if (!begins_with(path, section.path)) continue;
        for (const TomlEntry& entry : section.entries) {
            const Path full = path_of(section, entry);
            if (!begins_with(path, full)) continue;
            Place place{&section, &entry, nullptr, 0, &entry.value, from(path, full.size())};
            descend(place);
            return place;
        }
    }
    return {};
}

const TomlSection* section_at(const TomlText& toml, const Path& path) {
    for (const TomlSection& section : toml.sections)
        if (section.path == path) return &section;
    return nullptr;
}

/// One edit of one text.
class Editor {
  public:
    Editor(std::string text, Json tree) : text_(std::move(text)), tree_(std::move(tree)) {}

    [[nodiscard]] const std::string& text() const { return text_; }
    [[nodiscard]] const Json& tree() const { return tree_; }

    void set(const Path& path, const Json& value);
    void remove(const Path& path);
    void append(const Path& path, const Json& value);

  private:
    [[nodiscard]] std::string newline() const {
        const std::size_t first = text_.find('\n');
        return first != std::string::npos && first > 0 && text_[first - 1] == '\r' ? "\r\n" : "\n";
    }
    void scan();
    void apply(std::vector<Patch> patches) { text_ = patched(text_, std::move(patches)); }

    void change_value(const TomlValue& old, const Json& was, const Json& now, std::vector<Patch>& patches) const;
    void change_array(const TomlValue& old, const Json& was, const Json& now, std::vector<Patch>& patches) const;
    [[nodiscard]] bool change_inline(const TomlValue& old, const Json& was, const Json& now,
                                     std::vector<Patch>& patches) const;
    void change_line(const TomlEntry& entry, const Json& was, const Json& now);
    void change_table(const Path& path, const Json& was, const Json& now);
    void add(const Path& path, const Json& value);
    void add_items(const TomlValue& array, const std::vector<std::string>& items, std::vector<Patch>& patches) const;
    void add_line(const TomlSection& section, const TomlEntry* after, std::vector<std::string> key, const Json& value);
    void add_section(const Path& name, bool element, const Json& value);
    [[nodiscard]] Span span_of_item(const TomlValue& in, std::size_t number) const;
    [[nodiscard]] Span whole_lines(Span span) const;

    std::string text_;
    Json tree_;
    TomlText toml_;
};

void Editor::scan() {
    auto scanned = scan_toml(text_);
    if (!scanned) throw CannotEdit{"the text cannot be followed to its end", "change the text itself"};
    toml_ = std::move(*scanned);
}

// ---- Values in place -----------------------------------------------------------------------------------------------

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

/// A table made of lines and headers, or an array of such tables: what differs, one by one.
void Editor::change_table(const Path& path, const Json& was, const Json& now) {
    if (was.is_object() && now.is_object()) {
        for (const auto& [key, value] : was.items())
            if (!now.contains(key)) remove(with(path, key));
        for (const auto& [key, value] : now.items())
            if (!was.contains(key) || was.at(key) != value) set(with(path, key), value);
        return;
    }
    const bool tables =
        now.is_array() && std::all_of(now.begin(), now.end(), [](const Json& v) { return v.is_object(); });
    if (!was.is_array() || !tables)
        throw CannotEdit{shown(path) + " is a table and cannot become a plain value", "remove it first"};
    for (std::size_t i = was.size(); i > now.size(); --i)
        remove(with(path, i - 1));
    for (std::size_t i = 0; i < now.size(); ++i)
        i < was.size() ? set(with(path, i), now[i]) : append(path, now[i]);
}

void Editor::set(const Path& path, const Json& value) {
    if (path.empty()) nowhere(path);
    scan();
    Json* found = find_in(tree_, path);
    if (found == nullptr) {
        add(path, value);
        set_in(tree_, path, value);
        return;
    }
    const Place place = find(toml_, path);
    if (place.value != nullptr && place.rest.empty() && place.inside == nullptr) {
        change_line(*place.entry, *found, value);
    } else if (place.value != nullptr && place.rest.empty()) {
        std::vector<Patch> patches;
        change_value(*place.value, *found, value, patches);
        apply(std::move(patches));
    } else {
        change_table(path, Json(*found), value); // a copy: the tree changes under it
    }
    set_in(tree_, path, value);
}

// ---- New keys and tables -------------------------------------------------------------------------------------------

/// `rest` = value, as tables within each other.
Json nested(const Path& rest, Json value) {
    for (auto step = rest.rbegin(); step != rest.rend(); ++step) {
        const std::string* key = key_of(*step);
        if (key == nullptr) nowhere(rest);
        value = Json{{*key, std::move(value)}};
    }
    return value;
}

bool all_tables(const Json& value) {
    return value.is_array() && !value.empty() &&
           std::all_of(value.begin(), value.end(), [](const Json& v) { return v.is_object(); });
}

void Editor::add(const Path& path, const Json& value) {
    // Into a value that is there.
    const Place place = find(toml_, path);
    if (place.value != nullptr) {
        Json& holder = *find_in(tree_, up_to(path, path.size() - place.rest.size()));
        Json now = holder;
        set_in(now, place.rest, value);
        std::vector<Patch> patches;
        change_value(*place.value, holder, now, patches);
        return apply(std::move(patches));
    }
    // Into the deepest table that is there, the rest as tables within it.
    std::size_t depth = path.size() - 1;
    while (depth > 0 && find_in(tree_, up_to(path, depth)) == nullptr)
        --depth;
    const Path table = up_to(path, depth);
    const std::string* key = key_of(path[depth]);
    if (key == nullptr) {
        // One more element of an array of tables.
        const Json* array = find_in(tree_, table);
        if (depth + 1 != path.size() || array == nullptr || !array->is_array()) nowhere(path);
        return append(table, value);
    }
    const Json inner = nested(from(path, depth + 1), value);
    if (table.empty() && inner.is_object()) return add_section(with(table, *key), false, inner);
    if (table.empty() && all_tables(inner)) {
        for (const Json& element : inner)
            add_section(with(table, *key), true, element);
        return;
    }
    if (const TomlSection* section = section_at(toml_, table))
        return add_line(*section, section->entries.empty() ? nullptr : &section->entries.back(), {*key}, inner);
    // The table stands in dotted keys: behind the last of them.
    for (auto section = toml_.sections.rbegin(); section != toml_.sections.rend(); ++section) {
        if (section->path.size() >= depth) continue;
        for (auto entry = section->entries.rbegin(); entry != section->entries.rend(); ++entry) {
            if (!begins_with(path_of(*section, *entry), table)) continue;
            std::vector<std::string> dotted(
                entry->key.begin(), entry->key.begin() + static_cast<std::ptrdiff_t>(depth - section->path.size()));
            dotted.push_back(*key);
            return add_line(*section, &*entry, std::move(dotted), inner);
        }
    }
    add_section(table, false, Json{{*key, inner}}); // it stands in headers of tables within it only
}

/// A line behind `after`, or the first of its section, written as that one is.
void Editor::add_line(const TomlSection& section, const TomlEntry* after, std::vector<std::string> key,
                      const Json& value) {
    std::string name;
    for (const std::string& part : key)
        name += (name.empty() ? "" : ".") + toml_key(part, after != nullptr && after->quoted);
    std::string indent;
    if (after != nullptr) {
        indent = text_.substr(after->lines.from, after->span.from - after->lines.from);
        const std::size_t width = after->equals - after->span.from;
        if (width > name.size() + 1) name.append(width - name.size() - 1, ' ');
    }
    const std::size_t at = after != nullptr ? after->lines.to : section.header.to;
    const bool open = at > 0 && text_[at - 1] != '\n' && at != section.header.from;
    const std::string line = indent + name + " = " + toml_value(value);
    apply({{{at, at}, open ? newline() + line : line + newline()}});
}

/// A table behind all others of its array, else at the end of the file.
void Editor::add_section(const Path& name, bool element, const Json& value) {
    std::size_t at = text_.size();
    const TomlSection* like = nullptr;
    if (element)
        for (const TomlSection& section : toml_.sections)
            if (begins_with(section.path, name)) {
                at = section.end;
                if (section.path.size() == name.size() + 1) like = &section;
            }
    std::size_t width = 0; // of the keys
    for (const auto& [key, unused] : value.items())
        width = std::max(width, toml_key(key).size());
    if (like != nullptr && !like->entries.empty()) {
        const TomlEntry& first = like->entries.front();
        width = std::max(width, first.equals - first.span.from - 1);
    }
    std::string header;
    for (const PathStep& step : name) {
        const std::string* key = key_of(step);
        if (key == nullptr) continue; // the header means the latest element by itself
        header += (header.empty() ? "" : ".") + toml_key(*key);
    }
    const std::string end = newline();
    std::string lines;
    if (at > 0 && text_[at - 1] != '\n') lines += end;
    if (at > 0) lines += end;
    lines += (element ? "[[" + header + "]]" : "[" + header + "]") + end;
    for (const auto& [key, item] : value.items()) {
        std::string padded = toml_key(key);
        padded.append(width - std::min(width, padded.size()), ' ');
        lines += padded + " = " + toml_value(item) + end;
    }
    apply({{{at, at}, lines}});
    scan();
}

void Editor::append(const Path& path, const Json& value) {
    if (path.empty() || !value.is_object()) nowhere(path);
    scan();
    Json* array = find_in(tree_, path);
    if (array != nullptr && !array->is_array()) nowhere(path);
    const Place place = find(toml_, path);
    if (place.value != nullptr && place.rest.empty()) {
        Json now = *array;
        now.push_back(value);
        std::vector<Patch> patches;
        change_value(*place.value, *array, now, patches);
        apply(std::move(patches));
    } else {
        // Within elements of another array the header would mean the last of them.
        if (std::any_of(path.begin(), path.end(), [](const PathStep& s) { return number_of(s) != nullptr; }))
            nowhere(path);
        add_section(path, true, value);
    }
    const std::size_t number = array != nullptr ? array->size() : 0;
    set_in(tree_, with(path, number), value);
}

// ---- Away with it --------------------------------------------------------------------------------------------------

/// The lines a span lies on, when nothing else but blanks, a comma and a comment stands there; else nothing.
Span Editor::whole_lines(Span span) const {
    Span lines = span;
    while (lines.from > 0 && (text_[lines.from - 1] == ' ' || text_[lines.from - 1] == '\t'))
        --lines.from;
    if (lines.from == 0 || text_[lines.from - 1] != '\n') return {};
    const auto blanks = [&] {
        while (lines.to < text_.size() && (text_[lines.to] == ' ' || text_[lines.to] == '\t'))
            ++lines.to;
    };
    blanks();
    if (lines.to < text_.size() && text_[lines.to] == ',') ++lines.to;
    blanks();
    if (lines.to < text_.size() && text_[lines.to] == '#')
        while (lines.to < text_.size() && text_[lines.to] != '\n')
            ++lines.to;
    if (lines.to < text_.size() && text_[lines.to] == '\r') ++lines.to;
    if (lines.to >= text_.size() || text_[lines.to] != '\n') return {};
    ++lines.to;
    return lines;
}

/// What goes with an item of an array or an entry of an inline table: its comma, or its whole line.
Span Editor::span_of_item(const TomlValue& in, std::size_t number) const {
    std::vector<Span> spans;
    for (const TomlValue& item : in.items)
        spans.push_back(item.span);
    for (const TomlEntry& entry : in.entries)
        spans.push_back(entry.span);
    const Span span = spans[number];
    if (in.form == Form::array)
        if (const Span lines = whole_lines(span); lines.to > 0) return lines;
    if (number + 1 < spans.size()) return {span.from, spans[number + 1].from};
    if (number > 0) return {spans[number - 1].to, span.to};
    std::size_t comma = span.to;
    while (text_[comma] == ' ' || text_[comma] == '\t')
        ++comma;
    return {span.from, text_[comma] == ',' ? comma + 1 : span.to};
}

void Editor::remove(const Path& path) {
    if (path.empty()) nowhere(path);
    scan();
    if (find_in(tree_, path) == nullptr) nowhere(path);
    std::vector<Patch> patches;
    const Place place = find(toml_, path);
    if (place.value != nullptr && place.rest.empty() && place.inside != nullptr) {
        patches.push_back({span_of_item(*place.inside, place.number), ""});
    } else if (place.value != nullptr && place.rest.empty()) {
        patches.push_back({place.entry->lines, ""});
    } else if (place.value != nullptr) {
        // A table in dotted keys of an inline table.
        Json& holder = *find_in(tree_, up_to(path, path.size() - place.rest.size()));
        Json now = holder;
        remove_in(now, place.rest);
        change_value(*place.value, holder, now, patches);
    } else {
        for (const TomlSection& section : toml_.sections) {
            if (begins_with(section.path, path) && !section.path.empty()) {
                Span span{section.header.from, section.end};
                // With one blank line before it, so that none gather.
                const std::string end = newline();
                const std::size_t two = 2 * end.size();
                if (span.from >= two && text_.compare(span.from - two, two, end + end) == 0) span.from -= end.size();
                patches.push_back({span, ""});
                continue;
            }
            for (const TomlEntry& entry : section.entries)
                if (begins_with(path_of(section, entry), path)) patches.push_back({entry.lines, ""});
        }
    }
    apply(std::move(patches));
    remove_in(tree_, path);
}

void make(Editor& editor, const Edit& edit) {
    switch (edit.kind) {
    case Edit::Kind::set:
        return editor.set(edit.path, edit.value);
    case Edit::Kind::remove:
        return editor.remove(edit.path);
    case Edit::Kind::append:
        return editor.append(edit.path, edit.value);
    }
}

} // namespace

Result<std::string> edit_toml(std::string_view text, const std::string& file, const std::vector<Edit>& edits) {
    const auto problem = [&](std::string what, std::string remedy) {
        return Problem{file, 0, 0, std::move(what), std::move(remedy)};
    };
    try {
        Editor editor{std::string(text), tree_of(toml::parse(text, std::string_view(file)))};
        for (const Edit& edit : edits)
            make(editor, edit);
        const toml::table result = toml::parse(std::string_view(editor.text()));
        if (without_empty_tables(tree_of(result)) != without_empty_tables(editor.tree()))
            return problem("the edit would change more than was asked; nothing was written", "change the text itself");
        return editor.text();
    } catch (const toml::parse_error& error) {
        const toml::source_position& at = error.source().begin;
        return Problem{file, static_cast<int>(at.line), static_cast<int>(at.column), std::string(error.description()),
                       "mend the TOML there"};
    } catch (const CannotEdit& cannot) {
        return problem(cannot.what, cannot.remedy);
    } catch (const NoTomlValue& no_value) {
        return problem("a value cannot be written: " + no_value.what, "send another value");
    }
}

Json toml_values(std::string_view text) {
    try {
        return tree_of(toml::parse(text));
    } catch (const toml::parse_error&) {
        return nullptr;
    }
}

} // namespace kerfwright::job
