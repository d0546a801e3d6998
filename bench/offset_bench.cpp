// What a full pocket's offsets cost: all levels of an island from its Voronoi diagram, with and without the guard,
// beside Clipper and GEOS from the same outline. Lengths of every level are compared with Clipper's before times count.

#include "support/geos.hpp"

#include "fit/partitions.hpp"
#include "plane/levels.hpp"
#include "plane/offset.hpp"

#include <benchmark/benchmark.h>

#include <cmath>

using namespace kerfwright;

namespace {

constexpr double kFirst = 3.175, kStep = 2.54; // mm
constexpr double kTolerance = 0.001;           // mm, of chords

/// One region of four, some 300 mm across, with a coast of vertices at most `finest` mm apart.
plane::Shape island(double finest) {
    return fit::test::voronoi(4, 600, fit::test::coast(finest, 0.12), 1.5, 7)[0].shape;
}

double length_of(const plane::Shape& shape) {
    double sum = 0;
    for (const plane::Ring& ring : plane::rings_of(shape))
        sum += plane::perimeter(ring);
    return sum;
}

std::vector<double> levels_until_empty(const plane::Shape& shape) {
    std::vector<double> levels;
    const double half = plane::widest(*plane::voronoi_of(shape).diagram).width / 2;
    for (double depth = kFirst; depth < half - 0.1; depth += kStep)
        levels.push_back(-depth);
    return levels;
}

struct Pocket {
    plane::Shape shape;
    std::vector<double> levels;
    std::vector<double> lengths; ///< by Clipper
};

Pocket pocket_of(benchmark::State& state) {
    Pocket pocket;
    pocket.shape = island(static_cast<double>(state.range(0)) / 1000);
    pocket.levels = levels_until_empty(pocket.shape);
    for (const double level : pocket.levels)
        pocket.lengths.push_back(length_of(plane::offset(pocket.shape, level)));
    state.counters["vertices"] = static_cast<double>(pocket.shape[0].outer.size());
    state.counters["levels"] = static_cast<double>(pocket.levels.size());
    return pocket;
}

void check(benchmark::State& state, const Pocket& pocket, std::size_t level, double length) {
    if (std::abs(length - pocket.lengths[level]) > 1e-3 * pocket.lengths[level] + 0.05)
        state.SkipWithError("a level is not as long as Clipper's");
}

void Diagram(benchmark::State& state) {
    const Pocket pocket = pocket_of(state);
    std::vector<plane::Shape> made;
    for (auto _ : state) {
        made.clear();
        const plane::VoronoiResult result = plane::voronoi_of(pocket.shape);
        for (const double level : pocket.levels)
            made.push_back(plane::to_shape(plane::level_of(*result.diagram, level), kTolerance));
    }
    for (std::size_t i = 0; i < made.size(); ++i)
        check(state, pocket, i, length_of(made[i]));
}
BENCHMARK(Diagram)->Arg(2000)->Arg(450)->Unit(benchmark::kMillisecond);

void DiagramWithItsGuard(benchmark::State& state) {
    const Pocket pocket = pocket_of(state);
    std::size_t notes = 0;
    for (auto _ : state)
        notes = plane::offset_levels(pocket.shape, pocket.levels).notes.size();
    state.counters["by_the_library"] = static_cast<double>(notes);
}
BENCHMARK(DiagramWithItsGuard)->Arg(2000)->Arg(450)->Unit(benchmark::kMillisecond);

void Clipper(benchmark::State& state) {
    const Pocket pocket = pocket_of(state);
    for (auto _ : state)
        for (const double level : pocket.levels)
            benchmark::DoNotOptimize(plane::offset(pocket.shape, level, {kTolerance}));
}
BENCHMARK(Clipper)->Arg(2000)->Arg(450)->Unit(benchmark::kMillisecond);

#ifdef KERFWRIGHT_HAS_GEOS
void GeosBuffer(benchmark::State& state) {
    const Pocket pocket = pocket_of(state);
    const oracle::Geos geos;
    const auto shape = geos.shape(pocket.shape);
    for (auto _ : state)
        for (const double level : pocket.levels) {
            const int quarter = static_cast<int>(std::ceil(0.785 / std::acos(1 - kTolerance / -level)));
            benchmark::DoNotOptimize(geos.area(geos.buffer(shape, level, quarter)));
        }
}
BENCHMARK(GeosBuffer)->Arg(2000)->Arg(450)->Unit(benchmark::kMillisecond);
#endif

} // namespace

BENCHMARK_MAIN();
