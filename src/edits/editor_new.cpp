// New keys, tables and elements of arrays, written as their neighbours are.
#include "edits/editor.hpp"
#include "edits/write.hpp"

#include <algorithm>

namespace kerfwright::edits {
namespace {

using Json = nlohmann::ordered_json;

const TomlSection* section_at(const TomlText& toml, const Path& path) {
    for (const TomlSection& section : toml.sections)
        if (section.path == path) return &section;
    return nullptr;
}

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

} // namespace

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

} // namespace kerfwright::edits
