#include "drawing/drawing.hpp"

#include <fmt/format.h>

namespace kerfwright::drawing {
namespace {

/// The name's ending in lower case, with its dot; "" when there is none.
std::string ending(const std::string& file) {
    const auto slash = file.find_last_of("/\\");
    const auto dot = file.find_last_of('.');
    if (dot == std::string::npos || (slash != std::string::npos && dot < slash)) return "";
    std::string end = file.substr(dot);
    for (char& c : end)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return end;
}

Result<Sketch> read_sketch(std::string_view text, const std::string& file, const ReadOptions& options) {
    const std::string end = ending(file);
    if (end == ".svg") return read_svg(text, file, options);
    if (end == ".dxf") return read_dxf(text, file, options);
    if (end == ".geojson" || end == ".json" || end == ".topojson") return read_map(text, file, options);
    const std::string what = end.empty() ? std::string("a drawing needs an ending that says its format")
                                         : fmt::format("drawings of kind \"{}\" are not read", end);
    return Problem{file, 0, 0, what, "give a file that ends in .svg, .dxf, .geojson, .json or .topojson"};
}

} // namespace

Result<Drawing> read_drawing(std::string_view text, const std::string& file, const ReadOptions& options) {
    Result<Sketch> sketch = read_sketch(text, file, options);
    if (!sketch) return sketch.problem();
    return make_partition(std::move(sketch).value(), file, options);
}

} // namespace kerfwright::drawing
