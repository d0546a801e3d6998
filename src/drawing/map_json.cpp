#include "drawing/map_json.hpp"

#include "drawing/scaling.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cstdint>
#include <iterator>

namespace kerfwright::drawing {
namespace {

constexpr std::size_t kDeepest = 64;

/// Reads the text byte by byte and tells how far the parser has come, which its events leave out.
class CountingIterator {
  public:
    using iterator_category = std::input_iterator_tag;
    using value_type = char;
    using difference_type = std::ptrdiff_t;
    using pointer = const char*;
    using reference = const char&;

    CountingIterator(const char* at, std::size_t* count) : at_(at), count_(count) {}
    reference operator*() const { return *at_; }
    CountingIterator& operator++() {
        ++at_;
        ++*count_;
        return *this;
    }
    CountingIterator operator++(int) {
        const CountingIterator before = *this;
        ++*this;
        return before;
    }
    bool operator==(const CountingIterator& other) const { return at_ == other.at_; }
    bool operator!=(const CountingIterator& other) const { return at_ != other.at_; }

  private:
    const char* at_;
    std::size_t* count_;
};

/// Builds the tree from the parser's events. The names of the functions are the library's.
class TreeBuilder {
  public:
    explicit TreeBuilder(const std::size_t* count) : count_(count) {}

    bool null() { return add(value(Json::Kind::null)); }
    bool boolean(bool b) { return add(value(Json::Kind::boolean, b ? 1 : 0)); }
    bool number_integer(std::int64_t n) { return add_number(static_cast<double>(n)); }
    bool number_unsigned(std::uint64_t n) { return add_number(static_cast<double>(n)); }
    bool number_float(double n, const std::string&) { return add_number(n); }
    bool string(std::string& s) {
        Json text = value(Json::Kind::text);
        text.text = std::move(s);
        return add(std::move(text));
    }
    bool binary(std::vector<std::uint8_t>&) { return false; }
    bool start_object(std::size_t) { return open(Json::Kind::object); }
    bool start_array(std::size_t) { return open(Json::Kind::list); }
    bool key(std::string& name) {
        open_.back().keys.push_back(std::move(name));
        return true;
    }
    bool end_object() { return close(); }
    bool end_array() { return close(); }
    bool parse_error(std::size_t position, const std::string&, const nlohmann::json::exception& error) {
        error_at = position;
        error_text = error.what();
        return false;
    }

    Json root;
    std::size_t error_at = 0;
    std::string error_text;
    bool too_deep = false;

  private:
    [[nodiscard]] Json value(Json::Kind kind, double number = 0) const {
        Json json;
        json.kind = kind;
        json.at = *count_ > 0 ? *count_ - 1 : 0;
        json.number = number;
        return json;
    }
    bool add(Json json) {
        if (open_.empty()) {
            root = std::move(json);
            return true;
        }
        Json& parent = open_.back();
        for (const double n : parent.numbers)
            parent.items.push_back(value(Json::Kind::number, n));
        parent.numbers.clear();
        parent.items.push_back(std::move(json));
        return true;
    }
    bool add_number(double n) {
        const bool plain = !open_.empty() && open_.back().is_list() && open_.back().items.empty();
        if (!plain) return add(value(Json::Kind::number, n));
        open_.back().numbers.push_back(n);
        return true;
    }
    bool open(Json::Kind kind) {
        if (open_.size() >= kDeepest) {
            too_deep = true;
            error_at = *count_;
            return false;
        }
        open_.push_back(value(kind));
        return true;
    }
    bool close() {
        Json done = std::move(open_.back());
        open_.pop_back();
        return add(std::move(done));
    }

    const std::size_t* count_;
    std::vector<Json> open_;
};

/// The library's message without its own number and place.
std::string plain_message(const std::string& message) {
    const auto end_of_place = message.find(": ", message.find("column"));
    if (message.find("column") != std::string::npos && end_of_place != std::string::npos)
        return message.substr(end_of_place + 2);
    const auto end_of_number = message.find("] ");
    return end_of_number == std::string::npos ? message : message.substr(end_of_number + 2);
}

} // namespace

const Json* Json::find(std::string_view key) const {
    for (std::size_t i = 0; i < keys.size() && i < items.size(); ++i)
        if (keys[i] == key) return &items[i];
    return nullptr;
}

std::string_view Json::text_of(std::string_view key) const {
    const Json* member = find(key);
    return member != nullptr && member->kind == Kind::text ? std::string_view(member->text) : std::string_view();
}

TextPlace place_of(std::string_view text, std::size_t byte) {
    byte = std::min(byte, text.size());
    const std::string_view before = text.substr(0, byte);
    const auto line_start = before.rfind('\n');
    const auto lines = std::count(before.begin(), before.end(), '\n');
    const std::size_t column = line_start == std::string_view::npos ? byte : byte - line_start - 1;
    return {static_cast<int>(lines) + 1, static_cast<int>(column) + 1};
}

Problem problem_at(std::string_view text, const std::string& file, std::size_t byte, std::string what,
                   std::string remedy) {
    const TextPlace place = place_of(text, byte);
    return {file, place.line, place.column, std::move(what), std::move(remedy)};
}

Result<Json> parse_json(std::string_view text, const std::string& file) {
    if (text.size() > kMostBytes)
        return Problem{file, 0, 0,
                       fmt::format("the map has {} MiB, more than {} can be read", text.size() >> 20, kMostBytes >> 20),
                       "simplify the map, or keep only the regions that are cut"};
    std::size_t count = 0;
    TreeBuilder builder(&count);
    const CountingIterator first(text.data(), &count);
    const CountingIterator last(text.data() + text.size(), &count);
    if (nlohmann::json::sax_parse(first, last, &builder)) return std::move(builder.root);
    const std::size_t at = builder.error_at > 0 ? builder.error_at - 1 : 0;
    if (builder.too_deep)
        return problem_at(text, file, at, fmt::format("lists and objects are nested deeper than {} levels", kDeepest),
                          "a map needs fewer than ten; export it again");
    return problem_at(text, file, at, "this is not JSON: " + plain_message(builder.error_text),
                      "export the map again as GeoJSON or TopoJSON");
}

} // namespace kerfwright::drawing
