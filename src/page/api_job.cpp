// The job that is open: what it says, and its changes.

#include "edits/edits.hpp"

#include "job/json_values.hpp"
#include "page/api.hpp"

namespace kerfwright::page {
namespace {

using job::tidy;

Json json_of_sheet(const shop::Sheet& sheet) {
    const plane::Box box = plane::bounds(sheet.outline);
    Json json = job::json_of(sheet);
    json["size"] = {tidy(box.width()), tidy(box.height())};
    json["grain"] = tidy(sheet.grain_deg);
    json["price"] = sheet.price < 0 ? Json(nullptr) : Json(tidy(sheet.price));
    return json;
}

Json json_of_job(const Opened& opened) {
    const job::Job& job = *opened.job;
    Json json;
    json["title"] = job.title;
    const Json written = edits::toml_values(opened.text);
    json["units"] = written.is_object() && written.contains("units") ? written["units"] : Json("mm");
    json["drawing"] = {{"file", job.drawing_file},
                       {"width", job.read.width},
                       {"scale", job.read.scale},
                       {"region", job.read.region},
                       {"snap", job.read.snap}};
    json["fit"] = {{"clearance", job.clearance}, {"tray_clearance", job.tray_clearance}, {"detail", job.detail}};
    json["tray"] = nullptr;
    if (job.tray)
        json["tray"] = {{"sheet", job.tray->sheet},
                        {"border", job.tray->border},
                        {"proud", job.tray->proud ? Json(*job.tray->proud) : Json(nullptr)}};
    json["pieces"] = Json::array();
    for (const job::PiecePattern& piece : job.pieces)
        json["pieces"].push_back({{"pattern", piece.pattern}, {"material", piece.material}});
    json["materials"] = Json::object();
    if (opened.drawing)
        for (const drawing::Region& region : opened.drawing->regions)
            if (const auto* pattern = job::pattern_for(job.pieces, region.name))
                json["materials"][region.name] = pattern->material;
    json["sheets"] = Json::array();
    for (const shop::Sheet& sheet : job.sheets)
        json["sheets"].push_back(json_of_sheet(sheet));
    json["machine"] = {{"name", job.machine.name}};
    json["cutters"] = Json::array();
    for (const shop::Cutter& cutter : job.cutters)
        json["cutters"].push_back(cutter.name);
    json["cutter_for"] = Json::object();
    for (const auto& [material, cutter] : job.cutter_for)
        json["cutter_for"][material] = cutter;
    json["placed"] = Json::array();
    for (const job::PlacedWish& placed : job.placed)
        json["placed"].push_back({{"piece", placed.piece},
                                  {"sheet", placed.sheet},
                                  {"at", {tidy(placed.placement.x), tidy(placed.placement.y)}},
                                  {"angle", tidy(placed.placement.angle_deg)}});
    return json;
}

/// One of `edits`; docs/page.md has its three forms.
edits::Edit edit_of(const Json& json) {
    edits::Edit edit;
    if (json.is_object() && json.contains("append")) {
        edit.kind = edits::Edit::Kind::append;
        edit.path = {text_of(json, "append")};
        edit.value = member(json, "value");
        return edit;
    }
    for (const Json& step : member(json, "path")) {
        if (step.is_string())
            edit.path.emplace_back(step.get<std::string>());
        else if (step.is_number_unsigned())
            edit.path.emplace_back(step.get<std::size_t>());
        else
            throw BadRequest{
                {"", 0, 0, "a step of an edit's path is neither key nor index", "send strings and numbers"}};
    }
    edit.kind = json.contains("remove") ? edits::Edit::Kind::remove : edits::Edit::Kind::set;
    if (edit.kind == edits::Edit::Kind::set) edit.value = member(json, "value");
    return edit;
}

Json state_of_job(const Desk& desk) {
    const OpenedPtr opened = desk.session.opened();
    if (!opened) return nullptr;
    const Session::Marks marks = desk.session.marks();
    const auto label = [](const std::optional<std::string>& text) { return text ? Json(*text) : Json(nullptr); };
    return {{"path", opened->file.string()},
            {"revision", opened->revision},
            {"title", opened->job ? opened->job->title : opened->file.parent_path().filename().string()},
            {"changed_on_disk", marks.changed_on_disk},
            {"undo", label(marks.undo)},
            {"redo", label(marks.redo)}};
}

Json state_of_plan(const Desk& desk) {
    const Planner::Standing standing = desk.planner.standing();
    Json json{{"state", to_string(standing.state)}, {"serial", standing.serial}, {"of", standing.of}};
    if (!standing.verdict.empty()) json["verdict"] = standing.verdict;
    if (standing.problem) json["problem"] = json_of(*standing.problem);
    json["stages"] = Json::array();
    for (const StageProgress& stage : standing.stages)
        json["stages"].push_back(
            {{"name", stage.name}, {"state", to_string(stage.state)}, {"seconds", tidy(stage.seconds)}});
    return json;
}

} // namespace

OpenedPtr sound_job(const Desk& desk) {
    OpenedPtr opened = desk.session.opened();
    if (!opened)
        throw NotNow{{404, {"", 0, 0, "no job is open", "drop a drawing, or start with `kerfwright page JOB`"}}};
    if (opened->problem) throw NotNow{{400, *opened->problem}};
    return opened;
}

OpenedPtr job_with_drawing(const Desk& desk) {
    OpenedPtr opened = sound_job(desk);
    if (opened->drawing_problem) throw NotNow{{400, *opened->drawing_problem}};
    return opened;
}

Reply reply_job(const Outcome& outcome) {
    if (const auto* refusal = std::get_if<Refusal>(&outcome)) return refuse(refusal->status, refusal->problem);
    const Opened& opened = *std::get<OpenedPtr>(outcome);
    Json json{{"revision", opened.revision}, {"path", opened.file.string()}, {"text", opened.text}};
    json["problem"] = opened.problem ? json_of(*opened.problem) : Json(nullptr);
    if (opened.job) json.update(json_of_job(opened));
    return reply_json(json);
}

Reply get_state(Desk& desk, const Request&) {
    return reply_json({{"version", desk.version}, {"job", state_of_job(desk)}, {"plan", state_of_plan(desk)}});
}

Reply get_job(Desk& desk, const Request&) {
    OpenedPtr opened = desk.session.opened();
    if (!opened)
        throw NotNow{{404, {"", 0, 0, "no job is open", "drop a drawing, or start with `kerfwright page JOB`"}}};
    return reply_job(opened);
}

Reply post_edits(Desk& desk, const Request& request) {
    constexpr std::size_t kMostEdits = 1000;
    const Json body = body_of(request);
    const Json& list = member(body, "edits");
    if (!list.is_array() || list.size() > kMostEdits)
        return refuse(400, {"", 0, 0, "\"edits\" is no list of at most 1000 edits", "send fewer at a time"});
    std::vector<edits::Edit> edits;
    for (const Json& edit : list)
        edits.push_back(edit_of(edit));
    return reply_job(desk.session.change(text_of(body, "revision"), text_of(body, "label"), [&](const Opened& opened) {
        return edits::edit_toml(opened.text, opened.file.string(), edits);
    }));
}

Reply post_text(Desk& desk, const Request& request) {
    const Json body = body_of(request);
    const std::string text = text_of(body, "text");
    return reply_job(desk.session.change(text_of(body, "revision"), text_of(body, "label"),
                                         [&](const Opened&) -> Result<std::string> { return text; }));
}

Reply post_undo(Desk& desk, const Request& request) {
    return reply_job(desk.session.undo(text_of(body_of(request), "revision")));
}

Reply post_redo(Desk& desk, const Request& request) {
    return reply_job(desk.session.redo(text_of(body_of(request), "revision")));
}

Reply post_reload(Desk& desk, const Request&) {
    return reply_job(desk.session.reload());
}

} // namespace kerfwright::page
