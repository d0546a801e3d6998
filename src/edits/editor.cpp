#include "edits/editor.hpp"

#include <algorithm>

namespace kerfwright::edits {
namespace {

using Json = nlohmann::ordered_json;
using Form = TomlValue::Form;

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

} // namespace

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

void Editor::scan() {
    auto scanned = scan_toml(text_);
    if (!scanned) throw CannotEdit{"the text cannot be followed to its end", "change the text itself"};
    toml_ = std::move(*scanned);
}

void Editor::apply(std::vector<Patch> patches) {
    text_ = patched(text_, std::move(patches));
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

} // namespace kerfwright::edits
