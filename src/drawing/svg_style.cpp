#include "drawing/svg_style.hpp"

namespace kerfwright::drawing {
namespace {

void set_fill(SvgStyle& style, std::string_view value) {
    if (value.empty() || value == "inherit" || value == "unset") return;
    if (value == "initial") value = "black";
    std::optional<std::string> colour;
    if (value == "none") {
        colour = "";
    } else if (value == "currentColor" || value == "currentcolor") {
        colour = style.colour;
    } else if (value.substr(0, 4) == "url(") {
        const std::size_t end = value.find(')');
        style.painted = true;
        style.fill = end == std::string_view::npos ? "" : parse_colour(value.substr(end + 1)).value_or("");
        return;
    } else {
        colour = parse_colour(value);
    }
    if (!colour) return; // not valid: CSS goes on with what is inherited
    style.painted = !colour->empty();
    style.fill = *colour;
}

} // namespace

void inherit(SvgStyle& style, const Properties& of) {
    if (const auto colour = parse_colour(of.get("color"))) style.colour = *colour;
    set_fill(style, of.get("fill"));
    const std::string_view rule = of.get("fill-rule");
    if (rule == "evenodd") style.even_odd = true;
    if (rule == "nonzero") style.even_odd = false;
    const std::string_view visibility = of.get("visibility");
    if (visibility == "visible") style.visible = true;
    if (visibility == "hidden" || visibility == "collapse") style.visible = false;
}

} // namespace kerfwright::drawing
