#include "drawing/css.hpp"

#include "base/text.hpp"

#include <algorithm>
#include <array>

namespace kerfwright::drawing {
namespace {

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
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
