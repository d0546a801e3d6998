// ASCII DXF, R12 to 2018: what is drawn in model space, seen from above.

#include "drawing/dxf_record.hpp"
#include "drawing/tracing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>

namespace kerfwright::drawing {
namespace {

constexpr int kMostDepth = 64;
constexpr std::size_t kMostVisits = 1'000'000; ///< entities, each as often as a block draws it
constexpr std::size_t kMostPieces = 4'000'000;

/// Millimetres in one unit, by $INSUNITS (DXF reference, HEADER section); 0 for "no units".
double mm_in_unit(int code) {
    constexpr double kFoot = 304.8, kSurveyFoot = 1200000.0 / 3937;
    constexpr std::array<double, 25> kUnits{0,
                                            25.4,
                                            kFoot,
                                            1609344,
                                            1,
                                            10,
                                            1000,
                                            1e6,
                                            2.54e-5,
                                            0.0254,
                                            914.4,
                                            1e-7,
                                            1e-6,
                                            1e-3,
                                            100,
                                            1e4,
                                            1e5,
                                            1e12,
                                            1.495978707e14,
                                            9.4607304725808e18,
                                            3.0856775814913673e19,
                                            kSurveyFoot,
                                            kSurveyFoot / 12,
                                            kSurveyFoot * 3,
                                            kSurveyFoot * 5280};
    return code >= 0 && code < static_cast<int>(kUnits.size()) ? kUnits[static_cast<std::size_t>(code)] : 0;
}

/// Colour numbers: 1 to 9 as usage has them, 10 to 249 a wheel of 24 hues in five depths (full and half saturated),
/// 250 to 255 greys. Computed here, from memory of the numbering; regions are told apart by it, nothing is printed.
unsigned colour_of(int number) {
    constexpr std::array<unsigned, 10> kFirst{0,        0xFF0000, 0xFFFF00, 0x00FF00, 0x00FFFF,
                                              0x0000FF, 0xFF00FF, 0xFFFFFF, 0x808080, 0xC0C0C0};
    if (number < 10) return kFirst[static_cast<std::size_t>(std::max(number, 0))];
    const auto byte = [](double level) { return static_cast<unsigned>(std::lround(255 * level)); };
    if (number >= 250) return byte((std::min(number, 255) - 248) / 7.0) * 0x010101U;
    constexpr std::array<double, 5> kDepths{1, 0.65, 0.5, 0.3, 0.15};
    const int spoke = number / 10 - 1; // 24 around the wheel
    const double hue = spoke * 0.25;   // sixths of the wheel
    const double value = kDepths[static_cast<std::size_t>(number % 10 / 2)], saturation = number % 2 == 0 ? 1 : 0.5;
    const auto channel = [&](double n) {
        const double k = std::fmod(n + hue, 6);
        return byte(value * (1 - saturation * std::clamp(std::min(k, 4 - k), 0.0, 1.0)));
    };
    return channel(5) << 16U | channel(3) << 8U | channel(1);
}

struct Layer {
    std::string name;
    unsigned colour = 0xFFFFFF;
    bool off = false, frozen = false;
    std::size_t left_out = 0; ///< entities
};

struct Context {
    Affine3 map;                ///< to mm
    Layer* layer = nullptr;     ///< that layer 0 stands for, in a block
    unsigned colour = 0xFFFFFF; ///< that "by block" stands for
    std::string clone;          ///< handles of the inserts on the way to here
    int depth = 0;
};

class DxfReader {
  public:
    DxfReader(const DxfFile& dxf, const std::string& file, const ReadOptions& options)
        : dxf_(dxf), file_(file), options_(options) {}

    Result<Tracings> read() {
        for (const Record& record : dxf_.layers)
            add_layer(values(record));
        Context context;
        const double unit = unit_mm();
        context.map = stretch3(unit, unit, unit);
        draw(dxf_.entities, context);
        if (problem_) return *problem_;
        for (const auto& [key, layer] : layers_)
            if (layer.left_out > 0)
                note(fmt::format("layer '{}' is {}: {} entit{} left out", layer.name, layer.frozen ? "frozen" : "off",
                                 layer.left_out, layer.left_out == 1 ? "y was" : "ies were"),
                     {});
        for (const auto& [type, count] : left_out_)
            note(fmt::format("{} {} entit{} left out; only outlines are cut", count, type,
                             count == 1 ? "y was" : "ies were"),
                 {});
        return std::move(tracings_);
    }

  private:
    DxfValues values(const Record& record) { return {dxf_.groups, record, file_, problem_}; }
    void refuse(const Record& at, std::string what, std::string remedy) {
        if (!problem_) problem_ = Problem{file_, at.line, 0, std::move(what), std::move(remedy)};
    }
    void note(std::string text, Vec at) {
        tracings_.notes.push_back({Note::Kind::ignored, std::move(text), {}, at, 0});
    }

    double unit_mm() {
        const auto header = [&](std::string_view name) -> std::optional<int> {
            const auto found = dxf_.header.find(name);
            if (found == dxf_.header.end()) return {};
            const Record record{"HEADER", found->second, found->second + 1, dxf_.groups[found->second].line};
            return static_cast<int>(std::clamp(values(record).number(dxf_.groups[found->second]), -1.0, 1000.0));
        };
        const auto code = header("$INSUNITS");
        if (const double unit = code ? mm_in_unit(*code) : 0; unit > 0) return unit;
        const auto metric = header("$MEASUREMENT");
        const bool inches = metric && *metric == 0;
        if (options_.width <= 0)
            note(fmt::format("the drawing names no unit; its numbers were taken as {}{}",
                             inches ? "inches" : "millimetres", metric ? ", by $MEASUREMENT" : ""),
                 {});
        return inches ? 25.4 : 1;
    }

    // Layers and colours.

    Layer& layer_named(std::string_view name) {
        const auto [found, fresh] = layers_.try_emplace(folded(name));
        if (fresh) found->second.name = plain_text(name);
        return found->second;
    }

    void add_layer(const DxfValues& of) {
        Layer& layer = layer_named(of.text(2));
        const int colour = of.whole(62, 7);
        layer.off = colour < 0;
        layer.frozen = (of.whole(70) & 1) != 0;
        layer.colour =
            of.has(420) ? static_cast<unsigned>(of.whole(420)) & 0xFFFFFFU : colour_of(std::min(std::abs(colour), 255));
    }

    Layer& layer_of(const DxfValues& of, const Context& context) {
        const std::string_view name = of.text(8);
        if (context.layer != nullptr && plain_text(name) == "0") return *context.layer;
        return layer_named(name);
    }

    static unsigned colour_of_entity(const DxfValues& of, const Layer& layer, const Context& context) {
        if (of.has(420)) return static_cast<unsigned>(of.whole(420)) & 0xFFFFFFU;
        const int number = of.whole(62, 256);
        if (number == 0) return context.colour;
        return number >= 256 || number < 0 ? layer.colour : colour_of(number);
    }

    // Structure.

    /// The records from `i` on that belong to the entity there: vertices or attributes, up to SEQEND.
    std::vector<DxfValues> parts_of(const std::vector<Record>& records, std::size_t& i) {
        const Record& head = records[i];
        std::vector<DxfValues> parts;
        if (head.type != "POLYLINE" && !(head.type == "INSERT" && values(head).whole(66) != 0)) return parts;
        while (i + 1 < records.size() && (records[i + 1].type == "VERTEX" || records[i + 1].type == "ATTRIB"))
            parts.push_back(values(records[++i]));
        if (i + 1 < records.size() && records[i + 1].type == "SEQEND") ++i;
        return parts;
    }

    void draw(const std::vector<Record>& records, const Context& context) {
        for (std::size_t i = 0; i < records.size() && !problem_; ++i) {
            const Record& record = records[i];
            if (++visits_ > kMostVisits)
                return refuse(record,
                              fmt::format("the drawing has more than {} entities, counting blocks", kMostVisits),
                              "simplify the drawing");
            const std::vector<DxfValues> parts = parts_of(records, i);
            const DxfValues of = values(record);
            if (of.whole(67) != 0 || of.whole(60) != 0) { // paper space; invisible
                ++left_out_["invisible or paper-space"];
                continue;
            }
            Layer& layer = layer_of(of, context);
            const bool insert = record.type == "INSERT";
            if (layer.frozen || (layer.off && !insert)) {
                ++layer.left_out;
                continue;
            }
            if (insert)
                draw_block(of, parts, layer, context);
            else if (is_dxf_shape(record.type))
                draw_shape(of, parts, layer, context);
            else if (record.type == "TEXT" || record.type == "MTEXT")
                add_label(of, context);
            else if (record.type != "ATTDEF" && record.type != "VIEWPORT" && record.type != "SEQEND")
                ++left_out_[std::string(record.type)];
        }
    }

    void draw_shape(const DxfValues& of, const std::vector<DxfValues>& parts, const Layer& layer,
                    const Context& context) {
        Tracing tracing;
        Outline& outline = tracing.outline;
        DxfShape shape = dxf_shape(of, parts, context.map, file_, problem_);
        const std::string handle(plain_text(of.text(5)));
        outline.id = context.clone.empty() || handle.empty() ? context.clone + handle : context.clone + "/" + handle;
        outline.layer = layer.name;
        outline.fill = fmt::format("#{:06x}", colour_of_entity(of, layer, context));
        outline.line = of.record().line;
        tracing.what = std::string(of.record().type) + (outline.id.empty() ? "" : " " + outline.id);
        if (!shape.remark.empty())
            note(fmt::format("{} (line {}) {}", tracing.what, outline.line, shape.remark),
                 shape.chains.empty() ? Vec{} : shape.chains[0].start);
        for (Chain& chain : shape.chains) {
            if (chain.pieces.empty()) continue;
            pieces_ += chain.pieces.size();
            tracing.chains.push_back(std::move(chain));
        }
        if (pieces_ > kMostPieces)
            return refuse(of.record(), "the drawing has too many points", "simplify the drawing");
        if (!tracing.chains.empty()) tracings_.items.push_back(std::move(tracing));
    }

    void draw_block(const DxfValues& of, const std::vector<DxfValues>& attributes, Layer& layer, Context context) {
        const auto found = dxf_.blocks.find(folded(of.text(2)));
        if (found == dxf_.blocks.end())
            return refuse(of.record(),
                          fmt::format("INSERT draws block '{}', which is not in the file", plain_text(of.text(2))),
                          "insert the block again, or remove the INSERT");
        const DxfBlock& block = found->second;
        if (drawing_.count(&block) > 0 || ++context.depth > kMostDepth)
            return refuse(of.record(),
                          fmt::format("block '{}' is drawn inside itself, or blocks are nested too deep", block.name),
                          "explode the block");
        const DxfValues head = values(block.head);
        if ((head.whole(70) & 4) != 0)
            return note(fmt::format("block '{}' comes from another file, which is not read", block.name),
                        seen(context.map(of.point(10))));
        for (const DxfValues& attribute : attributes)
            add_label(attribute, context);

        const Affine3 outer =
            context.map * object_coordinates(of.normal()) * shift3(of.point(10)) * turn_about_z(of.number(50));
        const Affine3 inner =
            stretch3(of.number(41, 1), of.number(42, 1), of.number(43, 1)) * shift3(head.point(10) * -1);
        const int columns = std::max(1, of.whole(70, 1)), rows = std::max(1, of.whole(71, 1));
        if (static_cast<double>(columns) * rows > static_cast<double>(kMostVisits))
            return refuse(of.record(), fmt::format("INSERT of '{}' makes {} × {} copies", block.name, columns, rows),
                          "make fewer copies");
        const std::string handle = plain_text(of.text(5));
        const std::string clone =
            context.clone.empty() || handle.empty() ? context.clone + handle : context.clone + "/" + handle;
        context.colour = colour_of_entity(of, layer, context);
        context.layer = &layer;
        drawing_.insert(&block);
        for (int row = 0; row < rows; ++row)
            for (int column = 0; column < columns && !problem_; ++column) {
                ++visits_; // an empty block counts as well
                context.map = outer * shift3({column * of.number(44), row * of.number(45), 0}) * inner;
                context.clone = row + column == 0 ? clone : fmt::format("{}[{},{}]", clone, column, row);
                draw(block.records, context);
            }
        drawing_.erase(&block);
    }

    // Text.

    void add_label(const DxfValues& of, const Context& context) {
        const bool paragraph = of.record().type == "MTEXT";
        std::string raw;
        for (const Group& group : of)
            if ((group.code == 3 && paragraph) || group.code == 1) raw += group.value;
        Label label{paragraph ? plain_mtext(raw) : plain_text(raw), {}, {}};
        if (label.text.empty() || (of.record().type == "ATTRIB" && (of.whole(70) & 1) != 0))
            return; // an invisible attribute
        const Affine plane =
            seen(paragraph ? context.map : context.map * object_coordinates(of.normal()), of.number(30));
        const auto [anchor, middle] = paragraph ? paragraph_places(of, label.text) : line_places(of, label.text);
        label.at = plane(middle);
        label.anchor = plane(anchor);
        tracings_.labels.push_back(std::move(label));
    }

    /// Anchor and guessed middle: without fonts, a character is taken as 0.6 of its height wide.
    static std::pair<Vec, Vec> line_places(const DxfValues& of, const std::string& text) {
        const double height = of.number(40), width = 0.6 * height * static_cast<double>(text.size()) * of.number(41, 1);
        const int across = of.whole(72), up = of.record().type == "ATTRIB" ? of.whole(74) : of.whole(73);
        const bool aligned = (across != 0 || up != 0) && of.has(11);
        const Vec first{of.number(10), of.number(20)}, second{of.number(11), of.number(21)};
        if (aligned && (across == 3 || across == 5)) {
            const Vec middle = (first + second) * 0.5;
            return {first, middle};
        }
        const Vec anchor = aligned ? second : first;
        const double dx = across == 1 || across == 4 ? 0 : across == 2 ? -width / 2 : width / 2;
        const double dy = up == 3 ? -height / 2 : up == 2 || across == 4 ? 0 : height / 2;
        const double angle = of.number(50) * std::numbers::pi / 180;
        const Vec along{std::cos(angle), std::sin(angle)};
        return {anchor, anchor + along * dx + Vec{-along.y, along.x} * dy};
    }

    static std::pair<Vec, Vec> paragraph_places(const DxfValues& of, const std::string& text) {
        const double height = of.number(40);
        const double width = of.number(42, 0.6 * height * static_cast<double>(text.size())),
                     tall = of.number(43, height);
        const int corner = std::clamp(of.whole(71, 1), 1, 9) - 1; // 1 to 9: top left to bottom right
        const int column = corner % 3, row = corner / 3;
        const double dx = (1 - column) * width / 2, dy = (row - 1) * tall / 2;
        const Vec anchor{of.number(10), of.number(20)};
        Vec along{1, 0};
        if (of.has(11))
            along = {of.number(11), of.number(21)};
        else
            along = {std::cos(of.number(50)), std::sin(of.number(50))};
        const double size = length(along);
        if (size > 0) along = along * (1 / size);
        return {anchor, anchor + along * dx + Vec{-along.y, along.x} * dy};
    }

    const DxfFile& dxf_;
    const std::string& file_;
    const ReadOptions& options_;
    std::map<std::string, Layer> layers_; ///< by folded name
    std::set<const DxfBlock*> drawing_;
    std::map<std::string, std::size_t> left_out_;
    Tracings tracings_;
    std::optional<Problem> problem_;
    std::size_t visits_ = 0, pieces_ = 0;
};

} // namespace

Result<Sketch> read_dxf(std::string_view text, const std::string& file, const ReadOptions& options) {
    const auto dxf = parse_dxf(text, file);
    if (!dxf) return dxf.problem();
    auto tracings = DxfReader(dxf.value(), file, options).read();
    if (!tracings) return tracings.problem();
    return sketch(std::move(tracings.value()), file, options);
}

} // namespace kerfwright::drawing
