#pragma once
// Private to drawing/: the small languages inside SVG attributes (SVG 2: path data 9.3, transform 8.5 and CSS
// Transforms 1, lengths 8.9, viewBox and preserveAspectRatio 8.6-8.7).

#include "drawing/curves.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace kerfwright::drawing {

/// A fault in an attribute's value, `at` bytes into it.
struct ValueFault {
    std::size_t at = 0;
    std::string what;
};

/// Walks over a value. Numbers are taken as SVG writes them: "1.5.5-3" is three of them.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : text_(text) {}
    void skip_space();
    void skip_comma_space(); ///< spaces and at most one comma
    /// False, and nothing taken, when no finite number follows.
    bool number(double& value);
    bool flag(bool& value); ///< "0" or "1"
    bool take(char c);
    /// Letters, digits and '-'.
    std::string_view word();
    [[nodiscard]] bool done() const { return at_ >= text_.size(); }
    [[nodiscard]] char peek() const { return done() ? '\0' : text_[at_]; }
    [[nodiscard]] std::size_t at() const { return at_; }

  private:
    std::string_view text_;
    std::size_t at_ = 0;
};

/// CSS pixels in one unit: "" and px 1, in 96, cm, mm, Q, pt, pc; 0 for what depends on a font or is no unit.
[[nodiscard]] double pixels_in(std::string_view unit);
/// A length in pixels; a percentage is of `whole`. A fault for em, ex, unknown units, and rubbish.
[[nodiscard]] std::variant<double, ValueFault> parse_length(std::string_view text, double whole);

/// Subpaths in the element's own coordinates; those with a moveto only are left out. Unlike a viewer, which draws what
/// stands before an error, this refuses all.
[[nodiscard]] std::variant<std::vector<Chain>, ValueFault> parse_path(std::string_view data);
/// points="..." of polygon and polyline.
[[nodiscard]] std::variant<std::vector<Vec>, ValueFault> parse_points(std::string_view data);
/// The transform attribute or property; units on angles and lengths are those of CSS.
[[nodiscard]] std::variant<Affine, ValueFault> parse_transform(std::string_view text);

struct ViewBox {
    double x = 0, y = 0, width = 0, height = 0;
};
[[nodiscard]] std::variant<ViewBox, ValueFault> parse_view_box(std::string_view text);
/// The map from the view box to a viewport of the given size whose corner is (0, 0).
[[nodiscard]] std::variant<Affine, ValueFault> fit_view_box(const ViewBox& box, Vec viewport,
                                                            std::string_view aspect_ratio);

/// The elliptical arc of path data: SVG 2, B.2.4 (radii too small are scaled up; a radius of 0 makes a line).
[[nodiscard]] Piece svg_arc(Vec from, double rx, double ry, double rotation_deg, bool large, bool sweep, Vec to);

} // namespace kerfwright::drawing
