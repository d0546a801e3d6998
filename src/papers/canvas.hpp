#pragma once
// Private to papers/: text and marks on a PDF surface. Lengths are mm on paper, the origin lies at the upper left, Y
// runs down; type sizes are points.

#include "papers/picture.hpp"

#include <cairo.h>
#include <pango/pango.h>

#include <memory>
#include <string>

namespace kerfwright::papers {

struct Type {
    double size = 8.5; ///< points
    bool bold = false;
    double grey = 0;
};

class Canvas {
  public:
    /// A PDF whose bytes are appended to `bytes`; finished when the canvas goes.
    Canvas(double width, double height, const std::string& title, std::string& bytes);
    ~Canvas();
    Canvas(const Canvas&) = delete;
    Canvas& operator=(const Canvas&) = delete;

    void next_page();
    /// False when the library reports a fault.
    [[nodiscard]] bool finish();

    struct Size {
        double width = 0, height = 0;
    };
    /// Of the text, wrapped at `width` mm where that is above 0.
    [[nodiscard]] Size measure(const std::string& text, const Type& type, double width = 0) const;
    /// The text, or as much of its start as goes on a line of that width, with an ellipsis.
    [[nodiscard]] std::string cut_to(const std::string& text, const Type& type, double width) const;
    enum class Align { left, right };
    /// `x`, `y`: upper left corner of the text's box, which is `width` wide where that is above 0.
    void text(double x, double y, const std::string& text, const Type& type, double width = 0,
              Align align = Align::left);

    void line(double x1, double y1, double x2, double y2, double width, double grey = 0);
    void box(double x, double y, double width, double height, double line_width);
    /// A triangle with an exclamation mark, `size` mm high.
    void caution_sign(double x, double y, double size);
    void picture(const Picture& picture, double x, double y);

  private:
    class Painter;
    [[nodiscard]] PangoLayout* layout(const std::string& text, const Type& type, double width) const;

    cairo_surface_t* surface_;
    cairo_t* cairo_;
    PangoContext* pango_;
    mutable PangoLayout* layout_;
};

} // namespace kerfwright::papers
