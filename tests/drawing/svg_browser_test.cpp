// SVG against a browser's own geometry and its own painting. Skipped where there is no Chromium.

#include "sketching.hpp"

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <memory>
#include <sstream>

namespace kerfwright::drawing {
namespace {

constexpr double kMmPerPixel = 25.4 / 96;
const std::vector<std::string> kDrawings{"paths", "shapes", "nested", "style", "clones"};

std::string browser() {
    for (const char* path : {"/usr/bin/chromium", "/usr/bin/chromium-browser"})
        if (std::filesystem::exists(path)) return path;
    return "";
}

struct BrowserShape {
    double length = 0, scale = 0;   ///< user units; CSS pixels in one, 0 when the map is no similarity
    std::vector<plane::Vec> points; ///< CSS pixels
};
struct BrowserPicture {
    double step = 0, pixel = 0; ///< CSS pixels between samples; side of a sample
    std::vector<std::vector<std::string>> rows;
};
struct BrowserView {
    std::map<std::string, std::map<std::string, BrowserShape>> shapes; ///< by drawing and id
    std::map<std::string, BrowserPicture> pictures;
    std::string failure;
};

std::string script_string(const std::string& text) {
    std::string result = "\"";
    for (const char c : text) {
        if (c == '\n')
            result += "\\n";
        else if (c == '<')
            result += "\\x3c";
        else if (c == '"' || c == '\\')
            result += std::string("\\") + c;
        else
            result += c;
    }
    return result + '"';
}

std::string run_browser() {
    std::string page = file_text(test_file("browser.html"));
    std::string list;
    for (const std::string& name : kDrawings)
        list += "[" + script_string(name) + "," + script_string(file_text(test_file(name + ".svg"))) + "],";
    const std::string mark = "/*DRAWINGS*/[]";
    page.replace(page.find(mark), mark.size(), "[" + list + "]");

    std::string folder = (std::filesystem::temp_directory_path() / "kerfwright-browser-XXXXXX").string();
    if (mkdtemp(folder.data()) == nullptr) return "";
    std::ofstream(folder + "/page.html") << page;
    const std::string command =
        "HOME=" + folder + " timeout 120 " + browser() +
        " --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking"
        " --disable-component-update --disable-sync --force-device-scale-factor=1 --window-size=1400,1100"
        " --virtual-time-budget=60000 --user-data-dir=" +
        folder + "/profile --dump-dom file://" + folder + "/page.html 2>/dev/null";
    std::string output;
    {
        const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
        std::vector<char> buffer(1 << 16);
        for (std::size_t got = 0; pipe && (got = std::fread(buffer.data(), 1, buffer.size(), pipe.get())) > 0;)
            output.append(buffer.data(), got);
    }
    std::filesystem::remove_all(folder);
    return output;
}

BrowserView view() {
    BrowserView seen;
    const std::string output = run_browser();
    const std::string mark = "<pre id=\"result\">";
    const std::size_t begin = output.find(mark);
    if (begin == std::string::npos || output.find("\nend<", begin) == std::string::npos) {
        seen.failure = "the browser gave: " + output.substr(begin == std::string::npos ? 0 : begin, 300);
        return seen;
    }
    std::istringstream in(output.substr(begin + mark.size()));
    std::string word, name;
    while (in >> word && word.substr(0, 3) != "end") {
        in >> name;
        if (word == "shape") {
            std::string id;
            in >> id;
            BrowserShape& shape = seen.shapes[name][id];
            in >> shape.length >> shape.scale;
            shape.points.resize(1001);
            for (plane::Vec& p : shape.points)
                in >> p.x >> p.y;
        } else {
            BrowserPicture& picture = seen.pictures[name];
            std::size_t rows = 0;
            in >> picture.step >> picture.pixel >> rows;
            std::string line;
            std::getline(in, line);
            for (std::size_t i = 0; i < rows && std::getline(in, line); ++i) {
                std::istringstream runs(line);
                std::size_t count = 0;
                std::string colour;
                picture.rows.emplace_back();
                while (runs >> count >> colour)
                    picture.rows.back().insert(picture.rows.back().end(), count, colour);
            }
        }
    }
    return seen;
}

plane::Vec from_pixels(plane::Vec p) {
    return {p.x * kMmPerPixel, -p.y * kMmPerPixel};
}

/// The reader puts the lower left corner of the drawing to (0, 0). Where that is on the browser's page follows from its
/// first point of one shape: both begin a shape at the same point.
plane::Vec corner_of(const Sketch& sketch, const std::map<std::string, BrowserShape>& shapes) {
    for (const Outline& outline : sketch.outlines)
        if (const auto found = shapes.find(outline.id); found != shapes.end())
            return from_pixels(found->second.points[0]) - plane::to_mm(outline.rings[0][0]);
    ADD_FAILURE() << "no shape in common";
    return {};
}

/// The browser measures along curves in single precision; 0.03 mm in these drawings covers what it loses, and is far
/// below what a wrong arc flag, control point or transform does.
constexpr double kBrowserTolerance = 0.03;

void compare_points(const Sketch& sketch, const std::map<std::string, BrowserShape>& shapes, plane::Vec corner) {
    int compared = 0;
    double worst = 0, worst_back = 0;
    for (const auto& [id, shape] : shapes) {
        const Outline& ours = outline(sketch, id);
        ASSERT_FALSE(ours.rings.empty());
        const plane::EdgeIndex edges(ours.rings);
        std::vector<plane::Ring> theirs(1);
        double step = 0;
        for (std::size_t i = 0; i < shape.points.size(); ++i) {
            const plane::Vec p = from_pixels(shape.points[i]) - corner;
            const double off = edges.nearest(p)->distance;
            worst = std::max(worst, off);
            EXPECT_LT(off, kBrowserTolerance) << id << " point " << i;
            theirs[0].push_back(plane::to_grid(p));
            // A jump from one subpath to the next is no step.
            if (i > 0) {
                const double jump = distance(p, from_pixels(shape.points[i - 1]) - corner);
                if (jump < 4 * shape.length * std::max(shape.scale, 0.2) * kMmPerPixel / 1000)
                    step = std::max(step, jump);
            }
        }
        const plane::EdgeIndex back(theirs);
        for (const plane::Ring& ring : ours.rings)
            for (const plane::Point p : ring) {
                const double off = back.nearest(plane::to_mm(p))->distance;
                worst_back = std::max(worst_back, off);
                EXPECT_LT(off, kBrowserTolerance + step) << id; // between two points a corner may hide
            }
        const bool closed_here =
            std::any_of(sketch.notes.begin(), sketch.notes.end(), [&, &wanted = id](const Note& n) {
                return n.kind == Note::Kind::gap_closed && n.regions == std::vector{wanted};
            });
        if (shape.scale > 0 && !closed_here) {
            // Its lengths are of chords within half a user unit: 0.6 % short for a circle of radius 15.
            const double length = shape.length * shape.scale * kMmPerPixel;
            EXPECT_NEAR(length_of(ours), length, 0.01 * length) << id;
        }
        ++compared;
    }
    EXPECT_GT(compared, 0);
    std::printf("  %d shapes, browser's points off our outlines by up to %.4f mm, ours off its chords by %.4f mm\n",
                compared, worst, worst_back);
}

void compare_colours(const Sketch& sketch, const BrowserPicture& picture, plane::Vec corner) {
    std::vector<plane::Ring> rings;
    std::vector<plane::Box> boxes;
    for (const Outline& o : sketch.outlines) {
        rings.insert(rings.end(), o.rings.begin(), o.rings.end());
        boxes.push_back(box_of(o));
    }
    const plane::EdgeIndex edges(rings);
    const double near = 1.5 * picture.pixel * kMmPerPixel;
    int compared = 0, painted = 0, wrong = 0;
    for (std::size_t row = 0; row < picture.rows.size(); ++row)
        for (std::size_t column = 0; column < picture.rows[row].size(); ++column) {
            const plane::Vec p = from_pixels({static_cast<double>(column) * picture.step + picture.pixel / 2,
                                              static_cast<double>(row) * picture.step + picture.pixel / 2}) -
                                 corner;
            std::string colour = "none";
            for (std::size_t i = sketch.outlines.size(); i-- > 0 && colour == "none";) {
                const Outline& o = sketch.outlines[i];
                const plane::Box& box = boxes[i];
                if (o.fill.empty() || p.x < box.low.x || p.x > box.high.x || p.y < box.low.y || p.y > box.high.y)
                    continue;
                if (filled_at(o, p)) colour = o.fill;
            }
            if (colour == picture.rows[row][column]) {
                ++compared;
                painted += colour != "none";
                continue;
            }
            if (edges.nearest(p, near)) continue;
            if (++wrong <= 5)
                ADD_FAILURE() << "at " << p.x << ", " << p.y << " mm: ours " << colour << ", the browser's "
                              << picture.rows[row][column];
        }
    EXPECT_EQ(wrong, 0);
    EXPECT_GT(painted, 20000);
    std::printf("  %d samples of the same colour, %d of them painted\n", compared, painted);
}

TEST(SvgAgainstBrowser, PointsAndColoursAgree) {
    if (browser().empty()) GTEST_SKIP() << "no Chromium on this machine";
    const BrowserView seen = view();
    ASSERT_EQ(seen.failure, "");
    for (const std::string& name : kDrawings) {
        SCOPED_TRACE(name);
        std::printf("%s\n", name.c_str());
        const std::string file = test_file(name + ".svg");
        const Sketch sketch = must(read_svg(file_text(file), file, {}));
        const plane::Vec corner = corner_of(sketch, seen.shapes.at(name));
        compare_points(sketch, seen.shapes.at(name), corner);
        compare_colours(sketch, seen.pictures.at(name), corner);
    }
}

} // namespace
} // namespace kerfwright::drawing
