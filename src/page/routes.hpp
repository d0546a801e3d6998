#pragma once
// Every request of docs/page.md: from a request value to a reply value.

#include "job/layout_stage.hpp"
#include "page/message.hpp"
#include "page/planner.hpp"
#include "page/remembered.hpp"
#include "page/session.hpp"
#include "proof/replay.hpp"

#include <filesystem>
#include <string>

namespace kerfwright::page {

/// What the routes work on.
struct Desk {
    std::string version;
    std::filesystem::path folder; ///< where new jobs are made
    Session session;
    Planner planner;
    // Derived from job and plan, so that asking again costs nothing.
    Remembered<job::LayoutTask> layouts = {};
    Remembered<proof::Replay> replays = {};
    Remembered<proof::SetupProof> proofs = {};
    Remembered<Json> details = {};
};

/// Bodies larger than this are not even read.
[[nodiscard]] std::size_t largest_body(const std::string& path);

/// Answers a request that came through the door (door.hpp). Never throws; may be called from many threads at once.
[[nodiscard]] Reply answer(Desk& desk, const Request& request);

} // namespace kerfwright::page
