#pragma once
// A made-up job on paper, for the tests of papers/.

#include "base/random.hpp"
#include "papers/papers.hpp"

#include <cmath>
#include <numbers>

namespace kerfwright::papers {

inline plane::Polygon blob(Random& random, plane::Vec at, double radius) {
    double phase[5];
    for (double& p : phase)
        p = random.uniform(0, 2 * std::numbers::pi);
    plane::Polygon polygon;
    for (int i = 0; i < 240; ++i) {
        const double t = 2 * std::numbers::pi * i / 240;
        double r = 1;
        for (int k = 0; k < 5; ++k)
            r += 0.16 / (k + 1) * std::cos((2 * k + 2) * t + phase[k]);
        polygon.outer.push_back(plane::to_grid(at + plane::Vec{r * radius * std::cos(t), r * radius * std::sin(t)}));
    }
    return polygon;
}

inline plane::Polygon box(plane::Vec low, plane::Vec high) {
    return {plane::rectangle(low, high), {}};
}

/// All nine fills side by side, two areas too small for their labels, and a recess over everything.
inline Drawn sample_set() {
    Drawn drawn;
    constexpr Fill kFills[] = {Fill::none,       Fill::light, Fill::dots,   Fill::lines, Fill::cross,
                               Fill::back_lines, Fill::dark,  Fill::dashes, Fill::grid};
    const char* names[] = {"basalt", "tuff-1",   "dolerite-1", "chalk",    "gneiss",
                           "slate",  "lava-old", "marl",       "sandstone"};
    for (int i = 0; i < 9; ++i) {
        const plane::Vec low{(i % 3) * 90.0, (i / 3) * 60.0};
        drawn.areas.push_back(
            {{box(low + plane::Vec{0.15, 0.15}, low + plane::Vec{89.85, 59.85})}, names[i], kFills[i], false});
    }
    drawn.areas[4].shape[0].holes.push_back(plane::reversed(plane::rectangle({120, 80}, {128, 86})));
    drawn.areas.push_back({{box({120.3, 80.3}, {127.7, 85.7})}, "dyke-in-gneiss", Fill::dark, false});
    drawn.areas.push_back({{box({270.3, 0.3}, {276, 179.7})}, "western-reef", Fill::dots, false});
    drawn.areas.push_back({{box({-0.6, -0.6}, {276.6, 180.6})}, "", Fill::none, true});
    drawn.caption = "The set as it lies in the tray, seen from above.";
    return drawn;
}

inline Drawn sample_setup() {
    Drawn drawn;
    Random random(4);
    drawn.frame = {box({0, 0}, {610, 305})};
    const plane::Vec at[] = {{110, 90}, {250, 100}, {390, 95}, {120, 215}, {270, 220}, {480, 200}};
    const double radius[] = {55, 50, 60, 42, 50, 40};
    for (int i = 0; i < 6; ++i) {
        const plane::Polygon part = blob(random, at[i], radius[i]);
        drawn.areas.push_back({{part}, "tuff-" + std::to_string(i + 1), Fill::light, false});
        drawn.marks.push_back({plane::to_mm(part.outer[0]), "", DrawnMark::Kind::tab});
        drawn.marks.push_back({plane::to_mm(part.outer[120]), "", DrawnMark::Kind::tab});
    }
    drawn.areas.push_back({{blob(random, {545, 90}, 7)}, "skerry-small", Fill::light, false});
    drawn.boxes.push_back({{{0, 130}, {50, 165}}, "clamp 1"});
    drawn.boxes.push_back({{{560, 130}, {610, 165}}, "clamp 2"});
    drawn.boxes.push_back({{{300, 285}, {320, 305}}, "clamp 3"});
    drawn.marks.push_back({{0, 0}, "X0 Y0", DrawnMark::Kind::zero});
    drawn.marks.push_back({{590, 20}, "1", DrawnMark::Kind::measure});
    drawn.marks.push_back({{20, 285}, "2", DrawnMark::Kind::measure});
    drawn.marks.push_back({{590, 285}, "3", DrawnMark::Kind::measure});
    drawn.caption = "Seen from above; origin at the sheet's lower left corner.";
    return drawn;
}

inline Paper sample_paper() {
    Paper paper;
    paper.title = "Skerry island tray";
    Page first;
    first.title = "Skerry island tray";
    first.subtitle = "programs proven from their own text";
    first.drawing = sample_set();
    first.blocks.push_back({"The set",
                            {{"pieces", "11"},
                             {"clearance", "0.30 mm"},
                             {"setups", "8"},
                             {"machine", "gantry router, 600 x 600 x 90 mm of travel"},
                             {"machine time", "3 h 12 min"},
                             {"clearance to the tray", "0.60 mm"}},
                            {},
                            {},
                            false});
    first.blocks.push_back(
        {"What is needed",
         {},
         {{"what", "size", "for"},
          {{"sheet walnut-a, walnut", "610.0 x 305.0 x 6.20 mm", "setup 02-walnut-a"},
           {"offcut maple-b, maple", "300.0 x 210.0 x 6.05 mm", "setup 03-maple-b"},
           {"flat end mill, 2 teeth", "DC 3.000 mm",
            "02-walnut-a, 03-maple-b, 04-hdpe, 05-hardboard, 06-acrylic, 07-aluminium, 08-carbon, 01-base"}}},
         {},
         false});
    paper.pages.push_back(first);

    Page setup;
    setup.title = "Setup 02-walnut-a";
    setup.subtitle = "European or black walnut, solid wood";
    setup.drawing = sample_setup();
    setup.blocks.push_back({"Setting up",
                            {{"stock", "610.0 x 305.0 x 6.20 mm"},
                             {"zero", "X, Y: lower left corner of the sheet; Z: the bed"},
                             {"hold", "skin, clamps"},
                             {"machine time", "31 min 20 s"},
                             {"onion skin", "0.40 mm"},
                             {"least margin", "2.4"}},
                            {},
                            {},
                            false});
    setup.blocks.push_back(
        {"Programs, in this order",
         {},
         {{"program", "cutter", "DC", "out of collet", "rev/min", "time"},
          {{"02-walnut-a-flat-6.nc", "flat end mill, 2 teeth", "6.000", "22", "18000", "12 min 04 s"},
           {"03-walnut-a-flat-3.nc", "flat end mill, 2 teeth", "3.000", "15", "22000", "19 min 16 s"}}},
         {},
         false});
    Table parts{{"part", "held by", "margin", "edge, proven mm"}, {}};
    for (int i = 1; i <= 60; ++i)
        parts.rows.push_back(
            {"tuff-" + std::to_string(i), "skin 0.40, 4 tabs", std::to_string(2 + i % 3) + ".4", "-0.004 to +0.011"});
    setup.blocks.push_back({"Parts", {}, parts, {}, false});
    setup.blocks.push_back({"Measure before and after",
                            {},
                            {},
                            {"Point 1: thickness 6.15 mm when planned. Now: ________",
                             "Point 2: thickness 6.24 mm when planned. Now: ________",
                             "Width of one cut part: ________  Depth or skin: ________  Remarks: ________________"},
                            false});
    setup.blocks.push_back(
        {"Cautions",
         {},
         {},
         {"Walnut dust irritates skin and lungs: extract it and wear a mask.",
          "Wear eye, ear and dust protection; keep hands, sleeves and hair clear; never leave the cut alone.",
          "Settings are computed: make a test cut in scrap of this sheet first, and stop when it sounds, smells or "
          "looks wrong.",
          "The machine's manual, local rules and trained judgement come before this sheet."},
         true});
    paper.pages.push_back(setup);
    return paper;
}

} // namespace kerfwright::papers
