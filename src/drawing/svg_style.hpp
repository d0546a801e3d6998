#pragma once
// Private to drawing/: the properties of an SVG element, and those that its children inherit.

#include "drawing/css.hpp"

namespace kerfwright::drawing {

/// Inherited properties.
struct SvgStyle {
    std::string fill = "#000000"; ///< as Outline has it
    std::string colour = "#000000";
    bool painted = true;
    bool even_odd = false;
    bool visible = true;
};

/// The cascade for one element: style sheet and style attribute before presentation attributes.
class Properties {
  public:
    Properties(const Element& element, const StyleSheet& sheet, std::size_t& effort)
        : element_(element), declared_(sheet.declared(element, effort)) {}

    [[nodiscard]] std::string_view get(std::string_view name) const {
        if (const auto found = declared_.find(name); found != declared_.end()) return found->second;
        const Attribute* attribute = element_.find(name);
        return attribute == nullptr ? std::string_view{} : std::string_view(attribute->value);
    }
    /// Where the value stands: the attribute, or the element when it comes from CSS.
    [[nodiscard]] Place place(std::string_view name, std::size_t offset) const {
        const Attribute* attribute = element_.find(name);
        if (attribute == nullptr || declared_.find(name) != declared_.end()) return element_.place;
        return advanced(attribute->place, attribute->value, offset);
    }
    [[nodiscard]] const Element& element() const { return element_; }

  private:
    const Element& element_;
    std::map<std::string, std::string, std::less<>> declared_;
};

/// Takes over what the element sets itself. Values that are not valid change nothing, as CSS asks.
void inherit(SvgStyle& style, const Properties& of);

} // namespace kerfwright::drawing
