// The replay against the programs of kit.hpp and against stamping the cutter along them.

#include "kit.hpp"

#include "proof/replay.hpp"

#include <gtest/gtest.h>

using namespace kerfwright;

namespace {

proof::SetupToProve pocket() {
    kit::Job job = kit::pocket_job();
    job.setup.programs[0].text = job.program.text();
    return job.setup;
}

proof::SetupToProve profile() {
    kit::Job job = kit::profile_job();
    job.setup.programs[0].text = job.program.text();
    return job.setup;
}

double volume(const proof::Surface& surface) {
    double sum = 0;
    for (const float z : surface.z)
        sum += static_cast<double>(z);
    return sum * surface.cell * surface.cell;
}

} // namespace

TEST(Replay, BeginsWithTheStockAndEndsWithTheParts) {
    const proof::Replay replay(profile());
    const proof::Surface before = replay.surface_at(0);
    EXPECT_EQ(before.columns, 256);
    EXPECT_EQ(before.rows, 192);
    for (const float z : before.z)
        ASSERT_EQ(z, 6.0F);
    const proof::Surface after = replay.surface_at(replay.duration());
    for (int row = 0; row < after.rows; ++row)
        for (int column = 0; column < after.columns; ++column) {
            // the slot lies between the part and a box 6 mm wider; cells by its borders are not asked
            const double x = after.x0 + column * after.cell, y = after.y0 + row * after.cell;
            const auto inside = [&](const kit::RoundedBox& box) {
                const double dx = std::max({box.x0 + box.r - x, 0.0, x - box.x1 + box.r});
                const double dy = std::max({box.y0 + box.r - y, 0.0, y - box.y1 + box.r});
                return std::hypot(dx, dy) < box.r;
            };
            if (inside(kit::kPart.wider(-0.01)) || !inside(kit::kPart.wider(6.01))) {
                ASSERT_EQ(after.at(column, row), 6.0F) << x << " " << y;
            }
            if (inside(kit::kPart.wider(5.99)) && !inside(kit::kPart.wider(0.01))) {
                ASSERT_EQ(after.at(column, row), 0.0F) << x << " " << y;
            }
        }
}

TEST(Replay, GoesOnlyDownAndKeepsTheProofsTime) {
    const proof::SetupToProve setup = pocket();
    const proof::Replay replay(setup);
    const proof::SetupProof proof = proof::prove(setup);
    EXPECT_DOUBLE_EQ(replay.duration(), proof.time);
    proof::Surface last = replay.surface_at(-1);
    for (int i = 0; i <= 40; ++i) {
        const proof::Surface now = replay.surface_at(replay.duration() * i / 40, 100);
        if (i > 0) {
            for (std::size_t k = 0; k < now.z.size(); ++k)
                ASSERT_LE(now.z[k], last.z[k]);
        }
        last = now;
    }
    const double removed = 120.0 * 90 * 12 - volume(replay.surface_at(replay.duration()));
    EXPECT_NEAR(removed, proof.removed_volume, proof.removed_volume * 0.01);
    EXPECT_EQ(replay.surface_at(10).z, proof::Replay(setup).surface_at(10).z);
}

TEST(Replay, CutsJustToWhereTheCutterIs) {
    const proof::Replay replay(profile());
    const std::vector<proof::PathPoint> path = replay.path();
    int tried = 0;
    for (std::size_t i = 1; i < path.size(); ++i) {
        const proof::PathPoint &a = path[i - 1], &b = path[i];
        ASSERT_GE(b.t, a.t);
        if (b.rapid || b.z > 3 || std::hypot(b.x - a.x, b.y - a.y) < 30 || tried > 1) continue;
        ++tried; // half of a straight cut at 2 or 4 mm deep: the slot ends 3 mm before and after the middle
        const proof::Surface surface = replay.surface_at((a.t + b.t) / 2, 512);
        const double mx = (a.x + b.x) / 2, my = (a.y + b.y) / 2;
        const double ux = (b.x - a.x) / std::hypot(b.x - a.x, b.y - a.y),
                     uy = (b.y - a.y) / std::hypot(b.x - a.x, b.y - a.y);
        const auto at = [&](double ahead) {
            return surface.at(static_cast<int>(std::lround((mx + ux * ahead - surface.x0) / surface.cell)),
                              static_cast<int>(std::lround((my + uy * ahead - surface.y0) / surface.cell)));
        };
        EXPECT_GT(at(3.6), at(2.4));
    }
    EXPECT_EQ(tried, 2);
}

TEST(Replay, PathKeepsToItsChordsAndItsCount) {
    const proof::Replay replay(profile());
    const std::vector<proof::PathPoint> path = replay.path();
    EXPECT_EQ(path.front().t, 0);
    EXPECT_DOUBLE_EQ(path.back().t, replay.duration());
    EXPECT_DOUBLE_EQ(path.back().z, 11);
    for (std::size_t i = 1; i < path.size(); ++i) { // arcs of 8 mm about the corners: the middle of a chord stays near
        const proof::PathPoint &a = path[i - 1], &b = path[i];
        const double way = std::hypot(b.x - a.x, b.y - a.y);
        if (b.rapid || way > 5) continue;
        EXPECT_LE(8 - std::sqrt(64 - way * way / 4), 0.0501);
    }
    for (const std::size_t most : {std::size_t{2}, std::size_t{7}, std::size_t{20}}) {
        const auto few = replay.path(most);
        EXPECT_LE(few.size(), most);
        EXPECT_EQ(few.back().line, path.back().line);
        EXPECT_EQ(few.front().t, 0);
    }
}

TEST(Replay, LoadsAreOnTheSameClock) {
    const proof::SetupToProve setup = pocket();
    const proof::SetupProof proof = proof::prove(setup);
    const std::vector<proof::PathPoint> path = proof::Replay(setup).path();
    ASSERT_FALSE(proof.loads.empty());
    double last = 0;
    for (const proof::LoadStretch& load : proof.loads) {
        EXPECT_GE(load.start, last - 1e-9);
        EXPECT_GT(load.end, load.start);
        last = load.end;
        // where the load's stretch ends, the path is at that time
        std::size_t i = 1;
        while (i + 1 < path.size() && path[i].t < load.end - 1e-9)
            ++i;
        const proof::PathPoint &a = path[i - 1], &b = path[i];
        const double share = b.t > a.t ? (load.end - a.t) / (b.t - a.t) : 1;
        EXPECT_NEAR(a.x + (b.x - a.x) * share, load.at[0], 0.1);
        EXPECT_NEAR(a.y + (b.y - a.y) * share, load.at[1], 0.1);
    }
    EXPECT_LE(last, proof.time);
}
