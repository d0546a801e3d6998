// The SVG reader: sizes and names that can be worked out by hand, and what it refuses.

#include "sketching.hpp"

#include "drawing/css.hpp"

#include <numbers>

namespace kerfwright::drawing {
namespace {

constexpr double kPi = std::numbers::pi;

std::string svg(const std::string& attributes, const std::string& body) {
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" " + attributes +
           ">" + body + "</svg>";
}
Sketch read(const std::string& text, const ReadOptions& options = {}) {
    return must(read_svg(text, "a.svg", options));
}
std::string refused(const std::string& text, const ReadOptions& options = {}) {
    return refusal(read_svg(text, "a.svg", options));
}

TEST(Svg, UnitsGiveMillimetres) {
    const std::vector<std::pair<std::string, double>> units{{"", 25.4 / 96},  {"px", 25.4 / 96}, {"mm", 1},
                                                            {"cm", 10},       {"in", 25.4},      {"pt", 25.4 / 72},
                                                            {"pc", 25.4 / 6}, {"Q", 0.25}};
    for (const auto& [unit, mm] : units) {
        const Sketch sketch = read(
            svg("width=\"500mm\" height=\"500mm\"", "<rect width=\"12" + unit + "\" height=\"7.5" + unit + "\"/>"));
        EXPECT_NEAR(box_of(sketch.outlines[0]).width(), 12 * mm, 1e-5) << unit;
        EXPECT_NEAR(box_of(sketch.outlines[0]).height(), 7.5 * mm, 1e-5) << unit;
    }
    const Sketch percent = read(
        svg("width=\"200mm\" height=\"100mm\"", "<rect width=\"10%\" height=\"10%\"/><circle id=\"c\" r=\"10%\"/>"));
    EXPECT_NEAR(box_of(percent.outlines[0]).width(), 20, 1e-5);
    EXPECT_NEAR(box_of(percent.outlines[0]).height(), 10, 1e-5);
    EXPECT_NEAR(box_of(outline(percent, "c")).width(), 2 * 0.1 * std::sqrt((200. * 200 + 100. * 100) / 2), 2e-5);
}

TEST(Svg, ViewBoxGivesTheScale) {
    EXPECT_NEAR(
        box_of(
            read(svg("width=\"100mm\" viewBox=\"0 0 1000 500\"", "<rect width=\"300\" height=\"100\"/>")).outlines[0])
            .width(),
        30, 1e-5);
    EXPECT_NEAR(
        box_of(
            read(svg("height=\"100mm\" viewBox=\"0 0 1000 500\"", "<rect width=\"300\" height=\"100\"/>")).outlines[0])
            .width(),
        60, 1e-5);
    EXPECT_NEAR(box_of(read(svg("viewBox=\"0 0 1000 500\"", "<rect width=\"96\" height=\"10\"/>")).outlines[0]).width(),
                25.4, 1e-5);
    EXPECT_NEAR(
        box_of(read(svg("width=\"100%\" viewBox=\"0 0 1000 500\"", "<rect width=\"96\" height=\"10\"/>")).outlines[0])
            .width(),
        25.4, 1e-5);
    EXPECT_TRUE(
        has_note(read(svg("viewBox=\"0 0 1000 500\"", "<rect width=\"96\" height=\"10\"/>")), "no width of its own"));
}

TEST(Svg, FinishedScaleIsTheReaders) {
    const std::string text =
        svg("width=\"100mm\" height=\"100mm\"",
            "<circle cx=\"50mm\" cy=\"50mm\" r=\"10mm\" id=\"c\"/><path fill=\"none\" stroke=\"red\" d=\"M0 0H900\"/>");
    ReadOptions options;
    options.scale = 2.5;
    EXPECT_NEAR(box_of(read(text, options).outlines[0]).width(), 50, 1e-5);
    options.width = 700; // goes before scale; the open line does not count
    const Sketch wide = read(text, options);
    const plane::Box box = box_of(wide.outlines[0]);
    EXPECT_NEAR(box.width(), 700, 1e-5);
    EXPECT_EQ(box.low, (plane::Vec{0, 0})) << "lower left corner at the origin";
    // 2 µm in the finished size: the sagitta of its chords.
    const plane::Ring& ring = wide.outlines[0].rings[0];
    const double chord = distance(plane::to_mm(ring[0]), plane::to_mm(ring[1]));
    EXPECT_LE(350 - std::sqrt(350. * 350 - chord * chord / 4), 0.002);
    EXPECT_NEAR(area_of(wide.outlines[0]), kPi * 350 * 350, 0.002 * 2 * kPi * 350);
}

TEST(Svg, ShapesHaveTheirAreas) {
    const Sketch shapes = must(read_svg(file_text(test_file("shapes.svg")), "shapes.svg", {}));
    const auto near = [&](const char* id, double area, double perimeter) {
        EXPECT_NEAR(area_of(outline(shapes, id)), area, 0.002 * perimeter) << id;
    };
    near("rect-mm", 200, 1e-3);
    near("rect-round", 200 - (4 - kPi) * 9, 19);
    near("rect-round-xy", 200 - (4 - kPi) * 8, 20);
    near("rect-round-limited", 200 - (4 - kPi) * 10 * 3, 50);
    near("rect-pill", 200 - (4 - kPi) * 9 * 5, 50); // rx = ry = 9 mm, ry limited to half the height
    near("circle-in", kPi * 7.62 * 7.62, 48);
    near("ellipse-pt", kPi * 800 * 25.4 * 25.4 / 72 / 72, 70);
    near("ellipse-auto", kPi * 64, 51);
    EXPECT_TRUE(std::none_of(shapes.outlines.begin(), shapes.outlines.end(),
                             [](const Outline& o) { return o.id.find("nothing") != std::string::npos; }));
}

TEST(Svg, NamesLayersAndProperties) {
    const Sketch sketch = read(svg("width=\"99mm\" xmlns:z=\"urn:z\"",
                                   "<g id=\"g1\" z:label=\"Front &amp; back\"><g><rect id=\"a\" z:label=\"A\" "
                                   "data-name=\"Oak\" class=\"x y\" width=\"9\" height=\"9\"/></g>"
                                   "<g id=\"g2\"><rect id=\"b\" x=\"20\" width=\"9\" height=\"9\"><title>The "
                                   "b</title></rect></g></g>\n  <rect x=\"40\" width=\"9\" height=\"9\"/>"));
    EXPECT_EQ(outline(sketch, "a").layer, "Front & back");
    EXPECT_EQ(outline(sketch, "b").layer, "g2");
    using Properties = std::vector<std::pair<std::string, std::string>>;
    EXPECT_EQ(outline(sketch, "a").properties, (Properties{{"label", "A"}, {"data-name", "Oak"}, {"class", "x y"}}));
    EXPECT_EQ(outline(sketch, "b").properties, (Properties{{"title", "The b"}}));
    EXPECT_EQ(outline(sketch, "").layer, "");
    EXPECT_EQ(outline(sketch, "").line, 2);
}

TEST(Svg, Clones) {
    const Sketch clones = must(read_svg(file_text(test_file("clones.svg")), "clones.svg", {}));
    std::vector<std::string> ids;
    for (const Outline& o : clones.outlines)
        ids.push_back(o.id);
    EXPECT_EQ(ids, (std::vector<std::string>{"tile-1", "tile-2", "tile", "pair-1/left", "pair-1/right", "drop-1",
                                             "drop-2", "wide-1", "frame-1", "frame-2", "twice-1/left", "twice-1/right",
                                             "twice-1/left", "twice-1/right", "shown", "of-shown"}));
    EXPECT_EQ(outline(clones, "tile-1").fill, "#111111") << "inherited from the clone";
    EXPECT_EQ(outline(clones, "pair-1/right").fill, "#00aa00") << "its own";
}

TEST(Svg, ColoursInEveryNotation) {
    const std::vector<std::pair<std::string, std::string>> known{{"red", "#ff0000"},
                                                                 {"ReD", "#ff0000"},
                                                                 {"yellowgreen", "#9acd32"},
                                                                 {"aliceblue", "#f0f8ff"},
                                                                 {"#0f8", "#00ff88"},
                                                                 {"#0F8C", "#00ff88"},
                                                                 {"#a1B2c3", "#a1b2c3"},
                                                                 {"#a1b2c3ff", "#a1b2c3"},
                                                                 {"rgb(1,2,3)", "#010203"},
                                                                 {"rgb( 100% , 0% , 50% )", "#ff0080"},
                                                                 {"rgba(1 2 3 / 50%)", "#010203"},
                                                                 {"rgb(300,-5,0)", "#ff0000"},
                                                                 {"hsl(120, 100%, 25%)", "#008000"},
                                                                 {"hsl(-120deg 100% 50%)", "#0000ff"},
                                                                 {"transparent", ""},
                                                                 {"rgba(1,2,3,0)", ""}};
    for (const auto& [text, colour] : known)
        EXPECT_EQ(parse_colour(text), colour) << text;
    for (const char* text : {"", "none", "#12", "#12345", "#ggg", "rgb(1,2)", "rgb(1,2,x)", "redd", "url(#a)"})
        EXPECT_FALSE(parse_colour(text)) << text;
}

TEST(Svg, OpenOutlines) {
    const auto drawing = [](const std::string& path) {
        return svg("width=\"99mm\" viewBox=\"0 0 99 99\"", "<rect id=\"r\" width=\"9\" height=\"9\"/>" + path);
    };
    const Sketch open = read(drawing("<path id=\"o\" fill=\"none\" d=\"M20 9H30V4\"/>"));
    ASSERT_EQ(count_notes(open, Note::Kind::open_outline), 2U);
    const Note& note = open.notes[0];
    EXPECT_EQ(note.regions, std::vector<std::string>{"o"});
    EXPECT_NEAR(note.at.x, 20, 1e-9);
    EXPECT_NEAR(note.at.y, 0, 1e-9);
    EXPECT_TRUE(has_note(open, "path 'o' (line 1) is open"));

    const Sketch nearly = read(drawing("<path id=\"o\" fill=\"none\" d=\"M20 9H30V4L20.03 9\"/>"));
    EXPECT_EQ(count_notes(nearly, Note::Kind::open_outline), 0U);
    ASSERT_EQ(count_notes(nearly, Note::Kind::gap_closed), 1U);
    EXPECT_NEAR(nearly.notes[0].size, 0.03, 1e-9);
    EXPECT_NEAR(area_of(outline(nearly, "o")), 25 - 0.03 * 5 / 2, 1e-3);

    // Snap is of the finished size.
    ReadOptions options;
    options.scale = 10;
    EXPECT_EQ(count_notes(read(drawing("<path id=\"o\" fill=\"none\" d=\"M20 9H30V4L20.03 9\"/>"), options),
                          Note::Kind::open_outline),
              2U);

    const Sketch filled = read(drawing("<path id=\"o\" d=\"M20 9H30V4\"/>"));
    EXPECT_NEAR(area_of(outline(filled, "o")), 25, 1e-6);
    EXPECT_EQ(count_notes(filled, Note::Kind::gap_closed), 1U);

    const Sketch sides = read(drawing("<g id=\"L\" fill=\"none\"><line x1=\"20\" x2=\"30\" y1=\"1\" y2=\"1\" "
                                      "id=\"first\"/><polyline points=\"30 1 30 6\"/><path d=\"M20 1L30 6\"/></g>"));
    EXPECT_NEAR(area_of(outline(sides, "first")), 25, 1e-6);
    EXPECT_EQ(count_notes(sides, Note::Kind::open_outline), 0U);
}

TEST(Svg, FillRules) {
    const std::string rings = " d=\"M0 0h9v9h-9zM2 2h5v5h-5z\"/>";
    const auto rule = [&](const std::string& attributes) {
        return read(svg("width=\"9mm\"", "<path " + attributes + rings)).outlines[0].even_odd;
    };
    EXPECT_FALSE(rule(""));
    EXPECT_TRUE(rule("fill-rule=\"evenodd\""));
    EXPECT_TRUE(rule("fill=\"none\"")) << "no fill shows its rule: a ring in a ring is a hole";
}

TEST(Svg, NothingIsLeftOutInSilence) {
    const Sketch sketch =
        read(svg("width=\"9mm\"", "<style>path:hover { fill: red } @media print { path { fill: red } }</style><rect "
                                  "width=\"9\" height=\"9\" clip-path=\"url(#c)\"/>"
                                  "<text>words</text>\n<image href=\"x.png\"/><g display=\"none\"><path d=\"M0 "
                                  "0h1v1z\"/></g><use href=\"other.svg#a\"/><path d=\"M1 1h3h-3z\"/>"));
    for (const char* part : {"path:hover", "@media print", "clip-path", "turn text to outlines", "image (line 2)",
                             "1 hidden shape", "other.svg#a", "encloses nothing"})
        EXPECT_TRUE(has_note(sketch, part)) << part;
}

TEST(Svg, RefusalsSayWhere) {
    EXPECT_EQ(refused(svg("", "\n <path id=\"p\"\n  d=\"M0 0\n L1 1 Q\n 3\"/>")),
              "a.svg:5:3: d of path 'p', character 16: a number is wanted here (2 of 4 for 'Q'); mend the value");
    EXPECT_EQ(refused("<svg>\n<g>\n</svg>").substr(0, 31), "a.svg:3:7: XML: Opening and end");
    const std::vector<std::pair<std::string, std::string>> bad{
        {"", "the file is empty"},
        {"hello", "XML"},
        {"<html/>", "a.svg:1:1: the file holds 'html', not 'svg'"},
        {svg("", ""), "no closed outline"},
        {svg("", "<path fill=\"none\" d=\"M0 0h9\"/>"), "no closed outline"},
        {svg("width=\"0\"", "<rect width=\"1\" height=\"1\"/>"), "width or height"},
        {svg("viewBox=\"0 0 0 5\"", "<rect width=\"1\" height=\"1\"/>"), "no area"},
        {svg("viewBox=\"0 0 5\"", "<rect width=\"1\" height=\"1\"/>"), "four numbers"},
        {svg("", "<rect width=\"3q3\" height=\"1\"/>"), "'q3' is no unit"},
        {svg("", "<rect width=\"3em\" height=\"1\"/>"), "'em' is no unit"},
        {svg("", "<rect width=\"-3\" height=\"1\"/>"), "negative"},
        {svg("", "<rect width=\"nan\" height=\"1\"/>"), "length"},
        {svg("", "<rect width=\"1e999\" height=\"1\"/>"), "length"},
        {svg("", "<rect width=\"5%\" height=\"1\"/>"), "percentage"},
        {svg("", "<rect width=\"1e200\" height=\"1e200\"/>"), "beyond 1000 km"},
        {svg("", "<rect width=\"1\" height=\"1\" transform=\"scale(1e308) scale(1e308)\"/>"), "not finite"},
        {svg("", "<rect width=\"1\" height=\"1\" transform=\"turn(5)\"/>"), "turn with 1 numbers"},
        {svg("", "<rect width=\"1\" height=\"1\" transform=\"rotate(5\"/>"), "a number is wanted"},
        {svg("", "<rect width=\"1000000\" height=\"1000000\"/>"), "the largest is 21000 mm"},
        {svg("", "<rect width=\"1e-9\" height=\"1e-9\"/>"), "finished set would measure"},
        {svg("", "<rect width=\"1\" height=\"1\" transform=\"scale(1 0)\"/>"), "it has no area"},
        {svg("", "<path d=\"L1 1\"/>"), "must begin with M"},
        {svg("", "<path d=\"M0 0A1 1 0 2 0 3 3\"/>"), "flag"},
        {svg("", "<path d=\"M0 0X\"/>"), "'X' is no path command"},
        {svg("", "<polygon points=\"0 0 1\"/>"), "y coordinate"},
        {svg("", "<use href=\"#gone\"/>"), "not in the file"},
        {svg("", "<g id=\"a\"><use href=\"#a\"/></g>"), "draws itself"},
        {svg("", "<g id=\"a\"><use href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g>"), "draws itself"},
        {"<!DOCTYPE s [<!ENTITY a \"x\"><!ENTITY b \"&a;&a;\">]><svg/>", "entity 'b'"},
        {"<!DOCTYPE s [<!ENTITY % p \"x\">]><svg/>", "parameter entity '%p'"},
        {"<svg>&nosuch;</svg>", "XML"},
    };
    for (const auto& [text, part] : bad) {
        const std::string message = refused(text);
        EXPECT_NE(message.find(part), std::string::npos) << text.substr(0, 200) << "\n  gave: " << message;
        EXPECT_NE(message.find("; "), std::string::npos) << "no remedy: " << message;
    }
    ReadOptions options;
    options.scale = -1;
    EXPECT_NE(refused(svg("", "<rect width=\"1\" height=\"1\"/>"), options), "");
    options.scale = std::nan("");
    EXPECT_NE(refused(svg("", "<rect width=\"1\" height=\"1\"/>"), options), "");
}

TEST(Svg, SmallEntitiesAndEncodings) {
    const Sketch entity = read(
        "<!DOCTYPE svg [<!ENTITY st \"fill:#00f\"><!ENTITY out SYSTEM \"file:///etc/hostname\">]><svg "
        "xmlns=\"http://www.w3.org/2000/svg\"><rect id=\"&#x41;&lt;\" style=\"&st;\" width=\"9\" height=\"9\"/></svg>");
    EXPECT_EQ(outline(entity, "A<").fill, "#0000ff");
    const Sketch latin = read(
        "<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><svg><rect id=\"B\xe4r\" width=\"9\" height=\"9\"/></svg>");
    EXPECT_EQ(latin.outlines[0].id, "B\xc3\xa4r");
    std::string utf16 = "\xff\xfe";
    for (const char c : std::string("<svg><rect id=\"u\" width=\"9\" height=\"9\"/></svg>"))
        utf16 += std::string{c, '\0'};
    EXPECT_EQ(read(utf16).outlines[0].id, "u");
}

TEST(Svg, LargeDrawingsAreRead) {
    // 12 MB, above what the XML parser takes by default.
    std::string body, line;
    for (int i = 0; i < 1000; ++i)
        line += std::to_string(i % 10) + "." + std::to_string(1000 + i) + " ";
    for (int i = 0; i < 1700; ++i)
        body += "<polygon points=\"" + line + "\"/>\n";
    const std::string text = svg("width=\"99mm\"", body);
    ASSERT_GT(text.size(), 11'000'000U);
    const Sketch sketch = read(text);
    EXPECT_EQ(sketch.outlines.size(), 1700U);
    EXPECT_EQ(sketch.outlines.back().line, 1700);
}

TEST(Svg, HostileInputIsRefused) {
    const auto times = [](const std::string& part, int count) {
        std::string text;
        for (int i = 0; i < count; ++i)
            text += part;
        return text;
    };
    EXPECT_NE(refused(svg("", times("<g>", 5000) + times("</g>", 5000))), "");
    EXPECT_NE(refused(times("<g>", 500'000)), "");
    std::string noise(10'000'000, ' ');
    std::uint32_t state = 12345;
    for (char& c : noise)
        c = static_cast<char>((state = state * 1664525U + 1013904223U) >> 24U);
    EXPECT_NE(refused(noise), "");
    EXPECT_NE(refused("<svg>" + noise), "");
    std::string crowd = "<!-- one tag --><svg><g";
    for (int i = 0; i < 400'000; ++i)
        crowd += " a" + std::to_string(i) + "=\"\"";
    EXPECT_NE(refused(crowd + "/></svg>").find("a.svg:1:22: an element has more than 500 attributes"),
              std::string::npos);
    std::string doubling;
    for (int i = 0; i < 60; ++i) {
        const std::string next = "<use href=\"#g" + std::to_string(i + 1) + "\"/>";
        doubling += "<g id=\"g" + std::to_string(i) + "\">" + next + next + "</g>";
    }
    EXPECT_NE(refused(svg("", doubling + "<rect id=\"g60\" width=\"1\" height=\"1\"/>")).find("1000000 elements"),
              std::string::npos);
    EXPECT_NE(refused(svg("", "<style>" + times("g g g g g g rect.a { fill: red } ", 20000) + "</style>" +
                                  times("<rect class=\"a\" width=\"1\" height=\"1\"/>", 20000))),
              "");
    EXPECT_NE(refused(svg("", "<path d=\"M0 0" + times("c1e7 0 0 1e7 1 1", 300000) + "z\"/>")), "");
}

} // namespace
} // namespace kerfwright::drawing
