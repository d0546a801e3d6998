#include "program/block_writer.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::program {

std::string decimal(std::int64_t value, int decimals) {
    std::int64_t scale = 1;
    for (int i = 0; i < decimals; ++i)
        scale *= 10;
    const std::int64_t size = value < 0 ? -value : value;
    std::string text = fmt::format("{}{}.{:0{}}", value < 0 ? "-" : "", size / scale, size % scale, decimals);
    while (text.back() == '0' && text[text.size() - 2] != '.')
        text.pop_back();
    return text;
}

std::string plain_comment(std::string_view text) {
    static constexpr struct {
        std::string_view from, to;
    } kInstead[] = {{"(", "["},       {")", "]"},         {"%", "pct"},      {":", " -"},       {";", ","},
                    {"\u00d7", "x"},  {"\u00b0", " deg"}, {"\u00b5", "u"},   {"\u00b2", "2"},   {"\u00b3", "3"},
                    {"\u2013", "-"},  {"\u2014", "-"},    {"\u00b1", "+/-"}, {"\u00bd", "1/2"}, {"\u00bc", "1/4"},
                    {"\u2265", ">="}, {"\u2264", "<="},   {"\u2026", "..."}};
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const auto* known = std::find_if(std::begin(kInstead), std::end(kInstead), [&](const auto& entry) {
            return text.substr(i, entry.from.size()) == entry.from;
        });
        if (known != std::end(kInstead)) {
            out += known->to;
            i += known->from.size();
            continue;
        }
        const auto byte = static_cast<unsigned char>(text[i++]);
        if (byte >= 0x80) {
            if ((byte & 0xC0) != 0x80) out += '?'; // once for each character
        } else {
            out += byte < 0x20 || byte == 0x7f ? ' ' : static_cast<char>(byte);
        }
    }
    while (!out.empty() && out.back() == ' ')
        out.pop_back();
    return out;
}

std::size_t BlockWriter::room() const {
    constexpr int kShortest = 20;
    constexpr int kLanguage = 256;                                                             // NISTIR 6556, 3.3
    return static_cast<std::size_t>(std::clamp(able_.longest_line, kShortest, kLanguage)) - 1; // the line's end counts
}

void BlockWriter::add(std::string_view word) {
    if (!words_.empty()) words_ += ' ';
    words_ += word;
}

void BlockWriter::add_movable(std::string_view word) {
    if (!movable_.empty()) movable_ += ' ';
    movable_ += word;
}

void BlockWriter::put(std::string line) {
    if (able_.line_numbers) {
        constexpr int kStep = 10;
        constexpr int kLast = 99'990;
        number_ = number_ >= kLast ? kStep : number_ + kStep;
        line = fmt::format("N{} {}", number_, line);
    }
    if (line.size() > room()) line.erase(std::remove(line.begin(), line.end(), ' '), line.end());
    if (line.size() > room()) too_long_ = true;
    text_ += line;
    text_ += '\n';
}

void BlockWriter::finish() {
    const std::size_t number = able_.line_numbers ? 7 : 0; // "N99990 "
    if (!words_.empty() && !movable_.empty() && number + words_.size() + 1 + movable_.size() > room()) {
        put(movable_);
        movable_.clear();
    }
    if (!movable_.empty()) add(movable_);
    if (!words_.empty()) put(words_);
    words_.clear();
    movable_.clear();
}

void BlockWriter::comment(std::string_view text) {
    if (able_.comments.empty() || text.empty()) return;
    const bool round = able_.comments == "()";
    const std::string open = round ? "(" : "; ";
    const std::string close = round ? ")" : "";
    const std::string plain = plain_comment(text);
    std::string_view rest = plain;
    const std::size_t most = room() - open.size() - close.size();
    while (!rest.empty()) {
        std::size_t take = std::min(most, rest.size());
        if (take < rest.size()) {
            const std::size_t space = rest.rfind(' ', take);
            if (space != std::string_view::npos && space > 0) take = space;
        }
        text_ += open + std::string(rest.substr(0, take)) + close + '\n';
        rest.remove_prefix(take);
        while (!rest.empty() && rest.front() == ' ')
            rest.remove_prefix(1);
    }
}

} // namespace kerfwright::program
