#include "program/block.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::program {
namespace {

constexpr double kWhole = 0.0001; // what must be whole may be off by this

bool is_blank(char c) {
    return c == ' ' || c == '\t';
}
bool is_letter(char c) {
    return c >= 'a' && c <= 'z';
}
char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

constexpr std::string_view kWords = "abcdfghijklmpqrstxyz";

bool to_code(double value, double scale, int& code) {
    const double scaled = value * scale;
    if (!(std::abs(scaled) < 1e6)) return false;
    const double whole = std::round(scaled);
    if (std::abs(scaled - whole) > kWhole) return false;
    code = static_cast<int>(whole);
    return true;
}

std::string shown(char c) {
    return c >= ' ' && c <= '~' ? std::string(1, c) : fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
}

} // namespace

int Block::g_group(int code) {
    switch (code) {
    case 40:
    case 100:
    case 280:
    case 300:
    case 530:
    case 920:
    case 921:
    case 922:
    case 923:
        return 0;
    case 0:
    case 10:
    case 20:
    case 30:
    case 382:
    case 800:
    case 810:
    case 820:
    case 830:
    case 840:
    case 850:
    case 860:
    case 870:
    case 880:
    case 890:
        return 1;
    case 170:
    case 180:
    case 190:
        return 2;
    case 900:
    case 910:
        return 3;
    case 930:
    case 940:
        return 5;
    case 200:
    case 210:
        return 6;
    case 400:
    case 410:
    case 420:
        return 7;
    case 430:
    case 490:
        return 8;
    case 980:
    case 990:
        return 10;
    case 540:
    case 550:
    case 560:
    case 570:
    case 580:
    case 590:
    case 591:
    case 592:
    case 593:
        return 12;
    case 610:
    case 611:
    case 640:
        return 13;
    default:
        return kUngrouped;
    }
}

int Block::m_group(int code) {
    switch (code) {
    case 0:
    case 10:
    case 20:
    case 300:
    case 600:
        return 4;
    case 60:
        return 6;
    case 30:
    case 40:
    case 50:
        return 7;
    case 70:
    case 80:
    case 90:
        return 8;
    case 480:
    case 490:
        return 9;
    default:
        return kUngrouped;
    }
}

bool BlockReader::fail(std::size_t at, std::string text) {
    complaint_ = {column_of(static_cast<int>(at)), std::move(text)};
    return false;
}

int BlockReader::column_of(int squeezed) const {
    int left = squeezed;
    int depth = 0;
    for (std::size_t i = 0; i < line_.size(); ++i) {
        const char c = line_[i];
        if (depth == 0 && !is_blank(c) && c != '(' && left-- == 0) return static_cast<int>(i) + 1;
        if (c == '(') ++depth;
        if (c == ')' && depth > 0) --depth;
    }
    return static_cast<int>(line_.size()) + 1;
}

bool BlockReader::squeeze(Block& block) {
    text_.clear();
    block.comment = {};
    for (std::size_t i = 0; i < line_.size(); ++i) {
        const char c = line_[i];
        if (is_blank(c)) continue;
        if (c == ';') { // not of the language, but read by most controllers
            block.comment = line_.substr(i + 1);
            break;
        }
        if (c != '(') {
            text_.push_back(lower(c));
            continue;
        }
        const std::size_t end = line_.find_first_of("()", i + 1);
        if (end == std::string_view::npos || line_[end] == '(') {
            complaint_ = {static_cast<int>(i) + 1,
                          end == std::string_view::npos ? "the comment is not closed" : "a comment inside a comment"};
            return false;
        }
        block.comment = line_.substr(i + 1, end - i - 1);
        i = end;
    }
    return true;
}

bool BlockReader::read(std::string_view line, Block& block) {
    line_ = line;
    block.letters = 0;
    block.g.fill(kNoCode);
    block.m.fill(kNoCode);
    block.settings.clear();
    block.deleted = block.percent = false;
    at_ = 0;
    m_words_ = 0;
    depth_ = 0;
    if (!squeeze(block)) return false;
    if (text_ == "%") {
        block.percent = true;
        return true;
    }
    if (here() == '/') {
        block.deleted = true;
        ++at_;
    }
    if (here() == 'n') {
        const std::size_t start = at_++;
        while (here() >= '0' && here() <= '9')
            ++at_;
        if (at_ - start < 2 || at_ - start > 6) return fail(start, "a line number has one to five digits");
    }
    return read_segments(block);
}

bool BlockReader::read_segments(Block& block) {
    while (at_ < text_.size()) {
        const bool good = here() == '#' ? read_setting(block) : read_word(block);
        if (!good) return false;
    }
    return true;
}

bool BlockReader::read_word(Block& block) {
    const std::size_t start = at_;
    const char letter = here();
    if (!is_letter(letter)) return fail(start, fmt::format("\"{}\" begins no word", shown(letter)));
    if (letter == 'n') return fail(start, "the line number must come first");
    if (letter == 'o') return fail(start, "O words are not in this language");
    if (kWords.find(letter) == std::string_view::npos)
        return fail(start, fmt::format("unknown word starting with {}", letter));
    ++at_;
    double value = 0;
    if (is_letter(here()) && !(here() == 'a' || here() == 'c' || here() == 'e' || here() == 'f' || here() == 'l' ||
                               here() == 'r' || here() == 's' || here() == 't'))
        return fail(start, fmt::format("the word {} has no value", letter));
    if (!real_value(value)) return false;
    if (letter == 'g') return read_g(block, value, static_cast<int>(start));
    if (letter == 'm') return read_m(block, value, static_cast<int>(start));
    if (block.has(letter))
        return fail(start, fmt::format("two {} words on one line", static_cast<char>(letter - 'a' + 'A')));
    const auto i = static_cast<std::size_t>(letter - 'a');
    block.letters |= 1U << i;
    block.values[i] = value;
    block.columns[i] = static_cast<int>(start);
    return true;
}

bool BlockReader::read_g(Block& block, double value, int at) {
    int code = 0;
    const int group = to_code(value, 10, code) ? Block::g_group(code) : kUngrouped;
    if (group == kUngrouped)
        return fail(static_cast<std::size_t>(at), fmt::format("G{:g} is not in this language", value));
    int& slot = block.g[static_cast<std::size_t>(group)];
    if (slot != kNoCode)
        return fail(static_cast<std::size_t>(at),
                    fmt::format("G{:g} and G{:g} are of one group, and cannot stand on one line", slot / 10.0, value));
    slot = code;
    return true;
}

bool BlockReader::read_m(Block& block, double value, int at) {
    int code = 0;
    const int group = to_code(value, 1, code) ? Block::m_group(code * 10) : kUngrouped;
    if (group == kUngrouped)
        return fail(static_cast<std::size_t>(at), fmt::format("M{:g} is not in this language", value));
    int& slot = block.m[static_cast<std::size_t>(group)];
    if (slot != kNoCode)
        return fail(static_cast<std::size_t>(at),
                    fmt::format("M{} and M{} are of one group, and cannot stand on one line", slot / 10, code));
    if (++m_words_ > 4) return fail(static_cast<std::size_t>(at), "more than four M words on one line");
    slot = code * 10;
    return true;
}

bool BlockReader::read_setting(Block& block) {
    ++at_; // #
    int which = 0;
    if (!index(which, 1, kParameterCount - 1, "a parameter number")) return false;
    if (here() != '=') return fail(at_, "\"=\" is missing after a parameter");
    ++at_;
    double value = 0;
    if (!real_value(value)) return false;
    block.settings.emplace_back(which, value);
    return true;
}

bool BlockReader::index(int& value, int low, int high, const char* what) {
    const std::size_t start = at_;
    double real = 0;
    if (!real_value(real)) return false;
    if (!to_code(real, 1, value) || value < low || value > high)
        return fail(start, fmt::format("{} must be a whole number from {} to {}, not {:g}", what, low, high, real));
    return true;
}

} // namespace kerfwright::program
