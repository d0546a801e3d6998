// The DXF reader: sizes that can be worked out by hand, structure, and what it refuses.

#include "sketching.hpp"

#include "drawing/dxf_space.hpp"
#include "drawing/dxf_text.hpp"

#include <numbers>
#include <sstream>

namespace kerfwright::drawing {
namespace {

constexpr double kPi = std::numbers::pi;

/// "0 LINE 8 walls 10 5": pairs of words, as DXF text. '_' in a value stands for a space.
std::string groups(const std::string& words, const char* end = "\n") {
    std::istringstream in(words);
    std::string code, value, text;
    while (in >> code >> value) {
        std::replace(value.begin(), value.end(), '_', ' ');
        text += "  " + code + end + value + end;
    }
    return text;
}
std::string section(const std::string& name, const std::string& words) {
    return "0 SECTION 2 " + name + " " + words + " 0 ENDSEC ";
}
std::string dxf(const std::string& entities, const std::string& before = "") {
    return groups(before + section("ENTITIES", entities) + "0 EOF");
}

const std::string kMm = section("HEADER", "9 $INSUNITS 70 4");
const std::string kSquare = "0 LWPOLYLINE 5 A1 8 square 90 4 70 1 10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 10 ";

Sketch read(const std::string& text, const ReadOptions& options = {}) {
    return must(read_dxf(text, "a.dxf", options));
}
std::string refused(const std::string& text) {
    return refusal(read_dxf(text, "a.dxf", {}));
}

TEST(Dxf, UnitsOfTheHeader) {
    const std::vector<std::pair<int, double>> units{{1, 25.4},   {2, 304.8}, {4, 1},
                                                    {5, 10},     {6, 1000},  {9, 0.0254},
                                                    {13, 0.001}, {14, 100},  {21, 304.8006096012192}};
    for (const auto& [code, mm] : units) {
        const Sketch sketch =
            read(dxf(kSquare, section("HEADER", "9 $ACADVER 1 AC1015 9 $INSUNITS 70 " + std::to_string(code))));
        EXPECT_NEAR(box_of(sketch.outlines[0]).width(), 10 * mm, 1.1e-5) << code;
        EXPECT_TRUE(sketch.notes.empty());
    }
    const Sketch bare = read(dxf(kSquare));
    EXPECT_NEAR(box_of(bare.outlines[0]).width(), 10, 1e-5);
    EXPECT_TRUE(has_note(bare, "taken as millimetres"));
    const Sketch english = read(dxf(kSquare, section("HEADER", "9 $INSUNITS 70 0 9 $MEASUREMENT 70 0")));
    EXPECT_NEAR(box_of(english.outlines[0]).width(), 254, 1e-5);
    EXPECT_TRUE(has_note(english, "taken as inches, by $MEASUREMENT"));
    ReadOptions options;
    options.width = 560;
    const Sketch wide = read(dxf(kSquare), options);
    EXPECT_NEAR(box_of(wide.outlines[0]).width(), 560, 1e-5);
    EXPECT_TRUE(wide.notes.empty()) << "the unit does not matter when the width is given";
}

TEST(Dxf, ShapesHaveTheirAreas) {
    const Sketch shapes = must(read_dxf(file_text(test_file("shapes.dxf")), "shapes.dxf", {}));
    const auto find = [&](const std::string& layer) -> const Outline& {
        return *std::find_if(shapes.outlines.begin(), shapes.outlines.end(),
                             [&](const Outline& o) { return o.layer == layer; });
    };
    const auto near = [&](const char* layer, double area) {
        EXPECT_NEAR(area_of(find(layer)), area, 0.002 * length_of(find(layer))) << layer;
    };
    const auto segment = [](double radius, double sweep) { return radius * radius / 2 * (sweep - std::sin(sweep)); };
    const auto bulge = [&](double chord, double b) { return segment(chord * (1 + b * b) / (4 * b), 4 * std::atan(b)); };
    near("disc", kPi * 625);
    near("cap", segment(20, kPi * 2 / 3));
    near("bulges", 40 * 30 + bulge(40, 0.5) - bulge(40, 0.3));
    near("old-polyline", 30 * 20 + bulge(30, 1) + bulge(30, 0.2));
    near("oval", kPi * 500 * 0.4);
    near("oval-part", 20 * 10 / 2.0 * (3.0 - std::sin(3.0)));
    near("mirrored", segment(15, 200 * kPi / 180));
    near("mirrored-poly", 40 * 30 / 2.0 + bulge(30, 0.4));
    EXPECT_EQ(find("disc").fill, "#ff0000");
    EXPECT_EQ(find("cap").id, "22") << "a joined outline is named by its first entity";
    EXPECT_EQ(find("oval").fill, "#ffffff") << "a layer without a record";
    EXPECT_TRUE(shapes.notes.empty());
}

TEST(Dxf, SplineThatIsACircle) {
    const Sketch splines = must(read_dxf(file_text(test_file("splines.dxf")), "splines.dxf", {}));
    const Outline& circle = splines.outlines[1];
    EXPECT_EQ(circle.layer, "circle");
    EXPECT_NEAR(area_of(circle), kPi * 400, 0.002 * 2 * kPi * 20);
    const plane::Box box = box_of(circle);
    const plane::Vec centre = (box.low + box.high) * 0.5;
    for (const plane::Point p : circle.rings[0])
        EXPECT_NEAR(distance(plane::to_mm(p), centre), 20, 5e-5);
}

TEST(Dxf, PeriodicSplineAndFitPoints) {
    // A uniform quadratic over the corners of a square, wrapped around: pieces of parabola between the middles of its
    // sides. Area between a parabola's arc and its control polygon corner: a third of the triangle.
    const Sketch wrapped = read(dxf("0 SPLINE 8 a 70 11 71 2 40 0 40 1 40 2 40 3 40 4 40 5 40 6 40 7 40 8 "
                                    "10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 10 10 0 20 0 10 10 20 0",
                                    kMm));
    EXPECT_NEAR(area_of(wrapped.outlines[0]), 100 - 4 * (5 * 5 / 2.0) / 3, 0.002 * 35);
    std::string fit = "0 SPLINE 5 F 8 a 70 1 71 3 ";
    for (int i = 0; i <= 16; ++i)
        fit += "11 " + std::to_string(20 * std::cos(kPi * i / 8)) + " 21 " +
               std::to_string(20 * std::sin(kPi * i / 8)) + " ";
    const Sketch through = read(dxf(fit, kMm));
    // Sixteen points on a circle: the spline is within h^4 / 384 of it, relatively (h = 2 pi / 16), the chords within 2
    // µm.
    EXPECT_NEAR(area_of(through.outlines[0]), kPi * 400, 2 * kPi * 20 * (20 * std::pow(kPi / 8, 4) / 384 + 0.002));
    EXPECT_TRUE(has_note(through, "SPLINE F (line 16) has fit points only"));
}

TEST(Dxf, BlocksLayersAndColours) {
    const Sketch blocks = must(read_dxf(file_text(test_file("blocks.dxf")), "blocks.dxf", {}));
    std::size_t holes = 0;
    for (const Outline& o : blocks.outlines)
        holes += o.layer == "hole" ? 1 : 0;
    EXPECT_EQ(blocks.outlines.size(), 25U);
    EXPECT_EQ(holes, 12U);
    // Layer 0 in a block is the layer of the insert; the area follows the scales.
    const double leaf = area_of(outline(blocks, "31/37"));
    EXPECT_EQ(outline(blocks, "31/37").layer, "plain");
    EXPECT_EQ(outline(blocks, "31/37").fill, "#ff0000");
    EXPECT_EQ(outline(blocks, "35/39/37").layer, "nested");
    EXPECT_NEAR(area_of(outline(blocks, "32/37")), leaf, 0.1);
    EXPECT_NEAR(area_of(outline(blocks, "35/39/37")), leaf * 2.25, 0.2);
    EXPECT_NEAR(area_of(outline(blocks, "36[2,1]/37")), leaf, 1e-3);

    const std::string tables = section("TABLES", "0 TABLE 2 LAYER 0 LAYER 2 off 62 -3 70 0 0 LAYER 2 Cold 62 4 70 1 0 "
                                                 "LAYER 2 true 62 4 420 1122867 70 0 0 ENDTAB");
    const std::string part = "0 LWPOLYLINE 90 3 70 1 10 0 20 0 10 9 20 0 10 0 20 9 ";
    const std::string block = section("BLOCKS", "0 BLOCK 2 B 70 0 10 0 20 0 " + part + "8 0 5 1 " + part +
                                                    "8 true 5 2 62 0 " + part + "8 true 5 3 0 ENDBLK");
    const Sketch layers =
        read(dxf(part + "8 off " + part + "8 COLD " + part + "8 true 5 T " + part + "8 x 5 R 420 255 " + part +
                     "8 x 5 N 62 30 " + part + "67 1 " +
                     "0 INSERT 5 I 2 b 8 off 62 2 0 INSERT 5 J 2 b 8 cold 0 POINT 10 5 20 5 0 HATCH 8 x 0 HATCH 8 x",
                 kMm + tables + block));
    std::vector<std::string> seen;
    for (const Outline& o : layers.outlines)
        seen.push_back(o.id + " " + o.layer + " " + o.fill);
    EXPECT_EQ(seen, (std::vector<std::string>{"T true #112233", "R x #0000ff", "N x #ff8000", "I/2 true #ffff00",
                                              "I/3 true #112233"}))
        << "in an insert on a layer that is off, only what takes that layer is hidden";
    for (const char* note : {"layer 'off' is off: 2 entities were left out", "layer 'Cold' is frozen: 2 entities",
                             "1 POINT entity", "2 HATCH entities", "1 invisible or paper-space"})
        EXPECT_TRUE(has_note(layers, note)) << note;
}

TEST(Dxf, ArbitraryAxis) {
    for (const Vec3 normal :
         {Vec3{0, 0, 1}, Vec3{0, 0, -1}, Vec3{1, 0, 0}, Vec3{0.3, -0.5, 0.8}, Vec3{0.01, 0.01, 1}}) {
        const Affine3 map = object_coordinates(normal);
        const Vec3 z = cross(map.x, map.y);
        EXPECT_NEAR(z.x, map.z.x, 1e-15);
        EXPECT_NEAR(z.y, map.z.y, 1e-15);
        EXPECT_NEAR(z.z, map.z.z, 1e-15);
    }
    // (0, 0, -1): X is mirrored, Y stays (DXF reference, "Arbitrary axis algorithm").
    const Affine plane = seen(object_coordinates({0, 0, -1}), 0);
    EXPECT_EQ(plane({3, 4}), (Vec{-3, 4}));
    // A circle in a tilted plane is seen as an ellipse: 10 by 10 cos 60°.
    const Sketch tilted = read(dxf("0 CIRCLE 10 5 20 5 40 10 210 0 220 0.8660254037844386 230 0.5", kMm));
    EXPECT_NEAR(area_of(tilted.outlines[0]), kPi * 100 * 0.5, 0.1);
}

TEST(Dxf, ChainsOfLinesAndArcs) {
    const std::string slot = "0 LINE 5 1 8 s 10 0 20 0 11 20 21 0 0 ARC 5 2 8 s 10 20 20 5 40 5 50 270 51 90 0 LINE 5 "
                             "3 8 s 10 20 20 10.02 11 0 21 10 "
                             "0 ARC 5 4 8 s 10 0 20 5 40 5 50 90 51 270 ";
    const Sketch closed = read(dxf(slot, kMm));
    ASSERT_EQ(closed.outlines.size(), 1U);
    EXPECT_NEAR(area_of(closed.outlines[0]), 200 + kPi * 25, 0.3);
    ASSERT_EQ(count_notes(closed, Note::Kind::gap_closed), 1U);
    EXPECT_NEAR(closed.notes[0].size, 0.02, 1e-9);
    const Sketch open = read(dxf(kSquare + "0 LINE 5 9 8 s 10 30 20 1 11 40 21 2", kMm));
    ASSERT_EQ(count_notes(open, Note::Kind::open_outline), 2U);
    EXPECT_EQ(open.notes[0].at, (plane::Vec{30, 1}));
    EXPECT_TRUE(has_note(open, "LINE 9 (line 42) is open")) << open.notes[0].text;
}

TEST(Dxf, TextNamesTheOutlineAroundIt) {
    const Sketch named =
        read(dxf(kSquare + "0 CIRCLE 5 C 10 5 20 5 40 2 0 TEXT 10 4 20 4.5 40 1 1 Oak 0 MTEXT 10 1 20 9 40 0.5 71 1 1 "
                           "{\\fArial|b0;North\\Pwest} "
                           "0 TEXT 10 0 20 0 11 8 21 8 72 1 73 2 40 0.5 1 5%%d 0 TEXT 10 50 20 50 40 1 1 stray",
                 kMm));
    using Properties = std::vector<std::pair<std::string, std::string>>;
    EXPECT_EQ(outline(named, "C").properties, (Properties{{"text", "Oak"}}));
    EXPECT_EQ(outline(named, "A1").properties, (Properties{{"text", "North west 5°"}}));
    EXPECT_TRUE(has_note(named, "text 'stray' stands in no closed outline"));
}

TEST(Dxf, TextCoding) {
    EXPECT_EQ(plain_text("Gr\\U+00FCn %%c5 %%p1 %%uup%%u 100%%%"), "Grün Ø5 ±1 up 100%");
    EXPECT_EQ(plain_text("Gr\xFCn \x80"), "Grün €") << "Windows-1252";
    EXPECT_EQ(plain_text("Grün"), "Grün") << "UTF-8";
    EXPECT_EQ(plain_mtext("{\\H2.5x;\\C1;A}\\PB\\~C\\S1/2; \\\\ \\{x\\} \\Lu\\l"), "A B C1/2 \\ {x} u");
    EXPECT_EQ(folded("Wände a"), "WäNDE A");
}

TEST(Dxf, LineEndsBlanksAndComments) {
    const std::string words = kMm + section("ENTITIES", kSquare) + "0 EOF";
    const Sketch expected = read(groups(words));
    for (const char* end : {"\r\n", "\r", "  \n"})
        EXPECT_EQ(read(groups(words, end)).outlines[0].rings, expected.outlines[0].rings);
    EXPECT_EQ(read("\xEF\xBB\xBF" + groups("999 made_by_hand " + words)).outlines[0].rings, expected.outlines[0].rings);
    EXPECT_EQ(read(groups(words) + "\n\n\n").outlines[0].rings, expected.outlines[0].rings);
}

TEST(Dxf, RefusalsSayWhere) {
    EXPECT_EQ(refused(dxf("0 CIRCLE 8 a 10 1 20 0 40 x")),
              "a.dxf:14: 'x' is no number (group 40 of CIRCLE); mend the value, or save the drawing again");
    const std::string knots = "40 0 40 0 40 0 40 1 40 1 40 1 ", controls = "10 0 20 0 10 1 20 1 10 2 20 0 ";
    const std::vector<std::pair<std::string, std::string>> bad{
        {"", "the file is empty"},
        {std::string("Some binary sentinel\r\n\x1a\0\0\0", 26), "binary DXF"},
        {"AC1032 and more", "DWG"},
        {"hello\nworld\n", "a.dxf:1: a DXF group code"},
        {"0\nSECTION\n2\n", "a.dxf:3: the file ends after a group code"},
        {"0\nSECTION\n2\nENTITIES\n0\nLINE\n", "ends inside section ENTITIES"},
        {"0\nLINE\n", "SECTION with its name"},
        {"5\nLINE\n", "a record (code 0)"},
        {groups("0 SECTION 2 ENTITIES 0 SECTION 2 BLOCKS 0 ENDSEC 0 EOF"), "has no ENDSEC"},
        {groups("0 EOF"), "no closed outline"},
        {dxf("0 LINE 10 0 20 0 11 9 21 0"), "no closed outline"},
        {dxf("0 CIRCLE 10 0 20 0 40 0"), "no area"},
        {dxf("0 CIRCLE 10 nan 20 0 40 1"), "'nan' is no number"},
        {dxf("0 CIRCLE 10 1e999 20 0 40 1"), "is no number"},
        {dxf("0 CIRCLE 10 1e200 20 0 40 1"), "beyond 1000 km"},
        {dxf("0 CIRCLE 10 0 20 0 40 1e300"), "beyond 1000 km"},
        {dxf("0 CIRCLE 10 0 20 0 40 100000"), "the largest is 21000 mm"},
        {dxf("0 SPLINE 71 2 " + controls + "40 0 40 1"), "2 knots do not fit 3 control points"},
        {dxf("0 SPLINE 71 2 " + controls + "40 0 40 0 40 0 40 1 40 0 40 1"), "do not rise"},
        {dxf("0 SPLINE 71 99 " + knots + controls), "degree 99"},
        {dxf("0 SPLINE 71 3 " + knots + controls), "too few"},
        {dxf("0 SPLINE 71 2 " + knots + controls + "41 1 41 0 41 1"), "weight"},
        {dxf("0 SPLINE 71 2 " + knots + controls + "41 1"), "one weight for each"},
        {dxf("0 INSERT 2 gone"), "block 'gone', which is not in the file"},
        {dxf("0 INSERT 2 a",
             section("BLOCKS", "0 BLOCK 2 a 70 0 0 INSERT 2 b 0 ENDBLK 0 BLOCK 2 b 70 0 0 INSERT 2 a 0 ENDBLK")),
         "inside itself"},
        {dxf("0 INSERT 2 a 70 2000000 71 2000000", section("BLOCKS", "0 BLOCK 2 a 70 0 0 ENDBLK")), "copies"},
    };
    for (const auto& [text, part] : bad) {
        const std::string message = refused(text);
        EXPECT_NE(message.find(part), std::string::npos) << text.substr(0, 300) << "\n  gave: " << message;
        EXPECT_NE(message.find("; "), std::string::npos) << "no remedy: " << message;
    }
}

TEST(Dxf, HostileInputIsRefused) {
    std::string noise(10'000'000, ' ');
    std::uint32_t state = 54321;
    for (char& c : noise)
        c = static_cast<char>((state = state * 1664525U + 1013904223U) >> 24U);
    EXPECT_NE(refused(noise), "");
    EXPECT_NE(refused("0\nSECTION\n2\nENTITIES\n" + noise), "");
    EXPECT_NE(refused(std::string(10'000'000, '0')), "");
    EXPECT_NE(refused(std::string(10'000'000, '\n')), "");
    // Blocks that draw the next one twice, sixty deep; and 5000 deep.
    std::string doubling, chain;
    for (int i = 0; i < 60; ++i) {
        const std::string next = "0 INSERT 2 b" + std::to_string(i + 1) + " ";
        doubling += "0 BLOCK 2 b" + std::to_string(i) + " 70 0 " + next + next + "0 ENDBLK ";
    }
    EXPECT_NE(refused(dxf("0 INSERT 2 b0", section("BLOCKS", doubling + "0 BLOCK 2 b60 70 0 0 CIRCLE 40 1 0 ENDBLK")))
                  .find("1000000 entities"),
              std::string::npos);
    for (int i = 0; i < 5000; ++i)
        chain += "0 BLOCK 2 b" + std::to_string(i) + " 70 0 0 INSERT 2 b" + std::to_string(i + 1) + " 0 ENDBLK ";
    EXPECT_NE(refused(dxf("0 INSERT 2 b0", section("BLOCKS", chain + "0 BLOCK 2 b5000 70 0 0 CIRCLE 40 1 0 ENDBLK")))
                  .find("too deep"),
              std::string::npos);
}

} // namespace
} // namespace kerfwright::drawing
