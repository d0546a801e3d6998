// Planning, and what the plan at hand wrote.

#include "page/api.hpp"
#include "page/archive.hpp"

#include <algorithm>

namespace kerfwright::page {
namespace {

std::string type_of(const std::string& path) {
    constexpr std::pair<const char*, const char*> kTypes[] = {{".json", "application/json"},
                                                              {".nc", "text/plain; charset=utf-8"},
                                                              {".pdf", "application/pdf"},
                                                              {".svg", "image/svg+xml"}};
    for (const auto& [ending, type] : kTypes)
        if (path.ends_with(ending)) return type;
    return "application/octet-stream";
}

/// One file of the plan at hand. Names are only compared with those that were written, so none leads elsewhere.
Reply reply_file(const Desk& desk, const std::string& path) {
    const PlanPtr plan = plan_at_hand(desk);
    const auto file =
        std::find_if(plan->files.begin(), plan->files.end(), [&](const auto& f) { return f.path == path; });
    if (file == plan->files.end())
        return refuse(404, {path, 0, 0, "is no file of the plan at hand", "plan again, or look in the output folder"});
    return reply_bytes(std::shared_ptr<const std::string>(plan, &file->bytes), type_of(path));
}

} // namespace

PlanPtr plan_at_hand(const Desk& desk) {
    PlanPtr plan = desk.planner.at_hand();
    if (!plan) throw NotNow{{404, {"", 0, 0, "there is no plan yet", "plan first"}}};
    return plan;
}

Reply post_plan(Desk& desk, const Request&) {
    desk.planner.start(job_with_drawing(desk));
    return reply_json(Json::object(), 202);
}

Reply delete_plan(Desk& desk, const Request&) {
    desk.planner.stop();
    return reply_json(Json::object());
}

Reply get_plan(Desk& desk, const Request&) {
    return reply_file(desk, "plan.json");
}

Reply get_proof(Desk& desk, const Request&) {
    return reply_file(desk, "proof.json");
}

Reply get_file(Desk& desk, const Request& request) {
    return reply_file(desk, parameter(request, "path"));
}

Reply get_files_zip(Desk& desk, const Request&) {
    const PlanPtr plan = plan_at_hand(desk);
    std::vector<const job::OutputFile*> files;
    for (const job::OutputFile& file : plan->files)
        if (file.path.starts_with("programs/") || file.path.starts_with("papers/")) files.push_back(&file);
    auto archive = zip_of(files);
    if (!archive) return refuse(500, archive.problem());
    return reply_bytes(std::make_shared<const std::string>(std::move(archive).value()), "application/zip");
}

} // namespace kerfwright::page
