#include "edits/scan.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <map>

namespace kerfwright::edits {
namespace {

struct Lost {}; ///< thrown where the text is not what TOML allows

constexpr int kDeepest = 256; // toml++ stops there too

class Scanner {
  public:
    explicit Scanner(std::string_view text) : text_(text) {}

    TomlText run() {
        TomlText toml;
        if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;
        toml.sections.push_back({{}, {at_, at_}, {}, at_});
        while (true) {
            skip_blanks_and_comments();
            if (at_ == text_.size()) return toml;
            if (text_[at_] == '[')
                toml.sections.push_back(section());
            else
                toml.sections.back().entries.push_back(line_entry());
            toml.sections.back().end = at_;
        }
    }

  private:
    [[nodiscard]] char peek() const {
        if (at_ >= text_.size()) throw Lost{};
        return text_[at_];
    }
    void expect(char c) {
        if (peek() != c) throw Lost{};
        ++at_;
    }
    void skip_spaces() {
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t'))
            ++at_;
    }
    void skip_comment() {
        if (at_ < text_.size() && text_[at_] == '#')
            while (at_ < text_.size() && text_[at_] != '\n')
                ++at_;
    }
    void skip_blanks_and_comments() {
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c == '#')
                skip_comment();
            else if (c == ' ' || c == '\t' || c == '\r' || c == '\n')
                ++at_;
            else
                return;
        }
    }
    /// What may follow on the line, and its end.
    void finish_line() {
        skip_spaces();
        skip_comment();
        if (at_ < text_.size() && text_[at_] == '\r') ++at_;
        if (at_ < text_.size()) expect('\n');
    }
    [[nodiscard]] std::size_t line_begin(std::size_t at) const {
        while (at > 0 && text_[at - 1] != '\n')
            --at;
        if (at == 0 && text_.starts_with("\xEF\xBB\xBF")) at = 3;
        return at;
    }

    /// A string in any of the four kinds of quotes.
    void skip_string() {
        const char quote = peek();
        const bool escapes = quote == '"';
        const std::string three(3, quote);
        const auto at_three = [&] { return at_ <= text_.size() && text_.substr(at_, 3) == three; };
        if (at_three()) {
            for (at_ += 3; !at_three();)
                at_ += peek() == '\\' && escapes ? 2 : 1;
            at_ += 3;
            // Up to two quotes may stand before the closing three.
            for (int more = 0; more < 2 && at_ < text_.size() && text_[at_] == quote; ++more)
                ++at_;
            return;
        }
        ++at_;
        while (peek() != quote)
            at_ += peek() == '\\' && escapes ? 2 : 1;
        ++at_;
    }

    /// A key's text is taken from toml++, which knows all escapes.
    static std::string decoded(std::string_view raw) {
        const auto quoted = raw.front() == '"' || raw.front() == '\'';
        if (!quoted) return std::string(raw);
        try {
            const toml::table table = toml::parse(std::string("k = ").append(raw));
            return table["k"].value_or(std::string());
        } catch (const toml::parse_error&) {
            throw Lost{};
        }
    }
    std::string key_part(bool& quoted) {
        const std::size_t from = at_;
        quoted = peek() == '"' || peek() == '\'';
        if (quoted) {
            skip_string();
        } else {
            const auto bare = [](char c) {
                return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
                       c == '-';
            };
            while (at_ < text_.size() && bare(text_[at_]))
                ++at_;
            if (at_ == from) throw Lost{};
        }
        return decoded(text_.substr(from, at_ - from));
    }
    std::vector<std::string> key(bool& quoted) {
        std::vector<std::string> parts{key_part(quoted)};
        skip_spaces();
        while (peek() == '.') {
            ++at_;
            skip_spaces();
            parts.push_back(key_part(quoted));
            skip_spaces();
        }
        return parts;
    }

    TomlValue value(int depth) {
        if (depth > kDeepest) throw Lost{};
        TomlValue value;
        value.span.from = at_;
        const char c = peek();
        if (c == '[') {
            value.form = TomlValue::Form::array;
            ++at_;
            for (skip_blanks_and_comments(); peek() != ']'; skip_blanks_and_comments()) {
                value.items.push_back(this->value(depth + 1));
                skip_blanks_and_comments();
                if (peek() == ',') ++at_;
            }
            ++at_;
        } else if (c == '{') {
            value.form = TomlValue::Form::table;
            ++at_;
            for (skip_blanks_and_comments(); peek() != '}'; skip_blanks_and_comments()) {
                value.entries.push_back(entry(depth + 1));
                skip_blanks_and_comments();
                if (peek() == ',') ++at_;
            }
            ++at_;
        } else if (c == '"' || c == '\'') {
            skip_string();
        } else {
            skip_plain();
        }
        value.span.to = at_;
        return value;
    }
    /// A number, a boolean or a date; a date may hold one space.
    void skip_plain() {
        const std::size_t from = at_;
        while (at_ < text_.size() && std::string_view(" \t\r\n,]}#").find(text_[at_]) == std::string_view::npos)
            ++at_;
        if (at_ == from) throw Lost{};
        const auto digit = [&](std::size_t at) { return at < text_.size() && text_[at] >= '0' && text_[at] <= '9'; };
        const bool date = at_ - from == 10 && text_[from + 4] == '-' && text_[from + 7] == '-';
        if (date && at_ + 3 < text_.size() && text_[at_] == ' ' && digit(at_ + 1) && digit(at_ + 2) &&
            text_[at_ + 3] == ':') {
            ++at_;
            skip_plain();
        }
    }

    TomlEntry entry(int depth) {
        TomlEntry entry;
        entry.span.from = at_;
        entry.key = key(entry.quoted);
        entry.equals = at_;
        expect('=');
        skip_spaces();
        entry.value = value(depth);
        entry.span.to = at_;
        return entry;
    }
    TomlEntry line_entry() {
        const std::size_t from = line_begin(at_);
        TomlEntry entry = this->entry(0);
        finish_line();
        entry.lines = {from, at_};
        return entry;
    }

    TomlSection section() {
        TomlSection section;
        section.header.from = line_begin(at_);
        ++at_;
        const bool element = peek() == '[';
        if (element) ++at_;
        skip_spaces();
        bool quoted = false;
        const std::vector<std::string> name = key(quoted);
        expect(']');
        if (element) expect(']');
        finish_line();
        section.header.to = at_;
        section.path = numbered(name, element);
        return section;
    }
    /// The header's name with the numbers of the elements it lies in; counts a new element.
    Path numbered(const std::vector<std::string>& name, bool element) {
        Path path;
        for (std::size_t i = 0; i < name.size(); ++i) {
            path.emplace_back(name[i]);
            if (element && i + 1 == name.size()) {
                path.emplace_back(elements_[path]++);
                return path;
            }
            if (const auto known = elements_.find(path); known != elements_.end()) path.emplace_back(known->second - 1);
        }
        return path;
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::map<Path, std::size_t> elements_; ///< how many each array of tables has so far
};

} // namespace

std::optional<TomlText> scan_toml(std::string_view text) {
    try {
        return Scanner(text).run();
    } catch (const Lost&) {
        return std::nullopt;
    }
}

bool begins_with(const Path& path, const Path& head) {
    return path.size() >= head.size() && std::equal(head.begin(), head.end(), path.begin());
}

Path path_of(const TomlSection& section, const TomlEntry& entry) {
    Path path = section.path;
    path.insert(path.end(), entry.key.begin(), entry.key.end());
    return path;
}

} // namespace kerfwright::edits
