// What a drawing costs: reading SVG beside parsing the same XML and nothing more, and cleaning a set to a partition
// beside noding and polygonizing the same lines by GEOS, which snaps nothing. Answers are compared before times count.

#include "support/geos.hpp"

#include "drawing/drawing.hpp"
#include "fit/partitions.hpp"

#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <libxml/parser.h>

#include <cmath>

using namespace kerfwright;

namespace {

constexpr double kCellSide = 79.1; // mm
constexpr double kFinest = 0.45;   // mm between vertices, at most

/// Cells with coasts, about 1,000 vertices each, every border drawn twice.
drawing::Sketch sketch_of(int regions) {
    drawing::Sketch sketch;
    const auto set =
        fit::test::voronoi(regions, kCellSide * std::sqrt(regions), fit::test::coast(kFinest, 0.12), 1.5, 7);
    for (const fit::RegionToFit& region : set) {
        drawing::Outline outline;
        outline.id = region.id;
        outline.rings = plane::rings_of(region.shape);
        sketch.outlines.push_back(std::move(outline));
    }
    return sketch;
}

std::vector<plane::Ring> rings_of(const drawing::Sketch& sketch) {
    std::vector<plane::Ring> rings;
    for (const drawing::Outline& outline : sketch.outlines)
        rings.insert(rings.end(), outline.rings.begin(), outline.rings.end());
    return rings;
}

std::size_t vertices_of(const drawing::Sketch& sketch) {
    std::size_t count = 0;
    for (const plane::Ring& ring : rings_of(sketch))
        count += ring.size();
    return count;
}

double area_of(const drawing::Sketch& sketch) {
    double sum = 0;
    for (const plane::Ring& ring : rings_of(sketch))
        sum += plane::signed_area(ring);
    return sum;
}

std::string svg_of(const drawing::Sketch& sketch) {
    const double side = kCellSide * std::sqrt(static_cast<double>(sketch.outlines.size()));
    std::string text = fmt::format("<svg xmlns='http://www.w3.org/2000/svg' width='{0}mm' height='{0}mm' "
                                   "viewBox='0 0 {0} {0}'>\n",
                                   side);
    for (const drawing::Outline& outline : sketch.outlines) {
        text += fmt::format("<path id='{}' d='", outline.id);
        for (const plane::Ring& ring : outline.rings) {
            char command = 'M';
            for (const plane::Point p : ring) {
                const plane::Vec at = plane::to_mm(p);
                text += fmt::format("{}{:.5f} {:.5f}", command, at.x, side - at.y);
                command = 'L';
            }
            text += 'Z';
        }
        text += "'/>\n";
    }
    return text + "</svg>\n";
}

void ReadSvg(benchmark::State& state) {
    const drawing::Sketch sketch = sketch_of(static_cast<int>(state.range(0)));
    const std::string text = svg_of(sketch);
    std::size_t found = 0;
    for (auto _ : state) {
        const auto read = drawing::read_svg(text, "set.svg", {});
        found = read.ok() ? vertices_of(read.value()) : 0;
    }
    if (found != vertices_of(sketch)) state.SkipWithError("vertices were lost");
    state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * state.iterations());
}
BENCHMARK(ReadSvg)->Arg(50)->Arg(250)->Unit(benchmark::kMillisecond);

/// Peer: the XML library alone; coordinates stay text.
void ParseXmlOnly(benchmark::State& state) {
    const std::string text = svg_of(sketch_of(static_cast<int>(state.range(0))));
    for (auto _ : state) {
        xmlDoc* const document =
            xmlReadMemory(text.data(), static_cast<int>(text.size()), "set.svg", nullptr, XML_PARSE_HUGE);
        if (document == nullptr) state.SkipWithError("not XML");
        xmlFreeDoc(document);
    }
    state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * state.iterations());
}
BENCHMARK(ParseXmlOnly)->Arg(50)->Arg(250)->Unit(benchmark::kMillisecond);

double area_of(const drawing::Drawing& drawing) {
    double sum = 0;
    for (const drawing::Region& region : drawing.regions)
        sum += plane::area(region.shape);
    return sum;
}

void Partition(benchmark::State& state) {
    const drawing::Sketch sketch = sketch_of(static_cast<int>(state.range(0)));
    double area = 0;
    for (auto _ : state) {
        const auto drawing = drawing::make_partition(sketch, "set.svg", {});
        area = drawing.ok() ? area_of(drawing.value()) : 0;
    }
    if (std::abs(area - area_of(sketch)) > 1e-6 * area_of(sketch)) state.SkipWithError("area was lost");
    state.counters["vertices"] = static_cast<double>(vertices_of(sketch));
}
BENCHMARK(Partition)->Arg(50)->Arg(250)->Arg(1000)->Unit(benchmark::kMillisecond);

#ifdef KERFWRIGHT_HAS_GEOS
void PolygonizeByGeos(benchmark::State& state) {
    const drawing::Sketch sketch = sketch_of(static_cast<int>(state.range(0)));
    const std::vector<plane::Ring> rings = rings_of(sketch);
    const oracle::Geos geos;
    double area = 0;
    for (auto _ : state)
        area = geos.area_of_faces(rings);
    if (std::abs(area - area_of(sketch)) > 1e-6 * area_of(sketch)) state.SkipWithError("area was lost");
    state.counters["vertices"] = static_cast<double>(vertices_of(sketch));
}
BENCHMARK(PolygonizeByGeos)->Arg(50)->Arg(250)->Arg(1000)->Unit(benchmark::kMillisecond);
#endif

} // namespace

BENCHMARK_MAIN();
