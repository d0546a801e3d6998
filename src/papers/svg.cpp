// Pictures as SVG: 1 unit is 1 mm of what is drawn, so that it can be measured and opened by any drawing program.

#include "papers/picture.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::papers {
namespace {

constexpr double kPaperWidth = 180;
constexpr double kPaperHeight = 220;
constexpr double kLine = 4; // mm on paper, a line of caption or key

std::string escaped(const std::string& text) {
    std::string out;
    for (const char c : text) {
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else
            out += c;
    }
    return out;
}

/// Paper to picture: real size, Y down.
class Writer {
  public:
    explicit Writer(const Picture& picture, std::size_t lines)
        : unit_(1 / picture.scale), height_(picture.height),
          text_(fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.3f}mm\" height=\"{1:.3f}mm\" "
                            "viewBox=\"0 0 {0:.3f} {1:.3f}\" "
                            "font-family=\"DejaVu Sans, Verdana, sans-serif\" fill=\"none\" stroke-linecap=\"round\" "
                            "stroke-linejoin=\"round\">\n",
                            picture.width * unit_, (picture.height + kLine * static_cast<double>(lines)) * unit_)) {}

    void operator()(const Rings& rings) {
        std::string path;
        for (const auto& ring : rings.rings) {
            for (std::size_t i = 0; i < ring.size(); ++i)
                path += (i == 0 ? "M" : "L") + point(ring[i]);
            path += "Z";
        }
        text_ += fmt::format("<path d=\"{}\"{}{}/>\n", path,
                             rings.fill >= 0 ? fmt::format(" fill=\"{}\" fill-rule=\"evenodd\"", grey(rings.fill)) : "",
                             stroke(rings.ink));
    }
    void operator()(const Segments& segments) {
        std::string path;
        for (const auto& [a, b] : segments.segments)
            path += "M" + point(a) + "L" + point(b);
        if (!path.empty()) text_ += fmt::format("<path d=\"{}\"{}/>\n", path, stroke(segments.ink));
    }
    void operator()(const Polyline& line) {
        std::string path;
        for (const plane::Vec v : line.points)
            path += (path.empty() ? "M" : "L") + point(v);
        if (!path.empty()) text_ += fmt::format("<path d=\"{}\"{}/>\n", path, stroke(line.ink));
    }
    void operator()(const Dots& dots) {
        // Strokes of no length with round ends are discs.
        std::string path;
        for (const plane::Vec v : dots.at)
            path += "M" + point(v) + "h0";
        if (!path.empty()) text_ += fmt::format("<path d=\"{}\"{}/>\n", path, stroke({.width = 2 * dots.radius}));
    }
    void operator()(const Text& text) {
        const char* anchor = text.anchor == Anchor::left ? "start" : text.anchor == Anchor::middle ? "middle" : "end";
        const plane::Vec at{text.at.x * unit_, (height_ - text.at.y) * unit_};
        text_ += fmt::format(
            "<text transform=\"translate({:.3f} {:.3f}){}\" y=\"{:.3f}\" font-size=\"{:.3f}\" text-anchor=\"{}\"{} "
            "fill=\"#000\" stroke=\"#fff\" stroke-width=\"{:.3f}\" paint-order=\"stroke\">{}</text>\n",
            at.x, at.y, text.upwards ? " rotate(-90)" : "", 0.36 * text.size * unit_, text.size * unit_, anchor,
            text.bold ? " font-weight=\"bold\"" : "", unit_, escaped(text.text));
    }
    void line_below(std::size_t k, const std::string& text) {
        const double y = height_ + kLine * (static_cast<double>(k) + 0.7);
        text_ += fmt::format("<text x=\"{:.3f}\" y=\"{:.3f}\" font-size=\"{:.3f}\" fill=\"#000\">{}</text>\n",
                             9 * unit_, y * unit_, 2.4 * unit_, escaped(text));
    }
    std::string done() && { return std::move(text_) + "</svg>\n"; }

  private:
    [[nodiscard]] std::string point(plane::Vec v) const {
        return fmt::format("{:.3f} {:.3f}", v.x * unit_, (height_ - v.y) * unit_);
    }
    [[nodiscard]] static std::string grey(double value) {
        const auto level = static_cast<unsigned>(std::lround(value * 255));
        return fmt::format("#{0:02x}{0:02x}{0:02x}", level);
    }
    [[nodiscard]] static std::string paint(const Ink& ink) {
        if (!ink.colour) return grey(ink.grey);
        const auto level = [](double value) { return static_cast<unsigned>(std::lround(value * 255)); };
        return fmt::format("#{:02x}{:02x}{:02x}", level(ink.colour->red), level(ink.colour->green),
                           level(ink.colour->blue));
    }
    [[nodiscard]] std::string stroke(const Ink& ink) const {
        if (ink.width <= 0) return "";
        return fmt::format(" stroke=\"{}\" stroke-width=\"{:.3f}\"{}", paint(ink), ink.width * unit_,
                           ink.dashed ? fmt::format(" stroke-dasharray=\"{:.3f} {:.3f}\"", dashes_of(ink).first * unit_,
                                                    dashes_of(ink).second * unit_)
                                      : "");
    }

    double unit_, height_;
    std::string text_;
};

/// The key in lines that are no wider than the picture.
std::vector<std::string> key_lines(const Picture& picture) {
    std::vector<std::string> lines;
    for (const std::string& entry : picture.key) {
        const bool fits = !lines.empty() && text_width(lines.back() + "   " + entry, 2.4) < picture.width - 12;
        if (fits)
            lines.back() += "   " + entry;
        else
            lines.push_back(entry);
    }
    return lines;
}

} // namespace

std::string write_svg(const Drawn& drawing) {
    const Picture picture = compose(drawing, kPaperWidth, kPaperHeight);
    std::vector<std::string> lines = key_lines(picture);
    if (!drawing.caption.empty()) lines.insert(lines.begin(), clean_text(drawing.caption));
    Writer writer(picture, lines.empty() ? 0 : lines.size() + 1);
    writer(Rings{{{{0, -1e4}, {1e4, -1e4}, {1e4, 1e4}, {0, 1e4}}}, 1, {.width = 0}});
    for (const Item& item : picture.items)
        std::visit(writer, item);
    for (std::size_t k = 0; k < lines.size(); ++k)
        writer.line_below(k, lines[k]);
    return std::move(writer).done();
}

} // namespace kerfwright::papers
