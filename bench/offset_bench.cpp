// What a full pocket's offsets cost: all levels of an island from one Voronoi diagram, with and without the guard,
// beside Clipper, GEOS and Boost.Geometry, each level from the outline or from the level before; CGAL's diagram beside
// ours.
//
// Before a time counts, the answers are compared: the length of all levels with Clipper's from the outline (0.1 %), and
// how far the points are from their true distance (`off_um`, the worst of samples on all levels). A peer that takes
// more than the budget stops there, and `levels` says how far it came.

#include "support/geos.hpp"

#include "fit/partitions.hpp"
#include "plane/boolean.hpp"
#include "plane/levels.hpp"
#include "plane/nearest.hpp"
#include "plane/offset.hpp"

#include <benchmark/benchmark.h>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/multi_polygon.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>

#ifdef KERFWRIGHT_HAS_CGAL
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Segment_Delaunay_graph_2.h>
#include <CGAL/Segment_Delaunay_graph_filtered_traits_2.h>
#endif

#include <cmath>
#include <ctime>
#include <functional>
#include <map>

using namespace kerfwright;

namespace {

constexpr double kFirst = 3.175, kStep = 2.54; // mm
constexpr double kTolerance = 0.001;           // mm, of chords
constexpr double kThinning = 0.002;            // mm, of levels that are taken from the level before
constexpr double kWrong = 0.1;                 // mm: no drift, but another answer
constexpr double kBudget = 15;                 // s of processor time for all levels

double seconds() {
    timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// One region of four, some 300 mm across, with a coast of vertices at most `finest` mm apart.
plane::Shape island(double finest) {
    return fit::test::voronoi(4, 600, fit::test::coast(finest, 0.12), 1.5, 7)[0].shape;
}

plane::Shape thinned(const plane::Shape& shape) {
    std::vector<plane::Ring> rings;
    for (const plane::Ring& ring : plane::rings_of(shape))
        if (plane::Ring thin = plane::simplified(ring, kThinning); thin.size() >= 3) rings.push_back(std::move(thin));
    return plane::normal(rings);
}

int chords_of_a_quarter(double radius) {
    return static_cast<int>(std::ceil(0.785 / std::acos(1 - kTolerance / radius)));
}

struct Pocket {
    plane::Shape shape;
    plane::EdgeIndex border;
    std::vector<double> levels;  ///< < 0, inwards
    std::vector<double> lengths; ///< by Clipper from the outline, as many as the budget gives
};

const Pocket& pocket_of(std::int64_t finest_um) {
    static std::map<std::int64_t, Pocket> known;
    const auto [at, fresh] = known.try_emplace(finest_um, Pocket{{}, plane::EdgeIndex(plane::Shape{}), {}, {}});
    Pocket& pocket = at->second;
    if (!fresh) return pocket;
    pocket.shape = island(static_cast<double>(finest_um) / 1000);
    pocket.border = plane::EdgeIndex(pocket.shape);
    const double half = plane::widest(*plane::voronoi_of(pocket.shape).diagram).width / 2;
    for (double depth = kFirst; depth < half - 0.1; depth += kStep)
        pocket.levels.push_back(-depth);
    const double start = seconds();
    for (const double level : pocket.levels)
        if (seconds() - start < kBudget)
            pocket.lengths.push_back(plane::perimeter(plane::offset(pocket.shape, level, {kTolerance})));
    return pocket;
}

/// Makes the level with this number; the level before is given.
using MakeLevel = std::function<plane::Shape(const Pocket&, std::size_t, const plane::Shape& before)>;

std::vector<plane::Shape> all_levels(const Pocket& pocket, const MakeLevel& make) {
    std::vector<plane::Shape> made;
    const double start = seconds();
    for (std::size_t i = 0; i < pocket.levels.size() && seconds() - start < kBudget; ++i)
        made.push_back(make(pocket, i, i == 0 ? pocket.shape : made.back()));
    return made;
}

double step_to(const Pocket& pocket, std::size_t i) {
    return i == 0 ? pocket.levels[0] : pocket.levels[i] - pocket.levels[i - 1];
}

/// The worst of samples on all levels, mm.
double off(const Pocket& pocket, const std::vector<plane::Shape>& made) {
    double worst = 0;
    for (std::size_t i = 0; i < made.size(); ++i)
        for (const plane::Ring& ring : plane::rings_of(made[i])) {
            std::size_t k = 0;
            for (const plane::Vec p : plane::sampled(ring, 0.3))
                if (k++ % 3 == 0)
                    worst = std::max(worst, std::abs(pocket.border.nearest(p)->distance + pocket.levels[i]));
        }
    return worst;
}

void report(benchmark::State& state, const Pocket& pocket, const std::vector<plane::Shape>& made) {
    state.counters["vertices"] = static_cast<double>(pocket.shape[0].outer.size());
    state.counters["levels"] = static_cast<double>(made.size());
    state.counters["of"] = static_cast<double>(pocket.levels.size());
    const double worst = off(pocket, made);
    state.counters["off_um"] = 1000 * worst;
    if (worst > kWrong) state.SkipWithError("a loop is not where it belongs");
    double length = 0, asked = 0;
    for (std::size_t i = 0; i < std::min(made.size(), pocket.lengths.size()); ++i) {
        length += plane::perimeter(made[i]);
        asked += pocket.lengths[i];
    }
    if (std::abs(length - asked) > 1e-3 * asked) state.SkipWithError("the levels are not as long as Clipper's");
}

void measure(benchmark::State& state, const MakeLevel& make) {
    const Pocket& pocket = pocket_of(state.range(0));
    std::vector<plane::Shape> made;
    for (auto _ : state)
        made = all_levels(pocket, make);
    report(state, pocket, made);
}

void Diagram(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    std::vector<plane::Shape> made;
    for (auto _ : state) {
        made.clear();
        const plane::VoronoiResult result = plane::voronoi_of(pocket.shape);
        for (const double level : pocket.levels)
            made.push_back(plane::to_shape(plane::level_of(*result.diagram, level), kTolerance));
    }
    report(state, pocket, made);
}

void DiagramWithItsGuard(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    std::vector<plane::Shape> made;
    std::size_t notes = 0;
    for (auto _ : state) {
        made.clear();
        const plane::OffsetLevels levels = plane::offset_levels(pocket.shape, pocket.levels);
        for (const plane::OffsetLevel& level : levels.levels)
            made.push_back(plane::to_shape(level, kTolerance));
        notes = levels.notes.size();
    }
    state.counters["by_the_library"] = static_cast<double>(notes);
    report(state, pocket, made);
}

void DiagramOneLevel(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    for (auto _ : state)
        benchmark::DoNotOptimize(plane::offset_levels(pocket.shape, {pocket.levels[0]}));
}

void ClipperOneLevel(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    for (auto _ : state)
        benchmark::DoNotOptimize(plane::offset(pocket.shape, pocket.levels[0], {kTolerance}));
}

void ClipperFromTheOutline(benchmark::State& state) {
    measure(state, [](const Pocket& pocket, std::size_t i, const plane::Shape&) {
        return plane::offset(pocket.shape, pocket.levels[i], {kTolerance});
    });
}

void ClipperOneFromTheOther(benchmark::State& state) {
    measure(state, [](const Pocket& pocket, std::size_t i, const plane::Shape& before) {
        return thinned(plane::offset(before, step_to(pocket, i), {kTolerance}));
    });
}

#ifdef KERFWRIGHT_HAS_GEOS
plane::Ring from_geos_ring(const GEOSGeometry* from) {
    const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq(from);
    unsigned count = 0;
    GEOSCoordSeq_getSize(sequence, &count);
    plane::Ring ring;
    for (unsigned i = 0; i + 1 < count; ++i) {
        plane::Vec v;
        GEOSCoordSeq_getXY(sequence, i, &v.x, &v.y);
        ring.push_back(plane::to_grid(v));
    }
    return ring;
}

plane::Shape from_geos(const oracle::Geos::Geometry& geometry) {
    plane::Shape shape;
    for (int i = 0; i < GEOSGetNumGeometries(geometry.get()); ++i) {
        const GEOSGeometry* one = GEOSGetGeometryN(geometry.get(), i);
        if (GEOSisEmpty(one) == 1) continue;
        plane::Polygon polygon{from_geos_ring(GEOSGetExteriorRing(one)), {}};
        for (int h = 0; h < GEOSGetNumInteriorRings(one); ++h)
            polygon.holes.push_back(from_geos_ring(GEOSGetInteriorRingN(one, h)));
        if (plane::signed_area(polygon.outer) < 0) polygon.outer = plane::reversed(std::move(polygon.outer));
        for (plane::Ring& hole : polygon.holes)
            if (plane::signed_area(hole) > 0) hole = plane::reversed(std::move(hole));
        shape.push_back(std::move(polygon));
    }
    return shape;
}

void GeosFromTheOutline(benchmark::State& state) {
    const oracle::Geos geos;
    measure(state, [&](const Pocket& pocket, std::size_t i, const plane::Shape&) {
        return from_geos(
            geos.buffer(geos.shape(pocket.shape), pocket.levels[i], chords_of_a_quarter(-pocket.levels[i])));
    });
}

void GeosOneFromTheOther(benchmark::State& state) {
    const oracle::Geos geos;
    measure(state, [&](const Pocket& pocket, std::size_t i, const plane::Shape& before) {
        const double step = step_to(pocket, i);
        return thinned(from_geos(geos.buffer(geos.shape(before), step, chords_of_a_quarter(-step))));
    });
}
#endif

namespace bg = boost::geometry;
using BoostPoint = bg::model::d2::point_xy<double>;
using BoostPolygon = bg::model::polygon<BoostPoint, false, false>; // counter-clockwise, open
using BoostShape = bg::model::multi_polygon<BoostPolygon>;

BoostShape to_boost(const plane::Shape& shape) {
    BoostShape out;
    for (const plane::Polygon& polygon : shape) {
        BoostPolygon one;
        one.inners().resize(polygon.holes.size());
        const auto copy = [](const plane::Ring& from, auto& to) {
            for (const plane::Point p : from)
                to.emplace_back(plane::to_mm(p).x, plane::to_mm(p).y);
        };
        copy(polygon.outer, one.outer());
        for (std::size_t h = 0; h < polygon.holes.size(); ++h)
            copy(polygon.holes[h], one.inners()[h]);
        out.push_back(std::move(one));
    }
    return out;
}

plane::Shape from_boost(const BoostShape& shape) {
    std::vector<plane::Ring> rings;
    const auto add = [&](const auto& from) {
        plane::Ring ring;
        for (const BoostPoint& p : from)
            ring.push_back(plane::to_grid({p.x(), p.y()}));
        rings.push_back(std::move(ring));
    };
    for (const BoostPolygon& polygon : shape) {
        add(polygon.outer());
        for (const auto& hole : polygon.inners())
            add(hole);
    }
    return plane::normal(rings);
}

void BoostGeometryOneFromTheOther(benchmark::State& state) {
    measure(state, [](const Pocket& pocket, std::size_t i, const plane::Shape& before) {
        const double step = step_to(pocket, i);
        const bg::strategy::buffer::distance_symmetric<double> distance(step);
        const bg::strategy::buffer::join_round join(static_cast<std::size_t>(4 * chords_of_a_quarter(-step)));
        BoostShape out;
        bg::buffer(to_boost(before), out, distance, bg::strategy::buffer::side_straight(), join,
                   bg::strategy::buffer::end_flat(), bg::strategy::buffer::point_circle());
        return thinned(from_boost(out));
    });
}

void OurDiagramAlone(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    for (auto _ : state)
        benchmark::DoNotOptimize(plane::voronoi_of(pocket.shape));
    state.counters["vertices"] = static_cast<double>(pocket.shape[0].outer.size());
}

#ifdef KERFWRIGHT_HAS_CGAL
using CgalKernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using CgalTraits = CGAL::Segment_Delaunay_graph_filtered_traits_without_intersections_2<CgalKernel>;
using CgalGraph = CGAL::Segment_Delaunay_graph_2<CgalTraits>;

CgalGraph cgal_graph(const plane::Shape& shape) {
    CgalGraph graph;
    for (const plane::Ring& ring : plane::rings_of(shape)) {
        const auto at = [&](std::size_t i) {
            const plane::Vec p = plane::to_mm(ring[i % ring.size()]);
            return CgalTraits::Point_2(p.x, p.y);
        };
        for (std::size_t i = 0; i < ring.size(); ++i)
            graph.insert(at(i), at(i + 1));
    }
    return graph;
}

/// How far the site that CGAL calls nearest is further than the nearest edge, over a grid of places.
double cgal_off(const CgalGraph& graph, const Pocket& pocket) {
    const plane::Box box = plane::bounds(pocket.shape);
    const auto vec = [](const auto& p) { return plane::Vec{CGAL::to_double(p.x()), CGAL::to_double(p.y())}; };
    double worst = 0;
    for (int i = 0; i < 400; ++i) {
        const plane::Vec p{box.low.x + box.width() * (i % 20 + 0.5) / 20,
                           box.low.y + box.height() * (i / 20 + 0.5) / 20};
        const auto site = graph.nearest_neighbor(CgalTraits::Point_2(p.x, p.y))->site();
        const double away = site.is_point() ? plane::distance(p, vec(site.point()))
                                            : plane::distance_to_segment(p, vec(site.source()), vec(site.target()));
        worst = std::max(worst, std::abs(away - pocket.border.nearest(p)->distance));
    }
    return worst;
}

void CgalDiagramAlone(benchmark::State& state) {
    const Pocket& pocket = pocket_of(state.range(0));
    for (auto _ : state)
        benchmark::DoNotOptimize(cgal_graph(pocket.shape));
    const double worst = cgal_off(cgal_graph(pocket.shape), pocket);
    state.counters["off_um"] = 1000 * worst;
    if (worst > 1e-6) state.SkipWithError("another site is nearer");
}
#endif

void sizes(benchmark::internal::Benchmark* bench) {
    for (const std::int64_t finest_um : {2000, 450, 170})
        bench->Arg(finest_um);
    bench->Unit(benchmark::kMillisecond);
}
void once(benchmark::internal::Benchmark* bench) {
    sizes(bench);
    bench->Iterations(1);
}

BENCHMARK(ClipperOneLevel)->Apply(sizes);
BENCHMARK(DiagramOneLevel)->Apply(sizes);
BENCHMARK(Diagram)->Apply(sizes);
BENCHMARK(DiagramWithItsGuard)->Apply(sizes);
BENCHMARK(ClipperOneFromTheOther)->Apply(sizes);
BENCHMARK(ClipperFromTheOutline)->Apply(once);
#ifdef KERFWRIGHT_HAS_GEOS
BENCHMARK(GeosOneFromTheOther)->Apply(once);
BENCHMARK(GeosFromTheOutline)->Apply(once);
#endif
BENCHMARK(BoostGeometryOneFromTheOther)->Apply(once);
BENCHMARK(OurDiagramAlone)->Apply(sizes);
#ifdef KERFWRIGHT_HAS_CGAL
BENCHMARK(CgalDiagramAlone)->Apply(once);
#endif

} // namespace

BENCHMARK_MAIN();
