// The proof's cost: cells swept against this machine's memory, reading, whole proofs, and the most bytes held. Answers
// are checked before times count.

#include "program/read.hpp"
#include "proof/counted_memory.hpp"
#include "proof/prove.hpp"
#include "proof/removal.hpp"
#include "proof/workloads.hpp"
#include "proof/zones.hpp"

#include <benchmark/benchmark.h>

#include <chrono>
#include <cstdio>
#include <cstring>
#include <thread>

using namespace kerfwright;

namespace {

constexpr double kMega = 1e6;

void refuse(benchmark::State& state, const proof::SetupProof& proof) {
    state.SkipWithError(("the program is clean, and the proof says\n" + kit::told(proof)).c_str());
}

/// What the machine can do: 256 MiB copied to 256 MiB, by `threads` threads. Bytes read and bytes written are counted.
void StreamingCopy(benchmark::State& state) {
    const auto threads = static_cast<std::size_t>(state.range(0));
    constexpr std::size_t kBytes = std::size_t{256} << 20;
    std::vector<char> from(kBytes, 1), to(kBytes, 2);
    for (auto _ : state) {
        std::vector<std::thread> workers;
        for (std::size_t i = 0; i < threads; ++i)
            workers.emplace_back([&, i] {
                const std::size_t share = kBytes / threads;
                std::memcpy(to.data() + i * share, from.data() + i * share, share);
            });
        for (std::thread& worker : workers)
            worker.join();
        benchmark::ClobberMemory();
    }
    if (to != from) state.SkipWithError("the copy is not one");
    state.SetBytesProcessed(static_cast<std::int64_t>(2 * kBytes) * state.iterations());
}
BENCHMARK(StreamingCopy)->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

/// Counts the cells that moves pass over.
struct Count {
    std::int64_t cells = 0;
    void run(int, int first, int last, proof::Height) { cells += std::max(0, last - first); }
    void at(int, int, proof::Height) { ++cells; }
};

std::int64_t cells_under(const proof::Sequence& sequence, const proof::SetupToProve& setup, double cell) {
    const plane::Box box = plane::bounds(setup.stock.outline);
    const proof::Grid grid = proof::grid_over(box, cell, 4e8);
    const proof::TileFrame frame{{grid.x(0), grid.y(0)}, grid.cell, grid.columns, grid.rows};
    Count count;
    for (const proof::Piece& piece : sequence.pieces)
        if (piece.lowest() < setup.stock.top) proof::sweep(piece, sequence.run(piece).body, frame, count);
    return count.cells;
}

/// Removal alone. Bytes: each cell that a move passes over is read and written once.
void Removal(benchmark::State& state, const proof::SetupToProve& setup, double cell) {
    std::vector<proof::Finding> findings;
    const proof::Sequence sequence = proof::sequence_of(setup, findings);
    const std::vector<proof::Zone> zones = proof::zones_of(setup);
    proof::RemovalTask task;
    task.stock = &setup.stock;
    task.sequence = &sequence;
    task.zones = &zones;
    task.ask_hit.resize(sequence.moves.size());
    task.boxed.resize(sequence.moves.size());
    task.cell = cell;
    task.threads = static_cast<int>(state.range(0));
    const std::int64_t cells = cells_under(sequence, setup, cell);
    if (!proof::remove_material(task).spots.empty()) state.SkipWithError("the floor is not as asked");
    for (auto _ : state)
        benchmark::DoNotOptimize(proof::remove_material(task));
    state.counters["cells/s"] = benchmark::Counter(static_cast<double>(cells) * static_cast<double>(state.iterations()),
                                                   benchmark::Counter::kIsRate);
    state.SetBytesProcessed(cells * static_cast<std::int64_t>(2 * sizeof(proof::Height)) * state.iterations());
}

const proof::SetupToProve& million() {
    static const proof::SetupToProve setup = workloads::short_lines(560, 4, 0.3);
    return setup;
}
const proof::SetupToProve& sheet() {
    static const proof::SetupToProve setup = workloads::cleared_sheet(1220, 2440, 0.33);
    return setup;
}

void RemovalShortLines(benchmark::State& state) {
    Removal(state, million(), 0.25);
}
BENCHMARK(RemovalShortLines)->Arg(1)->Arg(2)->Iterations(1)->UseRealTime()->Unit(benchmark::kMillisecond);

void RemovalLargeCutter(benchmark::State& state) {
    static const proof::SetupToProve setup = workloads::cleared_sheet(300, 300, 0.33);
    Removal(state, setup, 0.1);
}
BENCHMARK(RemovalLargeCutter)->Arg(1)->Arg(2)->Iterations(1)->UseRealTime()->Unit(benchmark::kMillisecond);

void Reading(benchmark::State& state) {
    const std::string& text = million().programs[0].text;
    const program::Reading once = program::read_program(text);
    if (!once.faults.empty() || !once.ended || once.moves.size() < 1'000'000)
        state.SkipWithError("not a million moves");
    for (auto _ : state)
        benchmark::DoNotOptimize(program::read_program(text));
    state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * state.iterations());
    state.counters["lines"] = static_cast<double>(workloads::lines_in(million()));
}
BENCHMARK(Reading)->Iterations(3)->Unit(benchmark::kMillisecond);

/// One proof; its time counts only when its answer is right.
void WholeProof(benchmark::State& state, const proof::SetupToProve& setup, double cell) {
    const proof::ProveOptions options{cell, static_cast<int>(state.range(0))};
    for (auto _ : state) {
        proof::SetupProof proof;
        const auto begin = std::chrono::steady_clock::now();
        const std::size_t bytes = counted::most_held([&] { proof = proof::prove(setup, options); });
        state.SetIterationTime(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
        if (!proof.findings.empty()) return refuse(state, proof);
        state.counters["most_held_MB"] = static_cast<double>(bytes) / kMega;
    }
    state.counters["lines"] = static_cast<double>(workloads::lines_in(setup));
}

void ProofMillionLines(benchmark::State& state) {
    WholeProof(state, million(), 0.25);
}
BENCHMARK(ProofMillionLines)->Arg(1)->Arg(2)->Iterations(1)->UseManualTime()->Unit(benchmark::kMillisecond);

void ProofLargeSheet(benchmark::State& state) {
    WholeProof(state, sheet(), 0.1);
}
BENCHMARK(ProofLargeSheet)->Arg(2)->Iterations(1)->UseManualTime()->Unit(benchmark::kMillisecond);

} // namespace

BENCHMARK_MAIN();
