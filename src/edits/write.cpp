#include "edits/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

namespace kerfwright::edits {
namespace {

using Json = nlohmann::ordered_json;

std::string toml_number(double value) {
    if (!std::isfinite(value)) throw NoTomlValue{"a number is not finite"};
    std::string text = fmt::format("{}", value); // the shortest that reads back the same
    if (text.find_first_of(".e") == std::string::npos) text += ".0";
    return text;
}

bool is_bare(const std::string& key) {
    return !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
    });
}

} // namespace

std::string toml_string(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            (out += '\\') += c;
        else if (c == '\n')
            out += "\\n";
        else if (c == '\t')
            out += "\\t";
        else if (byte < 0x20 || byte == 0x7f)
            out += fmt::format("\\u{:04X}", byte);
        else
            out += c;
    }
    return out + '"';
}

std::string toml_key(const std::string& key, bool quoted) {
    return quoted || !is_bare(key) ? toml_string(key) : key;
}

std::string toml_value(const Json& value) {
    switch (value.type()) {
    case Json::value_t::string:
        return toml_string(value.get_ref<const std::string&>());
    case Json::value_t::boolean:
        return value.get<bool>() ? "true" : "false";
    case Json::value_t::number_integer:
        return std::to_string(value.get<std::int64_t>());
    case Json::value_t::number_unsigned: {
        const auto whole = value.get<std::uint64_t>();
        if (whole > static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max()))
            throw NoTomlValue{"a whole number has more than 64 bits"};
        return std::to_string(whole);
    }
    case Json::value_t::number_float:
        return toml_number(value.get<double>());
    case Json::value_t::array: {
        std::string out = "[";
        for (const Json& item : value)
            out += (out.size() > 1 ? ", " : "") + toml_value(item);
        return out + "]";
    }
    case Json::value_t::object: {
        if (value.empty()) return "{}";
        std::string out;
        for (const auto& [key, item] : value.items())
            out += (out.empty() ? "{ " : ", ") + toml_key(key) + " = " + toml_value(item);
        return out + " }";
    }
    default:
        throw NoTomlValue{"TOML has no null"};
    }
}

Json tree_of(const toml::node& node) {
    if (const auto* table = node.as_table()) {
        Json json = Json::object();
        for (const auto& [key, value] : *table)
            json[std::string(key.str())] = tree_of(value);
        return json;
    }
    if (const auto* array = node.as_array()) {
        Json json = Json::array();
        for (const toml::node& item : *array)
            json.push_back(tree_of(item));
        return json;
    }
    if (const auto* text = node.as_string()) return text->get();
    if (const auto* whole = node.as_integer()) return whole->get();
    if (const auto* yes = node.as_boolean()) return yes->get();
    if (const auto* number = node.as_floating_point(); number != nullptr && std::isfinite(number->get()))
        return number->get();
    // The tag holds a byte that no TOML string can hold.
    std::ostringstream tagged;
    tagged << '\x01';
    node.visit([&](const auto& value) {
        if constexpr (!toml::is_table<decltype(value)> && !toml::is_array<decltype(value)>) tagged << value;
    });
    return tagged.str();
}

} // namespace kerfwright::edits
