// Bytes held on the heap by whole proofs: by the moves, not by the cells.

#include "counted_memory.hpp"
#include "workloads.hpp"

#include <gtest/gtest.h>

using namespace kerfwright;

namespace {

constexpr std::size_t kBytesOfMove = 590;

std::size_t bytes_of(const proof::SetupToProve& setup, double cell) {
    proof::SetupProof proof;
    const std::size_t bytes = counted::most_held([&] { proof = proof::prove(setup, {cell, 2}); });
    EXPECT_TRUE(proof.findings.empty()) << kit::told(proof);
    return bytes;
}

} // namespace

TEST(Memory, CellsAreNotKept) {
    const auto setup = workloads::cleared_sheet(300, 200, 2);
    const std::size_t coarse = bytes_of(setup, 0.5);
    const std::size_t fine = bytes_of(setup, 0.1); // six million cells
    EXPECT_LT(fine, coarse + 1'000'000);
}

/// No more than 590 bytes for each move, and 4 MB beside them: a sheet of 1220 x 2440 mm in moves of 0.33 mm, 477,000
/// of them, stays below 300 MB.
TEST(Memory, GrowsWithTheMovesOnly) {
    static_assert(4'000'000 + 477'188 * kBytesOfMove < 300'000'000);
    const auto setup = workloads::cleared_sheet(1220, 2440, 30);
    const std::size_t few = workloads::lines_in(setup);
    EXPECT_LT(bytes_of(setup, 0.5), 4'000'000 + few * kBytesOfMove);
    const auto short_moves = workloads::cleared_sheet(200, 100, 0.05);
    const std::size_t many = workloads::lines_in(short_moves);
    EXPECT_GT(many, 20'000u);
    EXPECT_LT(bytes_of(short_moves, 0.5), 4'000'000 + many * kBytesOfMove);
}
