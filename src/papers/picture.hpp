#pragma once
// Private to papers/: a drawing as plain marks on paper, made once and then written as PDF or as SVG.
// Lengths are mm on paper, the origin lies at the lower left, Y runs up.

#include "papers/papers.hpp"

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace kerfwright::papers {

struct Ink {
    double width = 0.2;
    double grey = 0; ///< 0 black, 1 white
    bool dashed = false;
    std::optional<Colour> colour = {}; ///< instead of the grey
};

/// Length of a dash and of the gap after it, mm; round ends reach half the width into the gap.
[[nodiscard]] inline std::pair<double, double> dashes_of(const Ink& ink) {
    return {1.6, ink.width > 0.3 ? 1.0 + ink.width : 1.2};
}

/// Closed rings; filled even-odd where `fill` >= 0, stroked where the ink has a width.
struct Rings {
    std::vector<std::vector<plane::Vec>> rings;
    double fill = -1; ///< grey
    Ink ink;
};
struct Segments {
    std::vector<std::pair<plane::Vec, plane::Vec>> segments;
    Ink ink;
};
/// An open line through its points.
struct Polyline {
    std::vector<plane::Vec> points;
    Ink ink;
};
/// Filled black.
struct Dots {
    std::vector<plane::Vec> at;
    double radius = 0.2;
};
enum class Anchor { left, middle, right };
/// One line of text with a white halo; `at` is the middle of its height at the anchor.
struct Text {
    plane::Vec at;
    std::string text;
    double size = 2.6; ///< height of the type
    Anchor anchor = Anchor::middle;
    bool bold = false;
    bool upwards = false; ///< reads from below to above
};
using Item = std::variant<Rings, Segments, Polyline, Dots, Text>;

struct Picture {
    std::vector<Item> items; ///< in order of painting
    double width = 0, height = 0;
    double scale = 1;             ///< mm on paper for one mm
    std::string scale_text;       ///< "1:2.5"
    std::vector<std::string> key; ///< what the numbers in the picture stand for: "1 tuff-3"
};

/// At the largest round scale at which the picture is no larger than the given room.
[[nodiscard]] Picture compose(const Drawn& drawing, double most_width, double most_height);

/// Room that a line of text takes, mm; an estimate on the safe side for plain sans-serif type.
[[nodiscard]] double text_width(const std::string& text, double size);

/// Valid UTF-8 without control characters; what is not becomes U+FFFD or a space.
[[nodiscard]] std::string clean_text(const std::string& text);
/// The same of a text's first bytes, with an ellipsis where that is not all.
[[nodiscard]] std::string shortened(const std::string& text, std::size_t bytes);

} // namespace kerfwright::papers
