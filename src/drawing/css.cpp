#include "drawing/css.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace kerfwright::drawing {
namespace {

struct NamedColour {
    std::string_view name;
    unsigned rgb;
};
/// CSS Color Module Level 4, section 6.1; sorted by name.
constexpr std::array<NamedColour, 148> kColours{{
    {"aliceblue", 0xf0f8ff},
    {"antiquewhite", 0xfaebd7},
    {"aqua", 0x00ffff},
    {"aquamarine", 0x7fffd4},
    {"azure", 0xf0ffff},
    {"beige", 0xf5f5dc},
    {"bisque", 0xffe4c4},
    {"black", 0x000000},
    {"blanchedalmond", 0xffebcd},
    {"blue", 0x0000ff},
    {"blueviolet", 0x8a2be2},
    {"brown", 0xa52a2a},
    {"burlywood", 0xdeb887},
    {"cadetblue", 0x5f9ea0},
    {"chartreuse", 0x7fff00},
    {"chocolate", 0xd2691e},
    {"coral", 0xff7f50},
    {"cornflowerblue", 0x6495ed},
    {"cornsilk", 0xfff8dc},
    {"crimson", 0xdc143c},
    {"cyan", 0x00ffff},
    {"darkblue", 0x00008b},
    {"darkcyan", 0x008b8b},
    {"darkgoldenrod", 0xb8860b},
    {"darkgray", 0xa9a9a9},
    {"darkgreen", 0x006400},
    {"darkgrey", 0xa9a9a9},
    {"darkkhaki", 0xbdb76b},
    {"darkmagenta", 0x8b008b},
    {"darkolivegreen", 0x556b2f},
    {"darkorange", 0xff8c00},
    {"darkorchid", 0x9932cc},
    {"darkred", 0x8b0000},
    {"darksalmon", 0xe9967a},
    {"darkseagreen", 0x8fbc8f},
    {"darkslateblue", 0x483d8b},
    {"darkslategray", 0x2f4f4f},
    {"darkslategrey", 0x2f4f4f},
    {"darkturquoise", 0x00ced1},
    {"darkviolet", 0x9400d3},
    {"deeppink", 0xff1493},
    {"deepskyblue", 0x00bfff},
    {"dimgray", 0x696969},
    {"dimgrey", 0x696969},
    {"dodgerblue", 0x1e90ff},
    {"firebrick", 0xb22222},
    {"floralwhite", 0xfffaf0},
    {"forestgreen", 0x228b22},
    {"fuchsia", 0xff00ff},
    {"gainsboro", 0xdcdcdc},
    {"ghostwhite", 0xf8f8ff},
    {"gold", 0xffd700},
    {"goldenrod", 0xdaa520},
    {"gray", 0x808080},
    {"green", 0x008000},
    {"greenyellow", 0xadff2f},
    {"grey", 0x808080},
    {"honeydew", 0xf0fff0},
    {"hotpink", 0xff69b4},
    {"indianred", 0xcd5c5c},
    {"indigo", 0x4b0082},
    {"ivory", 0xfffff0},
    {"khaki", 0xf0e68c},
    {"lavender", 0xe6e6fa},
    {"lavenderblush", 0xfff0f5},
    {"lawngreen", 0x7cfc00},
    {"lemonchiffon", 0xfffacd},
    {"lightblue", 0xadd8e6},
    {"lightcoral", 0xf08080},
    {"lightcyan", 0xe0ffff},
    {"lightgoldenrodyellow", 0xfafad2},
    {"lightgray", 0xd3d3d3},
    {"lightgreen", 0x90ee90},
    {"lightgrey", 0xd3d3d3},
    {"lightpink", 0xffb6c1},
    {"lightsalmon", 0xffa07a},
    {"lightseagreen", 0x20b2aa},
    {"lightskyblue", 0x87cefa},
    {"lightslategray", 0x778899},
    {"lightslategrey", 0x778899},
    {"lightsteelblue", 0xb0c4de},
    {"lightyellow", 0xffffe0},
    {"lime", 0x00ff00},
    {"limegreen", 0x32cd32},
    {"linen", 0xfaf0e6},
    {"magenta", 0xff00ff},
    {"maroon", 0x800000},
    {"mediumaquamarine", 0x66cdaa},
    {"mediumblue", 0x0000cd},
    {"mediumorchid", 0xba55d3},
    {"mediumpurple", 0x9370db},
    {"mediumseagreen", 0x3cb371},
    {"mediumslateblue", 0x7b68ee},
    {"mediumspringgreen", 0x00fa9a},
    {"mediumturquoise", 0x48d1cc},
    {"mediumvioletred", 0xc71585},
    {"midnightblue", 0x191970},
    {"mintcream", 0xf5fffa},
    {"mistyrose", 0xffe4e1},
    {"moccasin", 0xffe4b5},
    {"navajowhite", 0xffdead},
    {"navy", 0x000080},
    {"oldlace", 0xfdf5e6},
    {"olive", 0x808000},
    {"olivedrab", 0x6b8e23},
    {"orange", 0xffa500},
    {"orangered", 0xff4500},
    {"orchid", 0xda70d6},
    {"palegoldenrod", 0xeee8aa},
    {"palegreen", 0x98fb98},
    {"paleturquoise", 0xafeeee},
    {"palevioletred", 0xdb7093},
    {"papayawhip", 0xffefd5},
    {"peachpuff", 0xffdab9},
    {"peru", 0xcd853f},
    {"pink", 0xffc0cb},
    {"plum", 0xdda0dd},
    {"powderblue", 0xb0e0e6},
    {"purple", 0x800080},
    {"rebeccapurple", 0x663399},
    {"red", 0xff0000},
    {"rosybrown", 0xbc8f8f},
    {"royalblue", 0x4169e1},
    {"saddlebrown", 0x8b4513},
    {"salmon", 0xfa8072},
    {"sandybrown", 0xf4a460},
    {"seagreen", 0x2e8b57},
    {"seashell", 0xfff5ee},
    {"sienna", 0xa0522d},
    {"silver", 0xc0c0c0},
    {"skyblue", 0x87ceeb},
    {"slateblue", 0x6a5acd},
    {"slategray", 0x708090},
    {"slategrey", 0x708090},
    {"snow", 0xfffafa},
    {"springgreen", 0x00ff7f},
    {"steelblue", 0x4682b4},
    {"tan", 0xd2b48c},
    {"teal", 0x008080},
    {"thistle", 0xd8bfd8},
    {"tomato", 0xff6347},
    {"turquoise", 0x40e0d0},
    {"violet", 0xee82ee},
    {"wheat", 0xf5deb3},
    {"white", 0xffffff},
    {"whitesmoke", 0xf5f5f5},
    {"yellow", 0xffff00},
    {"yellowgreen", 0x9acd32},
}};

std::string hex(unsigned rgb) {
    return fmt::format("#{:06x}", rgb & 0xFFFFFFU);
}

std::optional<std::string> hex_colour(std::string_view digits) {
    unsigned value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value, 16);
    if (error != std::errc{} || end != digits.data() + digits.size()) return {};
    if (digits.size() == 8) return hex(value >> 8U);
    if (digits.size() == 6) return hex(value);
    if (digits.size() == 4)
        value >>= 4U;
    else if (digits.size() != 3)
        return {};
    const unsigned r = value >> 8U & 15U, g = value >> 4U & 15U, b = value & 15U;
    return hex((r * 17) << 16U | (g * 17) << 8U | b * 17);
}

unsigned byte_of(double level) {
    return static_cast<unsigned>(std::lround(std::clamp(level, 0.0, 1.0) * 255));
}

/// CSS Color Module Level 4, section 7.
unsigned from_hsl(double hue, double saturation, double light) {
    hue = std::fmod(hue, 360);
    if (hue < 0) hue += 360;
    const auto channel = [&](double n) {
        const double k = std::fmod(n + hue / 30, 12);
        const double a = saturation * std::min(light, 1 - light);
        return byte_of(light - a * std::max(-1.0, std::min({k - 3, 9 - k, 1.0})));
    };
    return channel(0) << 16U | channel(8) << 8U | channel(4);
}

/// rgb(10, 20, 30), rgb(10% 20% 30% / 0.5), hsl(120deg 50% 40%).
std::optional<std::string> function_colour(std::string_view text) {
    const std::size_t open = text.find('(');
    if (open == std::string_view::npos || text.back() != ')') return {};
    const std::string_view name = text.substr(0, open);
    const bool hsl = name == "hsl" || name == "hsla";
    if (!hsl && name != "rgb" && name != "rgba") return {};
    std::vector<double> values;
    std::string_view rest = text.substr(open + 1, text.size() - open - 2);
    while (!rest.empty()) {
        const char c = rest.front();
        if (c == ' ' || c == ',' || c == '/' || c == '\t' || c == '\n' || c == '\r' || c == '+') {
            rest.remove_prefix(1);
            continue;
        }
        double value = 0;
        const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
        if (error != std::errc{} || !std::isfinite(value)) return {};
        rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
        const bool percent = !rest.empty() && rest.front() == '%';
        if (percent) rest.remove_prefix(1);
        if (rest.substr(0, 3) == "deg") rest.remove_prefix(3);
        const bool channel = values.size() < 3 && !(hsl && values.empty());
        values.push_back(percent ? value / 100 : channel && !hsl ? value / 255 : value);
    }
    if (values.size() < 3 || values.size() > 4) return {};
    if (values.size() == 4 && values[3] <= 0) return "";
    if (hsl) return hex(from_hsl(values[0], std::clamp(values[1], 0.0, 1.0), std::clamp(values[2], 0.0, 1.0)));
    return hex(byte_of(values[0]) << 16U | byte_of(values[1]) << 8U | byte_of(values[2]));
}

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_space(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && is_space(text.back()))
        text.remove_suffix(1);
    return text;
}

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return result;
}

std::string without_comments(std::string_view text) {
    std::string result;
    for (std::size_t i = 0; i < text.size();) {
        if (text.substr(i, 2) == "/*") {
            const std::size_t end = text.find("*/", i + 2);
            if (end == std::string_view::npos) break;
            i = end + 2;
            result += ' ';
        } else if (text.substr(i, 4) == "<!--") {
            i += 4;
        } else if (text.substr(i, 3) == "-->") {
            i += 3;
        } else {
            result += text[i++];
        }
    }
    return result;
}

bool is_name_char(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           static_cast<unsigned char>(c) >= 0x80;
}

/// A CSS name; a backslash takes the next character as it is.
std::string take_name(std::string_view text, std::size_t& at) {
    std::string name;
    while (at < text.size()) {
        if (text[at] == '\\' && at + 1 < text.size()) {
            name += text[at + 1];
            at += 2;
        } else if (is_name_char(text[at])) {
            name += text[at++];
        } else {
            break;
        }
    }
    return name;
}

bool has_word(std::string_view words, std::string_view word) {
    for (std::size_t i = 0; i < words.size();) {
        while (i < words.size() && is_space(words[i]))
            ++i;
        std::size_t end = i;
        while (end < words.size() && !is_space(words[end]))
            ++end;
        if (words.substr(i, end - i) == word && end > i) return true;
        i = end;
    }
    return false;
}

/// The end of the block that opens at `open`, or npos.
std::size_t block_end(std::string_view text, std::size_t open) {
    int depth = 0;
    for (std::size_t i = open; i < text.size(); ++i) {
        if (text[i] == '{') ++depth;
        if (text[i] == '}' && --depth == 0) return i;
    }
    return std::string_view::npos;
}

} // namespace

std::optional<std::string> parse_colour(std::string_view text) {
    const std::string name = lower(trimmed(text));
    if (name.empty()) return {};
    if (name[0] == '#') return hex_colour(std::string_view(name).substr(1));
    if (name == "transparent") return "";
    const auto found = std::lower_bound(kColours.begin(), kColours.end(), name,
                                        [](const NamedColour& c, const std::string& n) { return c.name < n; });
    if (found != kColours.end() && found->name == name) return hex(found->rgb);
    return function_colour(name);
}

std::vector<Declaration> parse_declarations(std::string_view given) {
    const std::string text = without_comments(given);
    std::vector<Declaration> result;
    std::size_t begin = 0;
    int brackets = 0;
    for (std::size_t i = 0; i <= text.size(); ++i) {
        if (i < text.size() && text[i] == '(') ++brackets;
        if (i < text.size() && text[i] == ')') --brackets;
        if (i < text.size() && (text[i] != ';' || brackets > 0)) continue;
        const std::string_view one = std::string_view(text).substr(begin, i - begin);
        begin = i + 1;
        const std::size_t colon = one.find(':');
        if (colon == std::string_view::npos) continue;
        Declaration declaration{lower(trimmed(one.substr(0, colon))), std::string(trimmed(one.substr(colon + 1))),
                                false};
        const std::size_t mark = declaration.value.rfind('!');
        if (mark != std::string::npos &&
            lower(trimmed(std::string_view(declaration.value).substr(mark + 1))) == "important") {
            declaration.important = true;
            declaration.value = std::string(trimmed(std::string_view(declaration.value).substr(0, mark)));
        }
        if (!declaration.property.empty() && !declaration.value.empty()) result.push_back(std::move(declaration));
    }
    return result;
}

bool StyleSheet::read_compound(std::string_view text, std::size_t& at, Compound& compound) {
    const std::size_t begin = at;
    if (at < text.size() && text[at] == '*')
        ++at;
    else
        compound.name = take_name(text, at);
    while (at < text.size() && !is_space(text[at]) && text[at] != '>') {
        const char kind = text[at++];
        if (kind == '#' || kind == '.') {
            const std::string name = take_name(text, at);
            if (name.empty()) return false;
            (kind == '#' ? compound.ids : compound.classes).push_back(name);
        } else if (kind == '[') {
            const std::size_t end = text.find(']', at);
            if (end == std::string_view::npos) return false;
            const std::string_view inside = text.substr(at, end - at);
            at = end + 1;
            const std::size_t equals = inside.find('=');
            std::string name(trimmed(inside.substr(0, equals)));
            std::optional<std::string> value;
            if (equals != std::string_view::npos) {
                std::string_view quoted = trimmed(inside.substr(equals + 1));
                if (quoted.size() >= 2 && (quoted.front() == '"' || quoted.front() == '\''))
                    quoted = quoted.substr(1, quoted.size() - 2);
                value = std::string(quoted);
            }
            if (name.empty() || !std::all_of(name.begin(), name.end(), is_name_char)) return false;
            compound.attributes.emplace_back(std::move(name), std::move(value));
        } else {
            return false; // pseudo-classes and the like
        }
    }
    return at > begin;
}

bool StyleSheet::read_selector(std::string_view text, Selector& selector) {
    std::size_t at = 0;
    bool child = false;
    while (at < text.size()) {
        if (is_space(text[at])) {
            ++at;
        } else if (text[at] == '>') {
            if (child || selector.compounds.empty()) return false;
            child = true;
            ++at;
        } else {
            Compound compound;
            compound.child = child;
            child = false;
            if (!read_compound(text, at, compound)) return false;
            const auto count = [](const auto& list) {
                return static_cast<int>(std::min<std::size_t>(list.size(), 100));
            };
            selector.specificity += 1'000'000 * count(compound.ids) +
                                    1000 * (count(compound.classes) + count(compound.attributes)) +
                                    (compound.name.empty() ? 0 : 1);
            selector.compounds.push_back(std::move(compound));
        }
    }
    return !child && !selector.compounds.empty() && selector.compounds.size() <= 20;
}

void StyleSheet::add(std::string_view given, std::vector<std::string>& ignored) {
    const std::string text = without_comments(given);
    const std::string_view view(text);
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t open = text.find_first_of("{;", at);
        const std::string_view head = trimmed(view.substr(at, open == std::string::npos ? open : open - at));
        const bool rule_at = !head.empty() && head.front() == '@';
        if (open == std::string::npos || (text[open] == ';' && rule_at)) {
            if (!head.empty() && head.substr(0, 8) != "@charset") ignored.emplace_back(head);
            if (open == std::string::npos) break;
            at = open + 1;
            continue;
        }
        if (text[open] == ';') {
            at = open + 1;
            continue;
        }
        const std::size_t end = block_end(view, open);
        const std::string_view body = view.substr(open + 1, end == std::string_view::npos ? end : end - open - 1);
        at = end == std::string_view::npos ? text.size() : end + 1;
        if (rule_at) {
            if (head.substr(0, 10) != "@font-face") ignored.emplace_back(head);
            continue;
        }
        blocks_.push_back(parse_declarations(body));
        for (std::size_t begin = 0; begin <= head.size();) {
            const std::size_t comma = std::min(head.find(',', begin), head.size());
            Selector selector;
            selector.block = blocks_.size() - 1;
            const std::string_view one = trimmed(head.substr(begin, comma - begin));
            begin = comma + 1;
            if (!read_selector(one, selector)) {
                ignored.emplace_back(one);
                continue;
            }
            const Compound& last = selector.compounds.back();
            const std::string key = !last.ids.empty()       ? "#" + last.ids[0]
                                    : !last.classes.empty() ? "." + last.classes[0]
                                    : !last.name.empty()    ? last.name
                                                            : "*";
            by_key_[key].push_back(selectors_.size());
            selectors_.push_back(std::move(selector));
        }
    }
}

bool StyleSheet::matches(const Compound& compound, const Element& element) {
    if (!compound.name.empty() && compound.name != element.name) return false;
    const Attribute* id = element.find("id");
    for (const std::string& wanted : compound.ids)
        if (id == nullptr || id->value != wanted) return false;
    const Attribute* classes = element.find("class");
    for (const std::string& wanted : compound.classes)
        if (classes == nullptr || !has_word(classes->value, wanted)) return false;
    return std::all_of(compound.attributes.begin(), compound.attributes.end(), [&](const auto& wanted) {
        const Attribute* attribute = element.find(wanted.first);
        return attribute != nullptr && (!wanted.second || *wanted.second == attribute->value);
    });
}

/// Do compounds 0..last fit a chain of ancestors that ends with `element`?
bool StyleSheet::matches(const Selector& selector, std::size_t last, const Element& element) {
    // A descendant combinator may take the nearest ancestor that fits, unless a child combinator stands before it: then
    // others must be tried. Marks which compounds can stand on each ancestor, from the root down.
    std::vector<const Element*> line;
    for (const Element* e = &element; e != nullptr; e = e->parent)
        line.push_back(e);
    std::vector<bool> reached(last + 2, false), at_parent(last + 2, false); // [k]: compounds before k are placed
    reached[0] = true;
    for (std::size_t i = line.size(); i-- > 0;) {
        std::vector<bool> here(last + 2, false);
        for (std::size_t k = 0; k <= last; ++k) {
            const bool before = k == 0 || (selector.compounds[k].child ? at_parent[k] : reached[k]);
            if (before && matches(selector.compounds[k], *line[i])) here[k + 1] = true;
        }
        if (i == 0) return here[last + 1];
        for (std::size_t k = 0; k <= last + 1; ++k)
            if (here[k]) reached[k] = true;
        at_parent = here;
    }
    return false;
}

std::map<std::string, std::string, std::less<>> StyleSheet::declared(const Element& element,
                                                                     std::size_t& effort) const {
    struct Candidate {
        const Declaration* declaration;
        std::array<std::size_t, 4> rank; ///< important, style attribute, specificity, order
    };
    std::vector<Candidate> candidates;
    const auto take = [&](std::string_view key) {
        const auto found = by_key_.find(key);
        if (found == by_key_.end()) return;
        for (const std::size_t i : found->second) {
            const Selector& selector = selectors_[i];
            ++effort;
            if (!matches(selector.compounds.back(), element)) continue;
            if (selector.compounds.size() > 1) {
                effort += 20 * selector.compounds.size();
                if (!matches(selector, selector.compounds.size() - 1, element)) continue;
            }
            effort += blocks_[selector.block].size();
            for (const Declaration& d : blocks_[selector.block])
                candidates.push_back({&d, {d.important, 0, static_cast<std::size_t>(selector.specificity), i}});
        }
    };
    if (!selectors_.empty()) {
        take("*");
        take(element.name);
        if (const Attribute* id = element.find("id")) take("#" + id->value);
        if (const Attribute* classes = element.find("class")) {
            const std::string_view words = classes->value;
            for (std::size_t i = 0; i < words.size();) {
                while (i < words.size() && is_space(words[i]))
                    ++i;
                const std::size_t begin = i;
                while (i < words.size() && !is_space(words[i]))
                    ++i;
                if (i > begin) take("." + std::string(words.substr(begin, i - begin)));
            }
        }
    }
    std::vector<Declaration> own;
    if (const Attribute* style = element.find("style")) own = parse_declarations(style->value);
    for (const Declaration& d : own)
        candidates.push_back({&d, {d.important, 1, 0, 0}});
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.rank < b.rank; });
    std::map<std::string, std::string, std::less<>> result;
    for (const Candidate& c : candidates)
        result[c.declaration->property] = c.declaration->value;
    return result;
}

} // namespace kerfwright::drawing
