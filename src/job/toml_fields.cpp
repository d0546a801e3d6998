#include "job/toml_fields.hpp"

#include <cmath>
#include <sstream>

namespace kerfwright::job {
namespace {

std::string shown(double value) {
    std::ostringstream out;
    out << value;
    return out.str();
}

} // namespace

Fields::Fields(const toml::table& table, std::string file, std::string name, std::string units)
    : table_(table), file_(std::move(file)), name_(std::move(name)), units_(std::move(units)) {}

void Fields::fail(const toml::node& at, const std::string& what, const std::string& remedy) const {
    const toml::source_region& where = at.source();
    throw FieldFault{{file_, static_cast<int>(where.begin.line), static_cast<int>(where.begin.column),
                      name_.empty() ? what : name_ + ": " + what, remedy}};
}

void Fields::fail(const std::string& what, const std::string& remedy) const {
    fail(table_, what, remedy);
}

bool Fields::has(const char* key) const {
    asked_.insert(key);
    return table_.contains(key);
}

const toml::node& Fields::node(const char* key) const {
    asked_.insert(key);
    const toml::node* found = table_.get(key);
    if (found == nullptr) fail("\"" + std::string(key) + "\" is missing", "add it");
    return *found;
}

double Fields::quantity(const char* key, Dimension dimension, double low, double high) const {
    const toml::node& found = node(key);
    const std::string what = "\"" + std::string(key) + "\"";
    double value = 0;
    if (const auto* number = found.as_floating_point())
        value = number->get();
    else if (const auto* whole = found.as_integer())
        value = static_cast<double>(whole->get());
    else if (const auto* written = found.as_string()) {
        const auto parsed = parse_quantity(written->get(), dimension, dimension == Dimension::length ? units_ : "");
        if (!parsed) fail(found, what + ": " + parsed.problem().what, parsed.problem().remedy);
        value = parsed.value();
    } else {
        fail(found, what + " is no quantity", "write a number, or a string with a unit such as \"6.35 mm\"");
    }
    if (!found.is_string() && dimension == Dimension::length) value *= length_unit(units_);
    if (!std::isfinite(value)) fail(found, what + " is not a finite number", "write a number");
    if (value < low || value > high)
        fail(found, what + " is " + shown(value) + ", but must lie between " + shown(low) + " and " + shown(high),
             "change it");
    return value;
}

double Fields::quantity_or(const char* key, Dimension dimension, double low, double high, double otherwise) const {
    return has(key) ? quantity(key, dimension, low, high) : otherwise;
}

double Fields::length(const toml::node& found, const std::string& what) const {
    constexpr double kLargest = 20'000; // mm; within the range of the plane grid
    double value = 0;
    if (const auto* number = found.as_floating_point())
        value = number->get() * length_unit(units_);
    else if (const auto* whole = found.as_integer())
        value = static_cast<double>(whole->get()) * length_unit(units_);
    else if (const auto* written = found.as_string()) {
        const auto parsed = parse_quantity(written->get(), Dimension::length, units_);
        if (!parsed) fail(found, what + ": " + parsed.problem().what, parsed.problem().remedy);
        value = parsed.value();
    } else {
        fail(found, what + " is no length", "write a number, or a string with a unit such as \"6.35 mm\"");
    }
    if (!(std::abs(value) <= kLargest)) fail(found, what + " is not a length within ±20 m", "change it");
    return value;
}

std::pair<double, double> Fields::pair(const toml::node& found, const std::string& what) const {
    const toml::array* both = found.as_array();
    if (both == nullptr || both->size() != 2) fail(found, what + " is not a pair of lengths", "write [x, y]");
    return {length(*both->get(0), what), length(*both->get(1), what)};
}

std::string Fields::text(const char* key) const {
    const toml::node& found = node(key);
    const auto* written = found.as_string();
    if (written == nullptr) fail(found, "\"" + std::string(key) + "\" is no text", "put it into quotes");
    return written->get();
}

std::string Fields::text_or(const char* key, const std::string& otherwise) const {
    return has(key) ? text(key) : otherwise;
}

std::vector<std::string> Fields::texts(const char* key) const {
    std::vector<std::string> all;
    for (const toml::node& item : array(key)) {
        const auto* written = item.as_string();
        if (written == nullptr)
            fail(item, "\"" + std::string(key) + "\" holds something that is no text", "put each into quotes");
        all.push_back(written->get());
    }
    return all;
}

const toml::array& Fields::array(const char* key) const {
    const toml::node& found = node(key);
    const toml::array* list = found.as_array();
    if (list == nullptr) fail(found, "\"" + std::string(key) + "\" is no list", "write [ ... ]");
    return *list;
}

Fields Fields::table(const char* key) const {
    return table(node(key), "[" + std::string(key) + "]");
}

Fields Fields::table(const toml::node& found, const std::string& name) const {
    const toml::table* inner = found.as_table();
    if (inner == nullptr) fail(found, name + " is no table", "write " + name + " and its keys under it");
    return {*inner, file_, name, units_};
}

void Fields::finish() const {
    for (const auto& [key, value] : table_) {
        if (asked_.contains(std::string_view(key.str()))) continue;
        std::string known;
        for (const std::string& name : asked_)
            known += (known.empty() ? "" : ", ") + name;
        const toml::source_region& where = key.source();
        throw FieldFault{{file_, static_cast<int>(where.begin.line), static_cast<int>(where.begin.column),
                          (name_.empty() ? "" : name_ + ": ") + "\"" + std::string(key.str()) + "\" is not a key here",
                          "keys here are " + known}};
    }
}

} // namespace kerfwright::job
