#include "shop/toml_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::shop {
namespace {

constexpr std::size_t kLongestText = 4u << 20;
constexpr std::size_t kLongestString = 2000;
constexpr std::size_t kMostTables = 5000;

constexpr std::array kSureness = {"published", "derived", "common practice", "from memory", "measured"};

std::string shown(double value) {
    return fmt::format("{:g}", value);
}

std::string list_of(const char* const* words, std::size_t count) {
    std::string all;
    for (std::size_t i = 0; i < count; ++i)
        all += fmt::format("{}\"{}\"", i == 0 ? "" : ", ", words[i]);
    return all;
}

/// Bare lengths and feeds are in the file's unit, everything else in the inside unit.
std::string bare_unit(std::optional<Dimension> dimension, const std::string& units) {
    if (dimension == Dimension::length) return units;
    if (dimension == Dimension::feed) return units + "/min";
    return "";
}

} // namespace

void TomlText::fail(const toml::source_region& where, std::string what, std::string remedy) {
    if (problem) return;
    problem = Problem{file, static_cast<int>(where.begin.line), static_cast<int>(where.begin.column), std::move(what),
                      std::move(remedy)};
}

void TomlTable::fail(std::string_view key, std::string what, std::string remedy) {
    const toml::node* node = table_.get(key);
    text_.fail(node ? node->source() : table_.source(), what_ + ": " + std::move(what), std::move(remedy));
}

const toml::node* TomlTable::find(std::string_view key, Need need) {
    known_.emplace(key);
    if (text_.problem) return nullptr;
    const toml::node* node = table_.get(key);
    if (!node && need == Need::required)
        fail(key, fmt::format("\"{}\" is missing", key), fmt::format("add a line {} = ...", key));
    return node;
}

void TomlTable::string(std::string_view key, std::string& out, Need need) {
    const toml::node* node = find(key, need);
    if (!node) return;
    const auto value = node->value_exact<std::string>();
    if (!value) return fail(key, fmt::format("\"{}\" is not a text", key), "put it in quotes");
    if (value->size() > kLongestString)
        return fail(key, fmt::format("\"{}\" is too long", key), fmt::format("use at most {} bytes", kLongestString));
    out = *value;
}

void TomlTable::strings(std::string_view key, std::vector<std::string>& out) {
    const toml::node* node = find(key, Need::optional);
    if (!node) return;
    const toml::array* array = node->as_array();
    const std::string remedy = fmt::format("write {} = [\"...\", \"...\"]", key);
    if (!array || array->size() > kMostTables)
        return fail(key, fmt::format("\"{}\" is not a list of texts", key), remedy);
    out.clear();
    for (const toml::node& item : *array) {
        const auto value = item.value_exact<std::string>();
        if (!value || value->size() > kLongestString)
            return text_.fail(item.source(), fmt::format("{}: \"{}\" holds something that is no text", what_, key),
                              remedy);
        out.push_back(*value);
    }
}

void TomlTable::flag(std::string_view key, bool& out) {
    const toml::node* node = find(key, Need::optional);
    if (!node) return;
    const auto value = node->value_exact<bool>();
    if (!value)
        return fail(key, fmt::format("\"{}\" is neither true nor false", key), "write true or false, without quotes");
    out = *value;
}

void TomlTable::integer(std::string_view key, int& out, Range range, Need need) {
    const toml::node* node = find(key, need);
    if (!node) return;
    const auto value = node->value_exact<std::int64_t>();
    if (!value || static_cast<double>(*value) < range.low || static_cast<double>(*value) > range.high)
        return fail(key,
                    fmt::format("\"{}\" is not a whole number from {} to {}", key, shown(range.low), shown(range.high)),
                    "correct it");
    out = static_cast<int>(*value);
}

bool TomlTable::quantity(std::string_view key, const toml::node& node, double& out, Range range,
                         std::optional<Dimension> dimension) {
    if (text_.problem) return false;
    const auto fault = [&](const std::string& what, const std::string& remedy) {
        text_.fail(node.source(), fmt::format("{}: \"{}\" {}", what_, key, what), remedy);
        return false;
    };
    double value = 0;
    if (const auto text = node.value_exact<std::string>()) {
        if (!dimension || text->size() > kLongestString)
            return fault("is a text where a number belongs", "write the number without quotes");
        const auto read = parse_quantity(*text, *dimension, bare_unit(dimension, text_.units));
        if (!read.ok()) return fault("cannot be read: " + read.problem().what, read.problem().remedy);
        value = read.value();
    } else if (const auto number = node.value<double>(); number && node.is_number()) {
        value = *number;
        if (dimension == Dimension::length || dimension == Dimension::feed) value *= length_unit(text_.units);
    } else {
        return fault("is not a number", dimension ? "write a number, or a text with its unit" : "write a number");
    }
    if (!std::isfinite(value) || value < range.low || value > range.high)
        return fault(fmt::format("is {}, outside {} to {}", shown(value), shown(range.low), shown(range.high)),
                     "correct the number or its unit");
    out = value;
    return true;
}

void TomlTable::number(std::string_view key, double& out, Range range, std::optional<Dimension> dimension, Need need) {
    if (const toml::node* node = find(key, need)) quantity(key, *node, out, range, dimension);
}

void TomlTable::sourced(std::string_view key, Sourced& out, Range range, std::optional<Dimension> dimension,
                        Need need) {
    const toml::node* node = find(key, need);
    if (!node) return;
    const toml::table* parts = node->as_table();
    if (!parts) {
        double value = 0;
        if (!quantity(key, *node, value, range, dimension)) return;
        out = Sourced{value, value, value, Sureness::from_memory, "given without a source"};
        return;
    }
    TomlTable inner(text_, *parts, fmt::format("{}, {}", what_, key));
    Sourced read;
    inner.number("value", read.value, range, dimension, Need::required);
    read.low = read.high = read.value;
    inner.number("low", read.low, range, dimension);
    inner.number("high", read.high, range, dimension);
    inner.choice("sureness", read.sureness, kSureness, Need::required);
    inner.string("source", read.source,
                 read.sureness == Sureness::published || read.sureness == Sureness::derived ? Need::required
                                                                                            : Need::optional);
    inner.refuse_unknown_keys();
    if (!text_.problem && !(read.low <= read.value && read.value <= read.high))
        fail(key,
             fmt::format("\"{}\" has value {} outside its spread {} to {}", key, shown(read.value), shown(read.low),
                         shown(read.high)),
             "keep low <= value <= high");
    if (!text_.problem) out = read;
}

void TomlTable::sourced(std::string_view key, std::optional<Sourced>& out, Range range,
                        std::optional<Dimension> dimension) {
    if (!has(key)) {
        known_.emplace(key);
        return;
    }
    Sourced read;
    sourced(key, read, range, dimension, Need::required);
    if (!text_.problem) out = read;
}

void TomlTable::choice_index(std::string_view key, int& out, const char* const* words, std::size_t count, Need need) {
    const toml::node* node = find(key, need);
    if (!node) return;
    const auto value = node->value_exact<std::string>();
    for (std::size_t i = 0; value && i < count; ++i)
        if (*value == words[i]) {
            out = static_cast<int>(i);
            return;
        }
    fail(key, fmt::format("\"{}\" is {}", key, value ? "\"" + value->substr(0, 40) + "\"" : "not a text"),
         "use one of " + list_of(words, count));
}

const toml::table* TomlTable::table(std::string_view key, Need need) {
    const toml::node* node = find(key, need);
    if (!node) return nullptr;
    if (!node->is_table())
        fail(key, fmt::format("\"{}\" is not a table", key), fmt::format("write {} = {{ ... }}", key));
    return node->as_table();
}

std::vector<const toml::table*> TomlTable::tables(std::string_view key, std::size_t most, Need need) {
    std::vector<const toml::table*> found;
    const toml::node* node = find(key, need);
    if (!node) return found;
    const toml::array* array = node->as_array();
    if (!array || array->size() > most) {
        fail(key, fmt::format("\"{}\" is not a list of at most {} tables", key, most), "write each as a table");
        return found;
    }
    for (const toml::node& item : *array) {
        if (!item.is_table()) {
            text_.fail(item.source(), fmt::format("{}: \"{}\" holds something that is no table", what_, key),
                       "write each as a table");
            return {};
        }
        found.push_back(item.as_table());
    }
    return found;
}

void TomlTable::refuse_unknown_keys() {
    if (text_.problem) return;
    const toml::key* first = nullptr;
    for (const auto& [key, node] : table_) {
        const bool earlier = !first || key.source().begin.line < first->source().begin.line ||
                             (key.source().begin.line == first->source().begin.line &&
                              key.source().begin.column < first->source().begin.column);
        if (!known_.contains(key.str()) && earlier) first = &key;
    }
    if (!first) return;
    std::string names;
    for (const std::string& name : known_)
        names += (names.empty() ? "" : ", ") + name;
    text_.fail(first->source(), fmt::format("{}: unknown key \"{}\"", what_, first->str().substr(0, 60)),
               "remove it or use one of: " + names);
}

toml::table parse_toml(TomlText& text, std::string_view toml) {
    if (toml.size() > kLongestText) {
        text.problem = Problem{text.file, 0, 0, "the file is larger than 4 MiB", "keep a shop file small"};
        return {};
    }
    try {
        return toml::parse(toml);
    } catch (const toml::parse_error& error) {
        text.fail(error.source(), std::string(error.description()), "correct the TOML there");
        return {};
    }
}

std::vector<const toml::table*> shop_tables(TomlText& text, const toml::table& root, std::string_view kind) {
    if (text.problem) return {};
    TomlTable top(text, root, "shop file");
    int format = 1;
    top.integer("format", format, {1, 1});
    top.string("units", text.units, Need::optional);
    if (length_unit(text.units) == 0) {
        top.fail("units", "\"units\" is no unit of length", "write units = \"mm\" or \"in\"");
        return {};
    }
    for (const char* other : {"material", "cutter", "machine"})
        if (kind != other) (void)top.tables(other, kMostTables, Need::optional);
    if (!top.has(kind)) {
        top.refuse_unknown_keys();
        text.fail(root.source(), fmt::format("there is no [[{}]] in this file", kind),
                  fmt::format("add a [[{}]] table, or name another file", kind));
        return {};
    }
    auto found = top.tables(kind, kMostTables, Need::required);
    top.refuse_unknown_keys();
    return text.problem ? std::vector<const toml::table*>{} : found;
}

void check_name(TomlTable& table, const std::string& name, std::set<std::string>& taken) {
    if (table.text().problem) return;
    const auto plain = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.' ||
               c == '_';
    };
    if (name.empty() || name.size() > 60 || !std::all_of(name.begin(), name.end(), plain))
        return table.fail("name", "\"name\" is empty, too long, or has other signs than letters, digits, - . _",
                          "use a short plain name such as \"flat-6\"");
    if (!taken.insert(name).second)
        table.fail("name", fmt::format("the name \"{}\" is given twice", name), "give each its own name");
}

} // namespace kerfwright::shop
