#pragma once
// Private to drawing/: an XML text as a tree of plain values, with the place of every element and attribute. Parsed by
// libxml2; nothing is fetched, no entity is expanded but short plain texts declared in the file itself.

#include "base/result.hpp"

#include <deque>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::drawing {

/// 1-based; columns count characters.
struct Place {
    int line = 0, column = 0;
};
/// The place `offset` bytes into a text that begins at `start`.
[[nodiscard]] Place advanced(Place start, std::string_view text, std::size_t offset);

struct Attribute {
    std::string name; ///< as written, with its prefix: "xlink:href"
    std::string value;
    Place place; ///< of the value
};

struct Element {
    std::string name;  ///< without its prefix
    std::string space; ///< namespace, "" when there is none
    std::vector<Attribute> attributes;
    std::vector<const Element*> children;
    const Element* parent = nullptr;
    std::string text; ///< of the elements that `keep_text` names, comments left out
    Place place;

    [[nodiscard]] const Attribute* find(std::string_view attribute) const;
    /// By the name without its prefix; one without a prefix is preferred.
    [[nodiscard]] const Attribute* find_local(std::string_view local) const;
};

struct XmlLimits {
    int depth = 200;
    std::size_t elements = 1'000'000;
    int attributes = 500; ///< of one element
    int namespaces = 50;  ///< declared by one element
};

/// Elements in the order of the file, the root first. Pointers stay valid when the document is moved.
struct Document {
    std::deque<Element> elements;
};

[[nodiscard]] Result<Document> parse_xml(std::string_view text, const std::string& file,
                                         const std::vector<std::string_view>& keep_text, const XmlLimits& limits = {});

} // namespace kerfwright::drawing
