#pragma once
// Private to page/: the routes, one function for each line of the table in docs/page.md. They may throw BadRequest.

#include "page/routes.hpp"

namespace kerfwright::page {

// api_job.cpp
[[nodiscard]] Reply get_state(Desk& desk, const Request& request);
[[nodiscard]] Reply get_job(Desk& desk, const Request& request);
[[nodiscard]] Reply post_edits(Desk& desk, const Request& request);
[[nodiscard]] Reply post_text(Desk& desk, const Request& request);
[[nodiscard]] Reply post_undo(Desk& desk, const Request& request);
[[nodiscard]] Reply post_redo(Desk& desk, const Request& request);
[[nodiscard]] Reply post_reload(Desk& desk, const Request& request);

// api_drawing.cpp
[[nodiscard]] Reply get_drawing(Desk& desk, const Request& request);
[[nodiscard]] Reply post_drawing(Desk& desk, const Request& request);

// api_plan.cpp
[[nodiscard]] Reply post_plan(Desk& desk, const Request& request);
[[nodiscard]] Reply delete_plan(Desk& desk, const Request& request);
[[nodiscard]] Reply get_plan(Desk& desk, const Request& request);
[[nodiscard]] Reply get_proof(Desk& desk, const Request& request);
[[nodiscard]] Reply get_file(Desk& desk, const Request& request);
[[nodiscard]] Reply get_files_zip(Desk& desk, const Request& request);

// api_shop.cpp
[[nodiscard]] Reply get_shop(Desk& desk, const Request& request);
[[nodiscard]] Reply get_detail(Desk& desk, const Request& request);
[[nodiscard]] Reply get_feeds(Desk& desk, const Request& request);

// api_layout.cpp
[[nodiscard]] Reply post_layout_check(Desk& desk, const Request& request);
[[nodiscard]] Reply post_layout_place(Desk& desk, const Request& request);

// api_replay.cpp
[[nodiscard]] Reply get_replay(Desk& desk, const Request& request);
[[nodiscard]] Reply get_surface(Desk& desk, const Request& request);

/// The job as GET /api/job gives it, or why not.
[[nodiscard]] Reply reply_job(const Outcome& outcome);
/// The job that is open and free of faults, or throws NotNow.
struct NotNow {
    Refusal refusal;
};
[[nodiscard]] OpenedPtr sound_job(const Desk& desk);
/// The same with its drawing.
[[nodiscard]] OpenedPtr job_with_drawing(const Desk& desk);
/// The plan at hand, or throws NotNow (404).
[[nodiscard]] PlanPtr plan_at_hand(const Desk& desk);

} // namespace kerfwright::page
