// SVG 1.1 and 2, as far as it draws areas. Units are CSS pixels until the root's map takes them to mm, Y up.

#include "drawing/svg_style.hpp"
#include "drawing/svg_values.hpp"
#include "drawing/tracing.hpp"
#include "drawing/xml.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>

namespace kerfwright::drawing {
namespace {

constexpr std::string_view kSvgSpace = "http://www.w3.org/2000/svg";
constexpr double kMmPerPixel = 25.4 / 96;
constexpr int kMostDepth = 400;
constexpr std::size_t kMostVisits = 1'000'000; ///< elements, each as often as `use` draws it
constexpr std::size_t kMostPieces = 4'000'000;
constexpr std::size_t kMostEffort = 100'000'000; ///< comparisons of CSS rules with elements

constexpr std::array<std::string_view, 7> kShapes{"path", "rect", "circle", "ellipse", "polygon", "polyline", "line"};
/// Things that viewers show and that are not areas to cut.
constexpr std::array<std::string_view, 5> kNotAreas{"text", "image", "foreignObject", "video", "canvas"};

template <std::size_t N>
bool among(const std::array<std::string_view, N>& names, std::string_view name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

/// What an element inherits from where it stands.
struct Context {
    Affine map;   ///< user units to mm
    Vec viewport; ///< what percentages are of; NaN when nobody knows
    SvgStyle style;
    std::string layer;
    std::string clone; ///< id of the `use` that draws this
    bool clone_is_shape = false;
    int depth = 0;
};

std::string name_of(const Element& element) {
    const Attribute* id = element.find("id");
    return id == nullptr ? element.name : fmt::format("{} '{}'", element.name, id->value);
}

class SvgReader {
  public:
    SvgReader(const Document& document, const std::string& file, const ReadOptions& options)
        : document_(document), file_(file), options_(options) {}

    Result<Tracings> read() {
        for (const Element& element : document_.elements) {
            if (const Attribute* id = element.find("id")) ids_.emplace(id->value, &element);
            if (element.name == "style") add_style(element);
        }
        root(document_.elements.front());
        if (problem_) return *problem_;
        if (hidden_ > 0)
            note(fmt::format("{} hidden shape{} left out", hidden_, hidden_ == 1 ? " was" : "s were"), "", {});
        return std::move(tracings_);
    }

  private:
    // Faults and notes.

    void refuse(Place at, std::string what, std::string remedy) {
        if (!problem_) problem_ = Problem{file_, at.line, at.column, std::move(what), std::move(remedy)};
    }
    void refuse(const Properties& of, std::string_view name, const ValueFault& fault) {
        refuse(of.place(name, fault.at),
               fmt::format("{} of {}, character {}: {}", name, name_of(of.element()), fault.at + 1, fault.what),
               "mend the value");
    }
    void note(std::string text, std::string region, Vec at) {
        std::vector<std::string> regions;
        if (!region.empty()) regions.push_back(std::move(region));
        tracings_.notes.push_back({Note::Kind::ignored, std::move(text), std::move(regions), at, 0});
    }
    /// The value, or its default with the fault kept.
    template <class T>
    T taken(std::variant<T, ValueFault> result, const Properties& of, std::string_view name) {
        if (const auto* fault = std::get_if<ValueFault>(&result)) {
            refuse(of, name, *fault);
            return T{};
        }
        return std::move(std::get<T>(result));
    }

    void add_style(const Element& element) {
        std::vector<std::string> ignored;
        sheet_.add(element.text, ignored);
        for (const std::string& rule : ignored)
            note(fmt::format("CSS '{}' (line {}) is not understood and was passed over", rule.substr(0, 60),
                             element.place.line),
                 "", {});
    }

    // Values.

    std::optional<double> length(const Properties& of, std::string_view name, double whole) {
        const std::string_view text = of.get(name);
        if (text.empty() || text == "auto" || text == "inherit") return {};
        const double value = taken(parse_length(text, whole), of, name);
        if (std::isnan(value)) {
            refuse(of.place(name, 0),
                   fmt::format("{} of {} is a percentage, and the drawing has no size", name, name_of(of.element())),
                   "give the drawing a width and height, or a viewBox");
            return {};
        }
        return value;
    }
    double length_or(const Properties& of, std::string_view name, double whole, double otherwise) {
        return length(of, name, whole).value_or(otherwise);
    }
    double size(const Properties& of, std::string_view name, double whole) {
        const double value = length_or(of, name, whole, 0);
        if (value < 0)
            refuse(of.place(name, 0), fmt::format("{} of {} is negative", name, name_of(of.element())),
                   "mend the value");
        return value;
    }

    Affine transform(const Properties& of, const Context& context) {
        const std::string_view text = of.get("transform");
        if (text.empty()) return {};
        const Affine map = taken(parse_transform(text), of, "transform");
        const std::string_view origin = of.get("transform-origin");
        if (origin.empty()) return map;
        const std::string_view box = of.get("transform-box");
        if (!box.empty() && box != "view-box")
            refuse(of.element().place, fmt::format("transform-box {} is not read", box),
                   "apply the transforms in the drawing program");
        const Vec at = transform_origin(of, origin, context.viewport);
        return shift(at.x, at.y) * map * shift(-at.x, -at.y);
    }

    Vec transform_origin(const Properties& of, std::string_view text, Vec viewport) {
        std::array<std::string, 3> words{"0", "0", "0"};
        std::size_t count = 0;
        for (std::size_t i = 0; i < text.size() && count < 3;) {
            const std::size_t end = std::min(text.find_first_of(" ,", i), text.size());
            if (end > i) words[count++] = std::string(text.substr(i, end - i));
            i = end + 1;
        }
        const auto percent = [](const std::string& word) -> std::string {
            if (word == "left" || word == "top") return "0%";
            if (word == "center") return "50%";
            if (word == "right" || word == "bottom") return "100%";
            return word;
        };
        if (words[0] == "top" || words[0] == "bottom" || words[1] == "left" || words[1] == "right")
            std::swap(words[0], words[1]);
        if (count == 1) words[1] = "50%";
        return {taken(parse_length(percent(words[0]), viewport.x), of, "transform-origin"),
                taken(parse_length(percent(words[1]), viewport.y), of, "transform-origin")};
    }

    // Structure.

    void root(const Element& element) {
        const Properties properties(element, sheet_, effort_);
        const auto fixed = [&](std::string_view name) -> std::optional<double> {
            if (properties.get(name).find('%') != std::string_view::npos) return {};
            return length(properties, name, 0);
        };
        std::optional<double> width = fixed("width"), height = fixed("height");
        std::optional<ViewBox> box;
        if (!properties.get("viewBox").empty())
            box = taken(parse_view_box(properties.get("viewBox")), properties, "viewBox");
        if (problem_) return;
        if ((width && !(*width > 0)) || (height && !(*height > 0)))
            return refuse(element.place, "the drawing's width or height is not above 0",
                          "mend width and height of the svg element");
        if (!width && options_.width <= 0)
            note("the drawing gives no width of its own; one unit was taken as a pixel of 1/96 in", "", {});
        Context context;
        Vec viewport{width.value_or(std::nan("")), height.value_or(std::nan(""))};
        context.viewport = viewport;
        Affine inside;
        if (box) {
            if (!width && !height)
                viewport = {box->width, box->height};
            else if (!width)
                viewport.x = viewport.y * box->width / box->height;
            else if (!height)
                viewport.y = viewport.x * box->height / box->width;
            inside = taken(fit_view_box(*box, viewport, properties.get("preserveAspectRatio")), properties,
                           "preserveAspectRatio");
            context.viewport = {box->width, box->height};
        }
        context.map = stretch(kMmPerPixel, -kMmPerPixel) * transform(properties, context) * inside;
        inherit(context.style, properties);
        if (properties.get("display") == "none") return;
        children(element, context);
    }

    void children(const Element& element, const Context& context) {
        for (const Element* child : element.children) {
            if (problem_) return;
            walk(*child, context);
        }
    }

    void walk(const Element& element, Context context) {
        if (!element.space.empty() && element.space != kSvgSpace) return;
        if (++context.depth > kMostDepth)
            return refuse(element.place,
                          fmt::format("elements and their clones are nested more than {} deep", kMostDepth),
                          "flatten the groups");
        if (++visits_ > kMostVisits)
            return refuse(element.place,
                          fmt::format("the drawing has more than {} elements, counting clones", kMostVisits),
                          "simplify the drawing");
        const bool shape = among(kShapes, element.name),
                   group = element.name == "g" || element.name == "a" || element.name == "switch";
        const bool other = among(kNotAreas, element.name);
        if (!shape && !group && !other && element.name != "use" && element.name != "svg") return; // defs, title, ...

        const Properties properties(element, sheet_, effort_);
        if (effort_ > kMostEffort)
            return refuse(element.place, "the style sheet has too many rules for so many elements",
                          "simplify the drawing");
        if (properties.get("display") == "none") {
            hidden_ += count_shapes(element);
            return;
        }
        inherit(context.style, properties);
        context.map = context.map * transform(properties, context);
        for (const std::string_view cut : {"clip-path", "mask"})
            if (const auto value = properties.get(cut); !value.empty() && value != "none")
                note(fmt::format("{} of {} (line {}) is not applied; cut the shapes in the drawing program", cut,
                                 name_of(element), element.place.line),
                     "", context.map({0, 0}));
        if (problem_) return;
        if (shape) return draw(properties, context);
        if (other) return note_other(properties, context);
        if (element.name == "use") return use(properties, context);
        set_layer(element, context);
        if (element.name == "svg") return viewport(properties, context, {}, {});
        if (element.name == "switch") return choose(element, context);
        children(element, context);
    }

    /// The first child that a plain viewer would take.
    void choose(const Element& element, const Context& context) {
        for (const Element* child : element.children) {
            const Attribute* extensions = child->find("requiredExtensions");
            const Attribute* language = child->find("systemLanguage");
            if (extensions != nullptr || (language != nullptr && language->value.substr(0, 2) != "en")) continue;
            return walk(*child, context);
        }
    }

    static void set_layer(const Element& element, Context& context) {
        const Attribute* label = element.find_local("label");
        if (label == nullptr || label->value.empty()) label = element.find("id");
        if (label != nullptr && !label->value.empty()) context.layer = label->value;
    }

    static std::size_t count_shapes(const Element& element) {
        std::size_t count = among(kShapes, element.name) || element.name == "use" ? 1 : 0;
        for (const Element* child : element.children)
            count += count_shapes(*child);
        return count;
    }

    /// Inner svg, or a symbol drawn by `use`, whose width and height then count before its own.
    void viewport(const Properties& properties, Context context, std::optional<double> width,
                  std::optional<double> height) {
        const Vec outer = context.viewport;
        const double x = length_or(properties, "x", outer.x, 0), y = length_or(properties, "y", outer.y, 0);
        if (!width) width = length(properties, "width", outer.x);
        if (!height) height = length(properties, "height", outer.y);
        const Vec inner{width.value_or(outer.x), height.value_or(outer.y)};
        if (inner.x <= 0 || inner.y <= 0) return; // disables drawing
        context.map = context.map * shift(x, y);
        context.viewport = inner;
        if (!properties.get("viewBox").empty()) {
            const ViewBox box = taken(parse_view_box(properties.get("viewBox")), properties, "viewBox");
            if (problem_) return;
            if (std::isnan(inner.x) || std::isnan(inner.y))
                return refuse(properties.element().place,
                              fmt::format("{} has no size to fit its viewBox to", name_of(properties.element())),
                              "give the drawing a width and height, or a viewBox");
            context.map = context.map * taken(fit_view_box(box, inner, properties.get("preserveAspectRatio")),
                                              properties, "preserveAspectRatio");
            context.viewport = {box.width, box.height};
        }
        children(properties.element(), context);
    }

    void use(const Properties& properties, Context context) {
        const Element& element = properties.element();
        const Attribute* link = element.find_local("href");
        if (link == nullptr || link->value.empty()) return;
        if (link->value[0] != '#')
            return note(fmt::format("{} (line {}) takes '{}' from another file, which is not read", name_of(element),
                                    element.place.line, link->value),
                        "", context.map({0, 0}));
        const auto found = ids_.find(link->value.substr(1));
        if (found == ids_.end())
            return refuse(link->place,
                          fmt::format("{} draws '{}', which is not in the file", name_of(element), link->value),
                          "remove it or mend its href");
        const Element& target = *found->second;
        if (drawing_.count(&target) > 0 || is_inside(element, target))
            return refuse(link->place, fmt::format("{} draws itself by way of '{}'", name_of(element), link->value),
                          "remove it or mend its href");
        const double x = length_or(properties, "x", context.viewport.x, 0),
                     y = length_or(properties, "y", context.viewport.y, 0);
        context.map = context.map * shift(x, y);
        if (const Attribute* id = element.find("id")) {
            context.clone = context.clone.empty() ? id->value : context.clone + "/" + id->value;
            context.clone_is_shape = among(kShapes, target.name);
        }
        if (!among(kShapes, target.name)) set_layer(element, context);
        drawing_.insert(&target);
        if (target.name == "symbol" || target.name == "svg")
            clone_viewport(properties, target, context);
        else
            walk(target, context);
        drawing_.erase(&target);
    }

    void clone_viewport(const Properties& use, const Element& target, Context context) {
        const auto width = length(use, "width", context.viewport.x), height = length(use, "height", context.viewport.y);
        const Properties properties(target, sheet_, effort_);
        if (properties.get("display") == "none") return;
        if (++visits_ > kMostVisits || ++context.depth > kMostDepth)
            return refuse(target.place, "clones of clones: too many or too deep", "simplify the drawing");
        inherit(context.style, properties);
        context.map = context.map * transform(properties, context);
        viewport(properties, context, width, height);
    }

    static bool is_inside(const Element& element, const Element& target) {
        for (const Element* e = &element; e != nullptr; e = e->parent)
            if (e == &target) return true;
        return false;
    }

    void note_other(const Properties& properties, const Context& context) {
        const Element& element = properties.element();
        if (!context.style.visible) return;
        const Vec at = context.map({length_or(properties, "x", 0, 0), length_or(properties, "y", 0, 0)});
        const char* what =
            element.name == "text" ? "turn text to outlines (paths) if it is to be cut" : "only outlines are cut";
        note(fmt::format("{} (line {}) was left out; {}", name_of(element), element.place.line, what), "", at);
    }

    // Shapes.

    void draw(const Properties& properties, const Context& context) {
        const Element& element = properties.element();
        if (!context.style.visible) {
            ++hidden_;
            return;
        }
        std::vector<Chain> chains = outline_of(properties, context);
        if (problem_ || chains.empty()) return;
        Tracing tracing;
        for (Chain& chain : chains) {
            pieces_ += chain.pieces.size();
            tracing.chains.push_back(mapped(context.map, std::move(chain)));
        }
        if (pieces_ > kMostPieces)
            return refuse(element.place, "the drawing has too many points", "simplify the drawing");
        const Attribute* id = element.find("id");
        Outline& outline = tracing.outline;
        outline.id = id == nullptr ? "" : id->value;
        if (!context.clone.empty())
            outline.id =
                context.clone_is_shape || outline.id.empty() ? context.clone : context.clone + "/" + outline.id;
        outline.layer = context.layer;
        outline.fill = context.style.fill;
        outline.line = element.place.line;
        set_properties(element, outline);
        tracing.painted = context.style.painted && element.name != "line";
        // Without a fill the fill rule has no meaning to the eye; a ring in a ring is then taken as a hole.
        outline.even_odd = context.style.even_odd || !context.style.painted;
        tracing.what = outline.id.empty() ? element.name : fmt::format("{} '{}'", element.name, outline.id);
        tracings_.items.push_back(std::move(tracing));
    }

    static void set_properties(const Element& element, Outline& outline) {
        if (const Attribute* label = element.find_local("label"))
            outline.properties.emplace_back("label", label->value);
        for (const Element* child : element.children)
            if (child->name == "title") {
                outline.properties.emplace_back("title", child->text);
                break;
            }
        for (const Attribute& attribute : element.attributes)
            if (attribute.name == "class" || attribute.name.substr(0, 5) == "data-")
                outline.properties.emplace_back(attribute.name, attribute.value);
    }

    std::vector<Chain> outline_of(const Properties& p, const Context& context) {
        const std::string& name = p.element().name;
        const double w = context.viewport.x, h = context.viewport.y;
        if (name == "path") return taken(parse_path(p.get("d")), p, "d");
        if (name == "rect") return rectangle(p, w, h);
        if (name == "circle" || name == "ellipse") {
            const Vec centre{length_or(p, "cx", w, 0), length_or(p, "cy", h, 0)};
            double rx = 0, ry = 0;
            if (name == "circle") {
                rx = ry = size(p, "r", std::sqrt((w * w + h * h) / 2));
            } else {
                const auto x = length(p, "rx", w), y = length(p, "ry", h);
                rx = x ? size(p, "rx", w) : y.value_or(0); // auto: the other one
                ry = y ? size(p, "ry", h) : rx;
            }
            if (!(rx > 0) || !(ry > 0)) return {};
            return {full_ellipse(centre, {rx, 0}, {0, ry})};
        }
        if (name == "line") {
            const Vec from{length_or(p, "x1", w, 0), length_or(p, "y1", h, 0)},
                to{length_or(p, "x2", w, 0), length_or(p, "y2", h, 0)};
            return {Chain{from, {Line{to}}, false}};
        }
        const auto points = taken(parse_points(p.get("points")), p, "points");
        if (points.size() < 2) return {};
        Chain chain{points[0], {}, name == "polygon"};
        for (std::size_t i = 1; i < points.size(); ++i)
            chain.pieces.emplace_back(Line{points[i]});
        return {std::move(chain)};
    }

    std::vector<Chain> rectangle(const Properties& p, double w, double h) {
        const double x = length_or(p, "x", w, 0), y = length_or(p, "y", h, 0);
        const double width = size(p, "width", w), height = size(p, "height", h);
        if (!(width > 0) || !(height > 0)) return {};
        const auto given_x = length(p, "rx", w), given_y = length(p, "ry", h);
        const double rx = std::min(given_x ? size(p, "rx", w) : given_y.value_or(0), width / 2);
        const double ry = std::min(given_y ? size(p, "ry", h) : given_x.value_or(0), height / 2);
        const Vec a{x, y}, b{x + width, y + height};
        if (!(rx > 0) || !(ry > 0)) return {Chain{a, {Line{{b.x, a.y}}, Line{b}, Line{{a.x, b.y}}}, true}};
        const auto corner = [&](Vec centre, Vec u, Vec v) {
            return EllipseArc{centre, u, v, 0, std::numbers::pi / 2, centre + v};
        };
        const Vec ex{rx, 0}, ey{0, ry}, in{rx, ry}, across{rx, -ry};
        Chain chain{{a.x + rx, a.y}, {}, true};
        chain.pieces = {Line{{b.x - rx, a.y}}, corner(Vec{b.x, a.y} - across, ey * -1, ex),
                        Line{{b.x, b.y - ry}}, corner(b - in, ex, ey),
                        Line{{a.x + rx, b.y}}, corner(Vec{a.x, b.y} + across, ey, ex * -1),
                        Line{{a.x, a.y + ry}}, corner(a + in, ex * -1, ey * -1)};
        return {std::move(chain)};
    }

    const Document& document_;
    const std::string& file_;
    const ReadOptions& options_;
    StyleSheet sheet_;
    std::map<std::string, const Element*, std::less<>> ids_; ///< the first of each
    std::set<const Element*> drawing_;                       ///< targets of `use` on the way to here
    Tracings tracings_;
    std::optional<Problem> problem_;
    std::size_t visits_ = 0, effort_ = 0, pieces_ = 0, hidden_ = 0;
};

} // namespace

Result<Sketch> read_svg(std::string_view text, const std::string& file, const ReadOptions& options) {
    if (text.size() > kMostBytes) return Problem{file, 0, 0, "the file is larger than 64 MB", "simplify the drawing"};
    if (text.substr(0, 2) == "\x1f\x8b")
        return Problem{file, 0, 0, "the drawing is compressed", "save it as plain SVG"};
    auto document = parse_xml(text, file, {"style", "title"});
    if (!document) return document.problem();
    const Element& root = document.value().elements.front();
    if (root.name != "svg")
        return Problem{file, root.place.line, root.place.column,
                       fmt::format("the file holds '{}', not 'svg'", root.name), "give an SVG drawing"};
    auto tracings = SvgReader(document.value(), file, options).read();
    if (!tracings) return tracings.problem();
    return sketch(std::move(tracings.value()), file, options);
}

} // namespace kerfwright::drawing
