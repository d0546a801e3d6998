// The fit's cost: sets of 12 to 1,000 regions with coasts, about 1,000 vertices each, beside one plain offset of the
// same rings by the library (outward by the easing radius, true to the same micrometre) in the same run. An answer is
// certified by disc search and exact distances before its time is printed. `bench-fit 250` stops at 250 regions.
// Then 1,000 draws of the assembly of the 50 regions, each with its full slack; the true gaps are compared first.

#include "fit/assembly.hpp"
#include "fit/certificate.hpp"
#include "fit/partitions.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>

using namespace kerfwright;

namespace {

constexpr double kRadius = 1.5;           // mm, of every cutter
constexpr double kCellSide = 79.1;        // mm: 50 regions fill a square of 560 mm
constexpr double kFinest = 0.45;          // mm between vertices, at most
constexpr double kArcTolerance = 1e-3;    // mm
constexpr int kAssembled = 50;            // regions that are put together
constexpr int kDraws = 1000;              // of the assembly
constexpr double kAgrees = 5e-3;          // mm between the assembly's program and the true gap
constexpr std::size_t kCertified = 20000; // places of an outline that are looked at, about

struct Time {
    double wall = 0, cpu = 0; ///< s
};

double cpu_now() {
    timespec t{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

template <class Work>
Time timed(Work work) {
    const auto start = std::chrono::steady_clock::now();
    const double cpu = cpu_now();
    work();
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), cpu_now() - cpu};
}

/// The least of a few, by processor time.
template <class Work>
Time best_of(int times, Work work) {
    Time best = timed(work);
    for (int k = 1; k < times; ++k)
        if (const Time again = timed(work); again.cpu < best.cpu) best = again;
    return best;
}

struct Row {
    std::size_t regions = 0, vertices = 0;
    Time offset, fit;
    double per_nlogn = 0; ///< ns of processor time per n log2 n
};

std::vector<fit::RegionToFit> regions_of(int count) {
    return fit::test::voronoi(count, kCellSide * std::sqrt(count), fit::test::coast(kFinest, 0.12), kRadius, 7);
}

/// Nothing when the answer does not hold.
std::optional<Row> measure(int regions) {
    const auto set = regions_of(regions);
    Row row;
    row.regions = set.size();
    double length = 0;
    for (const fit::RegionToFit& region : set) {
        length += plane::perimeter(region.shape);
        for (const plane::Ring& ring : plane::rings_of(region.shape))
            row.vertices += ring.size();
    }
    fit::FitRules rules;
    rules.detail = 1000;
    rules.tray_cutter_radius = kRadius;
    rules.threads = 2;

    std::optional<Result<fit::Fit>> answer;
    const int times = regions <= 50 ? 3 : 1;
    row.fit = best_of(times, [&] { answer = fit::fit_regions(set, rules); });
    if (!answer->ok()) {
        fmt::print("{} regions: {}\n", row.regions, to_string(answer->problem()));
        return std::nullopt;
    }
    const double step = std::max(0.3, length / static_cast<double>(kCertified));
    if (const auto certificate = fit::test::certify(answer->value(), rules, step); !certificate.holds()) {
        fmt::print("{} regions: the answer does not hold: {}\n", row.regions, to_string(certificate));
        return std::nullopt;
    }
    row.offset = best_of(times, [&] {
        for (const fit::RegionToFit& region : set)
            static_cast<void>(plane::offset(region.shape, kRadius - rules.clearance / 2, {kArcTolerance}));
    });
    const auto n = static_cast<double>(row.vertices);
    row.per_nlogn = 1e9 * row.fit.cpu / (n * std::log2(n));
    return row;
}

/// False when the program and the gaps after moving disagree by more than `kAgrees`.
bool measure_assembly() {
    fit::FitRules rules;
    rules.detail = 1e3;
    rules.threads = 2;
    const auto fitted = fit::fit_regions(regions_of(kAssembled), rules);
    if (!fitted.ok()) {
        fmt::print("assembly: {}\n", to_string(fitted.problem()));
        return false;
    }
    // One cutter for the pieces and one for the tray, each solid's own error, and one humidity for all.
    const auto errors = [](const char* cutter, const char* setup) {
        return fit::Errors{cutter, 0.01, 0.01, setup, 1e-4, {}, {{"damp", fit::growth_of_grain(1e-4, 1e-3, 30)}}};
    };
    std::vector<fit::AssemblyPiece> pieces;
    for (const fit::Piece& piece : fitted.value().pieces)
        pieces.push_back({piece.id, piece.as_cut, errors("pieces'", "pieces")});
    const fit::AssemblyWall wall{fitted.value().wall_as_cut, errors("tray's", "tray")};
    fit::AssemblyOptions options;
    options.threads = 2;
    options.samples = kDraws;
    std::optional<Result<fit::Assembly>> answer;
    const Time time = timed([&] { answer = fit::assemble(pieces, wall, options); });
    if (!answer->ok()) {
        fmt::print("assembly: {}\n", to_string(answer->problem()));
        return false;
    }
    const fit::Assembly& a = answer->value();
    const double off = std::abs(a.slack - a.linear_slack);
    fmt::print("assembly of {} pieces, {} draws: {:.2f} s (two threads), {:.2f} s (processor); slack {:.4f} mm, the "
               "program off by {:.1f} µm, by {:.1f} µm at worst in the draws that are measured\n",
               pieces.size(), a.samples, time.wall, time.cpu, a.slack, 1e3 * off, 1e3 * a.accuracy);
    return off <= kAgrees && a.accuracy <= kAgrees;
}

/// Least squares of t = c n log2 n, and how far the times lie from it, as a share of their mean (root mean square).
void print_growth(const std::vector<Row>& rows) {
    double tx = 0, xx = 0, mean = 0;
    const auto x_of = [](const Row& row) {
        return static_cast<double>(row.vertices) * std::log2(static_cast<double>(row.vertices));
    };
    for (const Row& row : rows) {
        tx += row.fit.cpu * x_of(row);
        xx += x_of(row) * x_of(row);
        mean += row.fit.cpu / static_cast<double>(rows.size());
    }
    const double c = tx / xx;
    double square = 0;
    for (const Row& row : rows)
        square += std::pow(row.fit.cpu - c * x_of(row), 2) / static_cast<double>(rows.size());
    const Row& first = rows.front();
    const Row& last = rows.back();
    fmt::print(
        "n log n: {:.1f} ns of processor time each, times lie {:.0f} % off; {} vertices to {}: {:.2f} times what n "
        "log n says (1 or less: grows no faster)\n",
        1e9 * c, 100 * std::sqrt(square) / mean, first.vertices, last.vertices, last.per_nlogn / first.per_nlogn);
}

} // namespace

int main(int count, char** arguments) {
    const int most = count > 1 ? std::atoi(arguments[1]) : 1000;
    std::vector<Row> rows;
    fmt::print(
        "regions  vertices  offset s  fit s (two threads)  fit s (processor)  times the offset  ns / n log2 n\n");
    for (const int regions : {12, 50, 250, 1000}) {
        if (regions > most) break;
        const auto row = measure(regions);
        if (!row) return EXIT_FAILURE;
        fmt::print("{:7}  {:8}  {:8.3f}  {:19.2f}  {:17.2f}  {:16.1f}  {:13.1f}\n", row->regions, row->vertices,
                   row->offset.cpu, row->fit.wall, row->fit.cpu, row->fit.cpu / row->offset.cpu, row->per_nlogn);
        std::fflush(stdout);
        rows.push_back(*row);
    }
    if (rows.size() > 1) print_growth(rows);
    if (most >= kAssembled && !measure_assembly()) return EXIT_FAILURE;
    return EXIT_SUCCESS;
}
