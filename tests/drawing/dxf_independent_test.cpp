// DXF against another reader, GDAL's ogr2ogr, where that is installed.

#include "sketching.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <sstream>

namespace kerfwright::drawing {
namespace {

struct Line {
    std::string layer;
    std::vector<plane::Vec> points;
};

std::string output_of(const std::string& command) {
    std::string output;
    const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
    std::vector<char> buffer(1 << 16);
    for (std::size_t got = 0; pipe && (got = std::fread(buffer.data(), 1, buffer.size(), pipe.get())) > 0;)
        output.append(buffer.data(), got);
    return output;
}

/// Arcs in steps of a tenth of a degree: chords within 0.4 µm at a radius of 1 m.
std::vector<Line> other_reader(const std::string& file) {
    std::istringstream rows(output_of("ogr2ogr -f CSV /vsistdout/ '" + file +
                                      "' -lco GEOMETRY=AS_WKT --config OGR_ARC_STEPSIZE 0.1"
                                      " --config DXF_MERGE_BLOCK_GEOMETRIES FALSE 2>/dev/null"));
    std::vector<Line> lines;
    std::string row;
    std::getline(rows, row);
    while (std::getline(rows, row)) {
        const std::size_t open = row.find('('), close = row.rfind(')');
        if (open == std::string::npos || row.find("LINESTRING") == std::string::npos) continue;
        Line line;
        std::istringstream vertices(row.substr(open + 1, close - open - 1));
        for (std::string vertex; std::getline(vertices, vertex, ',');) {
            std::istringstream numbers(vertex);
            numbers >> line.points.emplace_back().x >> line.points.back().y;
        }
        std::istringstream fields(row.substr(row.find("\",", close) + 2));
        std::getline(fields, line.layer, ',');
        lines.push_back(std::move(line));
    }
    return lines;
}

/// `chord`: how far the other reader's chords may be off its own curve.
void compare(const std::string& name, double chord, const std::vector<std::string>& not_compared) {
    SCOPED_TRACE(name);
    const std::string file = test_file(name);
    const Sketch sketch = must(read_dxf(file_text(file), file, {}));
    const std::vector<Line> others = other_reader(file);
    ASSERT_FALSE(others.empty());
    ASSERT_FALSE(sketch.outlines.empty());
    // Both begin the first entity at the same point.
    const plane::Vec corner = others[0].points[0] - plane::to_mm(sketch.outlines[0].rings[0][0]);

    std::vector<plane::Ring> ours, theirs;
    for (const Outline& outline : sketch.outlines)
        if (std::find(not_compared.begin(), not_compared.end(), outline.layer) == not_compared.end())
            ours.insert(ours.end(), outline.rings.begin(), outline.rings.end());
    const plane::EdgeIndex edges(ours);
    double worst = 0, worst_back = 0;
    std::size_t compared = 0;
    for (const Line& line : others) {
        if (std::find(not_compared.begin(), not_compared.end(), line.layer) != not_compared.end()) continue;
        plane::Ring& there_and_back = theirs.emplace_back();
        for (const plane::Vec p : line.points) {
            const double off = edges.nearest(p - corner)->distance;
            worst = std::max(worst, off);
            EXPECT_LT(off, 0.0021) << line.layer << " at " << p.x << ", " << p.y;
            there_and_back.push_back(plane::to_grid(p - corner));
            ++compared;
        }
        for (std::size_t i = line.points.size(); i-- > 1;)
            there_and_back.push_back(there_and_back[i - 1]);
    }
    const plane::EdgeIndex back(theirs);
    for (const plane::Ring& ring : ours)
        for (const plane::Point p : ring) {
            const double off = back.nearest(plane::to_mm(p))->distance;
            worst_back = std::max(worst_back, off);
            EXPECT_LT(off, 0.0001 + chord);
        }
    EXPECT_GT(compared, 100U);
    std::printf(
        "  %s: %zu points of the other reader within %.5f mm of our outlines, ours within %.5f mm of its chords\n",
        name.c_str(), compared, worst, worst_back);
}

TEST(DxfAgainstAnotherReader, CurvesLieWhereItsCurvesLie) {
    if (!std::filesystem::exists("/usr/bin/ogr2ogr")) GTEST_SKIP() << "no ogr2ogr on this machine";
    compare("shapes.dxf", 0, {});
    compare("blocks.dxf", 0, {});
    // It gives 8 points for each control point of a spline, whatever the curve does, and takes no notice of knots that
    // do not begin with a full set (layer "periodic").
    compare("splines.dxf", 0.5, {"periodic"});
}

} // namespace
} // namespace kerfwright::drawing
