#pragma once
// Private to drawing/: as much of CSS as drawings use. Selectors: element, *, .class, #id, [attribute] and
// [attribute=value], lists, descendant and child combinators; the cascade by importance, origin (style attribute over
// sheet over presentation attribute), specificity, order (CSS Cascading and Inheritance Level 4, section 6).

#include "drawing/xml.hpp"

#include <map>
#include <optional>

namespace kerfwright::drawing {

/// "#rrggbb" of a colour name, #rgb, #rrggbb (alpha digits are dropped), rgb(), rgba(), hsl(), hsla(); "" for
/// transparent; nothing when the text is no colour.
[[nodiscard]] std::optional<std::string> parse_colour(std::string_view text);

struct Declaration {
    std::string property, value;
    bool important = false;
};
/// "a: b; c: d !important". What cannot be read is passed over, as CSS asks.
[[nodiscard]] std::vector<Declaration> parse_declarations(std::string_view text);

class StyleSheet {
  public:
    /// Adds the rules of a <style> element. What is not understood is passed over and named in `ignored`.
    void add(std::string_view text, std::vector<std::string>& ignored);

    /// The declarations that win for the element, without its presentation attributes. Rules are filed by the id, class
    /// or name that the element must have. Adds to `effort` the number of comparisons, for the caller to bound.
    [[nodiscard]] std::map<std::string, std::string, std::less<>> declared(const Element& element,
                                                                           std::size_t& effort) const;

  private:
    struct Compound {
        std::string name; ///< "" for any
        std::vector<std::string> ids, classes;
        std::vector<std::pair<std::string, std::optional<std::string>>> attributes;
        bool child = false; ///< must be the child of the compound before; else any descendant
    };
    struct Selector {
        std::vector<Compound> compounds; ///< outermost first
        int specificity = 0;
        std::size_t block = 0;
    };
    static bool read_selector(std::string_view text, Selector& selector);
    static bool read_compound(std::string_view text, std::size_t& at, Compound& compound);
    [[nodiscard]] static bool matches(const Compound& compound, const Element& element);
    [[nodiscard]] static bool matches(const Selector& selector, std::size_t last, const Element& element);

    std::vector<std::vector<Declaration>> blocks_;
    std::vector<Selector> selectors_;
    std::map<std::string, std::vector<std::size_t>, std::less<>> by_key_; ///< "#id", ".class", "name" or "*"
};

} // namespace kerfwright::drawing
