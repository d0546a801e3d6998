#include "page/routes.hpp"

#include "page/api.hpp"

#include <algorithm>

namespace kerfwright::page {
namespace {

using Route = Reply (*)(Desk&, const Request&);
struct Entry {
    const char* method;
    const char* path;
    Route route;
};

constexpr Entry kRoutes[] = {
    {"GET", "/api/state", get_state},
    {"GET", "/api/shop", get_shop},
    {"GET", "/api/drawing", get_drawing},
    {"POST", "/api/drawing", post_drawing},
    {"GET", "/api/job", get_job},
    {"POST", "/api/job/edits", post_edits},
    {"POST", "/api/job/text", post_text},
    {"POST", "/api/job/undo", post_undo},
    {"POST", "/api/job/redo", post_redo},
    {"POST", "/api/job/reload", post_reload},
    {"POST", "/api/plan", post_plan},
    {"DELETE", "/api/plan", delete_plan},
    {"GET", "/api/plan", get_plan},
    {"GET", "/api/proof", get_proof},
    {"GET", "/api/detail", get_detail},
    {"POST", "/api/layout/check", post_layout_check},
    {"POST", "/api/layout/place", post_layout_place},
    {"GET", "/api/feeds", get_feeds},
    {"GET", "/api/replay", get_replay},
    {"GET", "/api/surface", get_surface},
    {"GET", "/api/file", get_file},
    {"GET", "/api/files.zip", get_files_zip},
};

} // namespace

std::size_t largest_body(const std::string& path) {
    return path == "/api/drawing" ? 64u << 20 : 4u << 20;
}

Reply answer(Desk& desk, const Request& request) {
    const auto here = [&](const Entry& entry) { return request.path == entry.path; };
    const auto entry = std::find_if(std::begin(kRoutes), std::end(kRoutes),
                                    [&](const Entry& e) { return here(e) && request.method == e.method; });
    if (entry == std::end(kRoutes)) {
        if (std::any_of(std::begin(kRoutes), std::end(kRoutes), here))
            return refuse(405, {request.path, 0, 0, "does not take " + request.method, "see docs/page.md"});
        return refuse(404, {request.path, 0, 0, "there is nothing here", "see docs/page.md"});
    }
    try {
        return entry->route(desk, request);
    } catch (const BadRequest& bad) {
        return refuse(400, bad.problem);
    } catch (const NotNow& not_now) {
        return refuse(not_now.refusal.status, not_now.refusal.problem);
    } catch (const std::exception& error) {
        return refuse(500, {request.path, 0, 0, std::string("a fault of ours: ") + error.what(), "please report it"});
    }
}

} // namespace kerfwright::page
