#include "papers/canvas.hpp"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::papers {
namespace {

constexpr double kPoint = 25.4 / 72; // mm

cairo_status_t append(void* to, const unsigned char* bytes, unsigned length) {
    static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), length);
    return CAIRO_STATUS_SUCCESS;
}

} // namespace

Canvas::Canvas(double width, double height, const std::string& title, std::string& bytes)
    : surface_(cairo_pdf_surface_create_for_stream(append, &bytes, width / kPoint, height / kPoint)),
      cairo_(cairo_create(surface_)), pango_(pango_cairo_create_context(cairo_)), layout_(pango_layout_new(pango_)) {
    cairo_pdf_surface_restrict_to_version(surface_, CAIRO_PDF_VERSION_1_5);
    cairo_pdf_surface_set_metadata(surface_, CAIRO_PDF_METADATA_TITLE, title.c_str());
    cairo_pdf_surface_set_metadata(surface_, CAIRO_PDF_METADATA_CREATOR, "Kerfwright");
    // No date inside: the same paper gives the same bytes.
    cairo_pdf_surface_set_metadata(surface_, CAIRO_PDF_METADATA_CREATE_DATE, nullptr);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(pango_, options);
    cairo_font_options_destroy(options);
    pango_cairo_context_set_resolution(pango_, 72);
    pango_context_set_round_glyph_positions(pango_, FALSE);
    pango_context_set_base_dir(pango_, PANGO_DIRECTION_LTR);
    pango_context_set_language(pango_, pango_language_from_string("en"));
}

Canvas::~Canvas() {
    g_object_unref(layout_);
    g_object_unref(pango_);
    cairo_destroy(cairo_);
    cairo_surface_destroy(surface_);
}

void Canvas::next_page() {
    cairo_show_page(cairo_);
}

bool Canvas::finish() {
    cairo_surface_finish(surface_);
    return cairo_status(cairo_) == CAIRO_STATUS_SUCCESS && cairo_surface_status(surface_) == CAIRO_STATUS_SUCCESS;
}

PangoLayout* Canvas::layout(const std::string& text, const Type& type, double width) const {
    PangoFontDescription* font = pango_font_description_new();
    pango_font_description_set_family_static(font, "DejaVu Sans");
    pango_font_description_set_absolute_size(font, type.size * PANGO_SCALE);
    pango_font_description_set_weight(font, type.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout_, font);
    pango_font_description_free(font);
    // Ligatures would hide letters from a search.
    PangoAttrList* attributes = pango_attr_list_new();
    pango_attr_list_insert(attributes, pango_attr_font_features_new("liga=0"));
    pango_layout_set_attributes(layout_, attributes);
    pango_attr_list_unref(attributes);
    pango_layout_set_width(layout_, width > 0 ? static_cast<int>(width / kPoint * PANGO_SCALE) : -1);
    pango_layout_set_wrap(layout_, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(layout_, PANGO_ALIGN_LEFT);
    pango_layout_set_text(layout_, text.c_str(), static_cast<int>(text.size()));
    return layout_;
}

Canvas::Size Canvas::measure(const std::string& text, const Type& type, double width) const {
    PangoRectangle box;
    pango_layout_get_extents(layout(text, type, width), nullptr, &box);
    return {box.width * kPoint / PANGO_SCALE, box.height * kPoint / PANGO_SCALE};
}

void Canvas::text(double x, double y, const std::string& text, const Type& type, double width, Align align) {
    PangoLayout* lines = layout(text, type, width);
    if (align == Align::right && width > 0) pango_layout_set_alignment(lines, PANGO_ALIGN_RIGHT);
    cairo_set_source_rgb(cairo_, type.grey, type.grey, type.grey);
    cairo_move_to(cairo_, x / kPoint, y / kPoint);
    pango_cairo_show_layout(cairo_, lines);
}

std::string Canvas::cut_to(const std::string& text, const Type& type, double width) const {
    if (measure(text, type).width <= width) return text;
    std::string start = text;
    while (!start.empty() && measure(start + "…", type).width > width) {
        while (!start.empty() && (static_cast<unsigned char>(start.back()) & 0xC0U) == 0x80U)
            start.pop_back();
        if (!start.empty()) start.pop_back();
    }
    return start + "…";
}

void Canvas::line(double x1, double y1, double x2, double y2, double width, double grey) {
    cairo_set_source_rgb(cairo_, grey, grey, grey);
    cairo_set_line_width(cairo_, width / kPoint);
    cairo_move_to(cairo_, x1 / kPoint, y1 / kPoint);
    cairo_line_to(cairo_, x2 / kPoint, y2 / kPoint);
    cairo_stroke(cairo_);
}

void Canvas::box(double x, double y, double width, double height, double line_width) {
    cairo_set_source_rgb(cairo_, 0, 0, 0);
    cairo_set_line_join(cairo_, CAIRO_LINE_JOIN_MITER);
    cairo_set_line_width(cairo_, line_width / kPoint);
    cairo_rectangle(cairo_, x / kPoint, y / kPoint, width / kPoint, height / kPoint);
    cairo_stroke(cairo_);
}

void Canvas::caution_sign(double x, double y, double size) {
    const double side = size * 2 / std::sqrt(3.0);
    cairo_save(cairo_);
    cairo_scale(cairo_, 1 / kPoint, 1 / kPoint);
    cairo_set_source_rgb(cairo_, 0, 0, 0);
    cairo_set_line_join(cairo_, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(cairo_, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_width(cairo_, size * 0.1);
    cairo_move_to(cairo_, x + side / 2, y);
    cairo_line_to(cairo_, x + side, y + size);
    cairo_line_to(cairo_, x, y + size);
    cairo_close_path(cairo_);
    cairo_stroke(cairo_);
    cairo_set_line_width(cairo_, size * 0.13);
    cairo_move_to(cairo_, x + side / 2, y + size * 0.36);
    cairo_line_to(cairo_, x + side / 2, y + size * 0.64);
    cairo_move_to(cairo_, x + side / 2, y + size * 0.82);
    cairo_line_to(cairo_, x + side / 2, y + size * 0.82);
    cairo_stroke(cairo_);
    cairo_restore(cairo_);
}

/// Paints the items of a picture.
class Canvas::Painter {
  public:
    Painter(Canvas& canvas, double x, double bottom) : canvas_(canvas), cairo_(canvas.cairo_), x_(x), bottom_(bottom) {}

    void operator()(const Rings& rings) {
        for (const auto& ring : rings.rings) {
            for (std::size_t i = 0; i < ring.size(); ++i)
                to(ring[i], i == 0);
            cairo_close_path(cairo_);
        }
        if (rings.fill >= 0) {
            cairo_set_fill_rule(cairo_, CAIRO_FILL_RULE_EVEN_ODD);
            cairo_set_source_rgb(cairo_, rings.fill, rings.fill, rings.fill);
            cairo_fill_preserve(cairo_);
        }
        stroke(rings.ink);
    }
    void operator()(const Segments& segments) {
        for (const auto& [a, b] : segments.segments) {
            to(a, true);
            to(b, false);
        }
        stroke(segments.ink);
    }
    void operator()(const Polyline& line) {
        for (std::size_t i = 0; i < line.points.size(); ++i)
            to(line.points[i], i == 0);
        stroke(line.ink);
    }
    void operator()(const Dots& dots) {
        for (const plane::Vec v : dots.at) {
            to(v, true);
            cairo_close_path(cairo_);
        }
        stroke({.width = 2 * dots.radius});
    }
    void operator()(const Text& text) {
        constexpr double kHalo = 0.5;
        const Type type{text.size / kPoint, text.bold, 0};
        PangoLayout* line = canvas_.layout(text.text, type, 0);
        PangoRectangle box;
        pango_layout_get_extents(line, nullptr, &box);
        const double width = box.width / static_cast<double>(PANGO_SCALE);
        const double height = box.height / static_cast<double>(PANGO_SCALE);
        const double share = text.anchor == Anchor::left ? 0 : text.anchor == Anchor::middle ? 0.5 : 1;
        cairo_save(cairo_);
        cairo_translate(cairo_, (x_ + text.at.x) / kPoint, (bottom_ - text.at.y) / kPoint);
        if (text.upwards) cairo_rotate(cairo_, -std::numbers::pi / 2);
        cairo_move_to(cairo_, -share * width, -height / 2);
        pango_cairo_layout_path(cairo_, line);
        stroke({.width = 2 * kHalo, .grey = 1});
        cairo_set_source_rgb(cairo_, 0, 0, 0);
        cairo_move_to(cairo_, -share * width, -height / 2);
        pango_cairo_show_layout(cairo_, line);
        cairo_restore(cairo_);
    }

  private:
    void to(plane::Vec v, bool first) {
        const double x = (x_ + v.x) / kPoint;
        const double y = (bottom_ - v.y) / kPoint;
        first ? cairo_move_to(cairo_, x, y) : cairo_line_to(cairo_, x, y);
    }
    void stroke(const Ink& ink) {
        if (ink.width > 0) {
            const auto [dash, gap] = dashes_of(ink);
            const double dashes[] = {dash / kPoint, gap / kPoint};
            cairo_set_line_cap(cairo_, CAIRO_LINE_CAP_ROUND);
            cairo_set_line_join(cairo_, CAIRO_LINE_JOIN_ROUND);
            cairo_set_dash(cairo_, dashes, ink.dashed ? 2 : 0, 0);
            cairo_set_line_width(cairo_, ink.width / kPoint);
            const Colour paint = ink.colour.value_or(Colour{ink.grey, ink.grey, ink.grey});
            cairo_set_source_rgb(cairo_, paint.red, paint.green, paint.blue);
            cairo_stroke(cairo_);
            cairo_set_dash(cairo_, dashes, 0, 0);
        }
        cairo_new_path(cairo_);
    }

    Canvas& canvas_;
    cairo_t* cairo_;
    double x_, bottom_;
};

void Canvas::picture(const Picture& picture, double x, double y) {
    Painter painter(*this, x, y + picture.height);
    for (const Item& item : picture.items)
        std::visit(painter, item);
}

} // namespace kerfwright::papers
