#pragma once
// What the shop carries to the machine. Papers know only what is drawn and written on them: values made by job/.

#include "base/result.hpp"
#include "plane/shape.hpp"

#include <string>
#include <utility>
#include <vector>

namespace kerfwright::papers {

/// How an area is told apart in black and white: a hatch or a grey, never a colour alone.
enum class Fill { none, light, dots, lines, cross, back_lines, dark, dashes, grid };

struct DrawnArea {
    plane::Shape shape;
    std::string label;
    Fill fill = Fill::none;
    bool outline_dashed = false;
    bool outlined = true; ///< false: only its label and fill
};

struct DrawnBox {
    plane::Box box;
    std::string label;
};

struct DrawnMark {
    plane::Vec at;
    std::string label; ///< "zero", "measure 1", ...
    enum class Kind { zero, measure, tab, opening, place } kind = Kind::measure;
};

/// sRGB, 0 to 1.
struct Colour {
    double red = 0, green = 0, blue = 0;
};
/// A class of a measured quantity. Its lines differ from those of other classes by weight or dashes as well, so that
/// they are told apart without colour; the label stands beside a sample of the line.
struct LineClass {
    std::string label; ///< "0.005 to 0.020 mm wider"
    Colour colour;
    double width = 0.5; ///< mm on paper
    bool dashed = false;
};
/// An open line of a class (its index in Drawn::classes).
struct DrawnLine {
    std::vector<plane::Vec> points;
    std::size_t line_class = 0;
};

/// A drawing in mm: areas, lines, boxes (clamps) and marks over an optional frame (the sheet).
struct Drawn {
    plane::Shape frame;
    std::vector<DrawnArea> areas;
    std::vector<DrawnBox> boxes;
    std::vector<DrawnMark> marks;
    std::string caption;
    std::vector<LineClass> classes; ///< all of them stand in the legend, in this order
    std::vector<DrawnLine> lines;
};

struct Table {
    std::vector<std::string> head;
    std::vector<std::vector<std::string>> rows;
};

/// A block of a page, in reading order.
struct Block {
    std::string heading;
    std::vector<std::pair<std::string, std::string>> facts; ///< "stock", "610 x 305 x 6.20 mm walnut"
    Table table;
    std::vector<std::string> lines; ///< sentences, as a list
    bool caution = false;           ///< framed
};

/// One sheet of paper (continues on further pages where it must).
struct Page {
    std::string title;
    std::string subtitle;
    Drawn drawing; ///< at the largest round scale that fits (1:1, 1:2, 1:2.5, 1:4, 1:5 ...), printed with a scale bar
    std::vector<Block> blocks;
};

struct Paper {
    std::string title; ///< of the document
    std::vector<Page> pages;
};

/// A4, vector, mm-true, searchable, grey but for classes of lines; the same bytes for the same value (no dates inside)
/// on one installation of the libraries and fonts. Text that is no valid UTF-8 is mended, sentences above 2,000 bytes
/// and cells above 1,000 are cut with an ellipsis, places that are not finite are left out. Fails on a paper without
/// pages or with more than 400 sides.
[[nodiscard]] Result<std::string> write_pdf(const Paper& paper);

/// A picture as SVG of its own, 1 unit = 1 mm of what is drawn.
[[nodiscard]] std::string write_svg(const Drawn& drawing);

} // namespace kerfwright::papers
