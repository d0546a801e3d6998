#include "job/job_file.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::job {
namespace {

/// A TOML basic string.
std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        if (static_cast<unsigned char>(c) < 0x20)
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
        else
            out += c;
    }
    return out + '"';
}

} // namespace

std::string new_job_text(const drawing::Drawing& drawing, const NewJob& wish) {
    constexpr double kBorder = 20;
    const auto up_to_ten = [](double v) { return std::ceil(v / 10) * 10; };
    std::string text = fmt::format(R"(# A job for Kerfwright. Lengths are in mm unless they carry a unit ("1/4 in").
format = 1
title  = {}
units  = "mm"

[drawing]
file   = {}
)",
                                   quoted(wish.title), quoted(wish.drawing_file));
    if (wish.read.width > 0)
        text += fmt::format("width  = {:g}            # finished width of the set\n", wish.read.width);
    else
        text += fmt::format("# width = {:.1f}         # finished width of the set; as drawn it is {:.1f} x {:.1f} mm\n",
                            drawing.width, drawing.width, drawing.height);
    text += fmt::format(R"(region = {}           # what names a region: "id", "layer", "fill", "property:NAME"
snap   = 0.05           # borders of neighbours closer than this are one

[fit]
clearance      = 0.30   # gap between two pieces
tray_clearance = 0.60   # gap between a piece and the tray wall
detail         = 0.50   # how far easing may move a border from the drawing

[tray]                  # leave this table out for a set without a tray
sheet  = "base"
border = {:g}             # rim around the set
top    = "flush"        # or a number: how far the pieces stand proud

[pieces]                # region = material; "*" stands for any characters, the most specific pattern wins
)",
                        quoted(wish.read.region), kBorder);
    for (const drawing::Region& region : drawing.regions) {
        const plane::Box box = plane::bounds(region.shape);
        text += fmt::format("{} = \"mdf\"   # {:.1f} x {:.1f} mm\n", quoted(region.name), box.width(), box.height());
    }
    text += fmt::format(R"(
[[sheet]]               # one table for each sheet or offcut on the shelf
name      = "base"
material  = "mdf"
size      = [{:g}, {:g}]
thickness = 18          # as measured
hold      = ["clamps"]  # any of: "tape", "clamps", "screws", "vacuum", "skin", "tabs"

[[sheet]]
name      = "mdf-a"
material  = "mdf"
size      = [{:g}, {:g}]
thickness = 6
hold      = ["skin", "tape"]

[machine]
name = "gantry-600"     # shipped, or file = "my-router.toml"

[shop]
cutters = ["flat-3", "flat-6", "clearing-25"]
)",
                        up_to_ten(drawing.width + 2 * kBorder + 20), up_to_ten(drawing.height + 2 * kBorder + 20),
                        up_to_ten(drawing.width * 1.3 + 40), up_to_ten(drawing.height * 1.3 + 40));
    return text;
}

} // namespace kerfwright::job
