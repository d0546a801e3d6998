#include "drawing/dxf_text.hpp"

#include "base/text.hpp"
#include "drawing/scaling.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

namespace kerfwright::drawing {
namespace {

/// Lines that end with LF, CR LF or CR.
class Lines {
  public:
    explicit Lines(std::string_view text) : rest_(text) {}
    bool next(std::string_view& line) {
        if (rest_.empty()) return false;
        ++number_;
        const std::size_t end = rest_.find_first_of("\r\n");
        line = rest_.substr(0, end);
        if (end == std::string_view::npos)
            rest_ = {};
        else
            rest_.remove_prefix(end + (rest_.substr(end, 2) == "\r\n" ? 2 : 1));
        return true;
    }
    [[nodiscard]] int number() const { return number_; }

  private:
    std::string_view rest_;
    int number_ = 0;
};

Result<std::vector<Group>> read_groups(std::string_view text, const std::string& file) {
    constexpr std::size_t kMostGroups = 12'000'000;
    std::vector<Group> groups;
    Lines lines(text);
    std::string_view code_line, value;
    while (lines.next(code_line)) {
        const std::string_view digits = trimmed(code_line);
        Group group;
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), group.code);
        if (error != std::errc{} || end != digits.data() + digits.size()) {
            if (digits.empty() && !groups.empty() && groups.back().value == "EOF") break; // blank lines after the end
            return Problem{file, lines.number(), 0, "a DXF group code, a whole number, is wanted here",
                           "save the drawing again as ASCII DXF"};
        }
        if (!lines.next(value))
            return Problem{file, lines.number(), 0, "the file ends after a group code",
                           "save the drawing again: it is cut short"};
        group.line = lines.number();
        group.value = group.code == 0 || group.code == 2 || group.code == 9 ? trimmed(value) : value;
        if (group.code != 999) groups.push_back(group);
        if (groups.size() > kMostGroups)
            return Problem{file, lines.number(), 0, "the file is too large", "simplify the drawing"};
        if (group.code == 0 && group.value == "EOF") break;
    }
    return groups;
}

/// Walks over the records of a file.
class Sections {
  public:
    Sections(DxfFile& dxf, const std::string& file) : dxf_(dxf), file_(file) {}

    Result<Done> read() {
        while (at_ < dxf_.groups.size()) {
            const Group& group = dxf_.groups[at_];
            if (group.code != 0) return problem("a record (code 0) is wanted here");
            if (group.value == "EOF") break;
            if (group.value != "SECTION" || at_ + 1 >= dxf_.groups.size() || dxf_.groups[at_ + 1].code != 2)
                return problem("a SECTION with its name is wanted here");
            const std::string_view name = dxf_.groups[at_ + 1].value;
            at_ += 2;
            if (name == "HEADER") header();
            std::vector<Record> records;
            for (;;) {
                while (at_ < dxf_.groups.size() && dxf_.groups[at_].code != 0)
                    ++at_;
                if (at_ >= dxf_.groups.size()) return problem(fmt::format("the file ends inside section {}", name));
                if (dxf_.groups[at_].value == "EOF" || dxf_.groups[at_].value == "SECTION")
                    return problem(fmt::format("section {} has no ENDSEC", name));
                if (dxf_.groups[at_].value == "ENDSEC") break;
                records.push_back(record());
            }
            ++at_;
            if (name == "TABLES")
                tables(records);
            else if (name == "BLOCKS")
                blocks(records);
            else if (name == "ENTITIES")
                dxf_.entities = std::move(records);
        }
        return Done{};
    }

  private:
    Problem problem(std::string what) const {
        const int line = dxf_.groups.empty() ? 0 : dxf_.groups[std::min(at_, dxf_.groups.size() - 1)].line;
        return Problem{file_, line, 0, std::move(what), "save the drawing again as ASCII DXF"};
    }

    Record record() {
        Record record{dxf_.groups[at_].value, at_, at_ + 1, dxf_.groups[at_].line};
        while (record.last < dxf_.groups.size() && dxf_.groups[record.last].code != 0)
            ++record.last;
        at_ = record.last;
        return record;
    }

    void header() {
        for (; at_ < dxf_.groups.size() && dxf_.groups[at_].code != 0; ++at_)
            if (dxf_.groups[at_].code == 9 && at_ + 1 < dxf_.groups.size() && dxf_.groups[at_ + 1].code != 0)
                dxf_.header.emplace(dxf_.groups[at_].value, at_ + 1);
    }

    void tables(const std::vector<Record>& records) {
        std::copy_if(records.begin(), records.end(), std::back_inserter(dxf_.layers),
                     [](const Record& r) { return r.type == "LAYER"; });
    }

    void blocks(const std::vector<Record>& records) {
        DxfBlock block;
        bool open = false;
        for (const Record& record : records) {
            if (record.type == "BLOCK") {
                block = DxfBlock{};
                block.head = record;
                for (std::size_t i = record.first; i < record.last && block.name.empty(); ++i)
                    if (dxf_.groups[i].code == 2) block.name = plain_text(dxf_.groups[i].value);
                open = true;
            } else if (record.type == "ENDBLK") {
                const std::string key = folded(block.name);
                if (open) dxf_.blocks.emplace(key, std::exchange(block, {}));
                open = false;
            } else if (open) {
                block.records.push_back(record);
            }
        }
    }

    DxfFile& dxf_;
    const std::string& file_;
    std::size_t at_ = 0;
};

void append_utf8(std::string& text, unsigned code) {
    const auto put = [&](unsigned byte) { text += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (code < 0x80)
        put(code);
    else if (code < 0x800)
        put(0xC0 | code >> 6U), put(0x80 | (code & 0x3FU));
    else
        put(0xE0 | code >> 12U), put(0x80 | (code >> 6U & 0x3FU)), put(0x80 | (code & 0x3FU));
}

/// Length of the UTF-8 character at the front; 0 when it is none.
std::size_t utf8_length(std::string_view text) {
    const auto first = static_cast<unsigned char>(text[0]);
    const std::size_t length = first < 0x80                    ? 1
                               : first >= 0xC2 && first < 0xE0 ? 2
                               : first >= 0xE0 && first < 0xF0 ? 3
                               : first >= 0xF0 && first < 0xF5 ? 4
                                                               : 0;
    if (length == 0 || text.size() < length) return 0;
    for (std::size_t i = 1; i < length; ++i)
        if ((static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80) return 0;
    return length;
}

/// Windows-1252: bytes 0x80 to 0x9F; above, it is Latin-1.
constexpr std::array<unsigned, 32> kWindows1252{0x20AC, 0xFFFD, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                                0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0xFFFD, 0x017D, 0xFFFD,
                                                0xFFFD, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                                0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0xFFFD, 0x017E, 0x0178};

std::string as_utf8(std::string_view raw) {
    bool utf8 = true;
    for (std::size_t i = 0; i < raw.size() && utf8;) {
        const std::size_t length = utf8_length(raw.substr(i));
        utf8 = length > 0;
        i += length;
    }
    std::string text;
    if (utf8) return std::string(raw);
    for (const char c : raw) {
        const auto byte = static_cast<unsigned char>(c);
        append_utf8(text, byte >= 0x80 && byte < 0xA0 ? kWindows1252[byte - 0x80U] : byte);
    }
    return text;
}

/// \U+XXXX at the front; takes it off.
bool take_escape(std::string_view& text, std::string& to) {
    if (text.substr(0, 3) != "\\U+" || text.size() < 7) return false;
    unsigned code = 0;
    const auto [end, error] = std::from_chars(text.data() + 3, text.data() + 7, code, 16);
    if (error != std::errc{} || end != text.data() + 7 || (code >= 0xD800 && code < 0xE000)) return false;
    append_utf8(to, code);
    text.remove_prefix(7);
    return true;
}

} // namespace

std::string folded(std::string_view name) {
    std::string result = plain_text(name);
    for (char& c : result)
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    return result;
}

std::string plain_text(std::string_view raw) {
    const std::string given = as_utf8(trimmed(raw));
    std::string text;
    for (std::string_view rest = given; !rest.empty();) {
        if (take_escape(rest, text)) continue;
        if (rest.size() >= 3 && rest.substr(0, 2) == "%%") {
            const char kind = rest[2];
            const std::string_view sign = kind == 'd' || kind == 'D'   ? "°"
                                          : kind == 'c' || kind == 'C' ? "Ø"
                                          : kind == 'p' || kind == 'P' ? "±"
                                          : kind == '%'                ? "%"
                                                                       : "";
            const bool toggle = kind == 'u' || kind == 'U' || kind == 'o' || kind == 'O' || kind == 'k' || kind == 'K';
            if (!sign.empty() || toggle) {
                text += sign;
                rest.remove_prefix(3);
                continue;
            }
        }
        text += rest.front();
        rest.remove_prefix(1);
    }
    return text;
}

std::string plain_mtext(std::string_view raw) {
    const std::string given = as_utf8(raw);
    std::string text;
    for (std::string_view rest = given; !rest.empty();) {
        if (take_escape(rest, text)) continue;
        const char c = rest.front();
        rest.remove_prefix(1);
        if (c == '{' || c == '}') continue;
        if (c != '\\' || rest.empty()) {
            text += c;
            continue;
        }
        const char code = rest.front();
        rest.remove_prefix(1);
        if (code == '\\' || code == '{' || code == '}')
            text += code;
        else if (code == 'P' || code == '~' || code == 'N')
            text += ' ';
        else if (code == 'S' || std::string_view("AaCcFfHhQqTtWwpb").find(code) != std::string_view::npos) {
            const std::size_t end = std::min(rest.find(';'), rest.size());
            if (code == 'S') // stacked: 1^2, 1/2, 1#2
                for (const char s : rest.substr(0, end))
                    text += s == '^' || s == '#' ? '/' : s;
            rest.remove_prefix(std::min(end + 1, rest.size()));
        }
    }
    return plain_text(text);
}

Result<DxfFile> parse_dxf(std::string_view text, const std::string& file) {
    if (text.size() > kMostBytes) return Problem{file, 0, 0, "the file is larger than 64 MB", "simplify the drawing"};
    if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
    if (text.size() >= 6 && text.substr(0, 3) == "AC1" && text[3] >= '0' && text[3] <= '9')
        return Problem{file, 0, 0, "this is a DWG file, not DXF", "save the drawing as ASCII DXF"};
    if (text.substr(0, 64).find('\0') != std::string_view::npos)
        return Problem{file, 0, 0, "this is a binary DXF, or no DXF at all", "save the drawing as ASCII DXF"};
    auto groups = read_groups(text, file);
    if (!groups) return groups.problem();
    DxfFile dxf;
    dxf.groups = std::move(groups.value());
    if (dxf.groups.empty()) return Problem{file, 0, 0, "the file is empty", "save the drawing again as ASCII DXF"};
    const auto done = Sections(dxf, file).read();
    if (!done) return done.problem();
    return dxf;
}

} // namespace kerfwright::drawing
