// The drawing of the job that is open, and a new job from a drawing.

#include "job/json_values.hpp"
#include "page/api.hpp"

#include <algorithm>

namespace kerfwright::page {
namespace fs = std::filesystem;
namespace {

using drawing::Note;
using job::tidy;

const char* name_of(Note::Kind kind) {
    switch (kind) {
    case Note::Kind::sliver_removed:
        return "sliver-removed";
    case Note::Kind::overlap_removed:
        return "overlap-removed";
    case Note::Kind::gap_closed:
        return "gap-closed";
    case Note::Kind::gap_left:
        return "gap-left";
    case Note::Kind::part_joined:
        return "part-joined";
    case Note::Kind::open_outline:
        return "open-outline";
    case Note::Kind::self_crossing:
        return "self-crossing";
    case Note::Kind::narrow:
        return "narrow";
    case Note::Kind::small:
        return "small";
    case Note::Kind::ignored:
        return "ignored";
    case Note::Kind::unnamed:
        return "unnamed";
    case Note::Kind::vertices_moved:
        return "vertices-moved";
    }
    return "";
}

Json json_of(const drawing::Region& region) {
    Json parts = Json::array();
    for (const plane::Polygon& part : region.shape)
        parts.push_back(job::json_of(part));
    return {{"name", region.name},
            {"fill", region.fill},
            {"area", tidy(plane::area(region.shape))},
            {"perimeter", tidy(plane::perimeter(region.shape))},
            {"parts", std::move(parts)}};
}

/// One entry for each stretch of a seam.
void add_seam(Json& seams, const drawing::Drawing& drawing, const drawing::Seam& seam) {
    const auto name = [&](int i) {
        return i == drawing::kOutside ? std::string("outside") : drawing.regions[static_cast<std::size_t>(i)].name;
    };
    for (const std::vector<plane::Point>& chain : seam.chains) {
        Json points = Json::array();
        double length = 0;
        for (std::size_t i = 0; i < chain.size(); ++i) {
            const plane::Vec v = plane::to_mm(chain[i]);
            points.push_back({tidy(v.x), tidy(v.y)});
            if (i > 0) length += plane::distance(v, plane::to_mm(chain[i - 1]));
        }
        seams.push_back(
            {{"a", name(seam.a)}, {"b", name(seam.b)}, {"length", tidy(length)}, {"points", std::move(points)}});
    }
}

/// Letters, digits and a few signs of the file's name without its ending; "job" when nothing is left.
std::string folder_name(const std::string& file) {
    std::string name = fs::path(file).stem().string();
    for (char& c : name)
        if (static_cast<unsigned char>(c) <= ' ' ||
            std::string_view("/\\:*?\"<>|'`$").find(c) != std::string_view::npos)
            c = '-';
    while (!name.empty() && (name.front() == '.' || name.front() == '-'))
        name.erase(name.begin());
    constexpr std::size_t kLongest = 100;
    if (name.size() > kLongest) name.resize(kLongest);
    return name.empty() ? "job" : name;
}

/// A new folder of that name, or of the name with the next free number.
Result<fs::path> make_folder(const fs::path& in, const std::string& name) {
    constexpr int kMostTries = 1000;
    std::error_code error;
    for (int i = 1; i <= kMostTries; ++i) {
        fs::path folder = in / (i == 1 ? name : name + "-" + std::to_string(i));
        if (fs::create_directory(folder, error)) return folder;
        if (error) break;
    }
    return Problem{(in / name).string(), 0, 0, "cannot be made" + (error ? ": " + error.message() : std::string()),
                   "start `kerfwright page` in a folder where you may write"};
}

} // namespace

Reply get_drawing(Desk& desk, const Request&) {
    const OpenedPtr opened = job_with_drawing(desk);
    const drawing::Drawing& drawing = *opened->drawing;
    Json json{{"width", tidy(drawing.width)}, {"height", tidy(drawing.height)}};
    json["regions"] = Json::array();
    for (const drawing::Region& region : drawing.regions)
        json["regions"].push_back(json_of(region));
    json["seams"] = Json::array();
    for (const drawing::Seam& seam : drawing.seams)
        add_seam(json["seams"], drawing, seam);
    json["notes"] = Json::array();
    for (const Note& note : drawing.notes)
        json["notes"].push_back({{"kind", name_of(note.kind)},
                                 {"text", note.text},
                                 {"regions", note.regions},
                                 {"at", {tidy(note.at.x), tidy(note.at.y)}},
                                 {"size", tidy(note.size)}});
    return reply_json(json);
}

Reply post_drawing(Desk& desk, const Request& request) {
    const std::string file = fs::path(parameter(request, "name")).filename().string();
    drawing::ReadOptions options;
    if (request.query.contains("width")) options.width = number_parameter(request, "width");
    if (options.width < 0)
        return refuse(400, {"", 0, 0, "the width is not positive", "write the finished width in mm"});
    auto drawing = drawing::read_drawing(request.body, file, options);
    if (!drawing) return refuse(400, drawing.problem());

    auto folder = make_folder(desk.folder, folder_name(file));
    if (!folder) return refuse(400, folder.problem());
    // The drawing's name in the folder: as the folder's, so that it is plain too.
    const std::string name = folder_name(file) + fs::path(file).extension().string();
    const job::NewJob wish{fs::path(file).stem().string(), name, options};
    const fs::path job = folder.value() / "job.toml";
    if (auto copied = job::replace_file(folder.value() / name, request.body); !copied)
        return refuse(500, copied.problem());
    if (auto written = job::replace_file(job, job::new_job_text(drawing.value(), wish)); !written)
        return refuse(500, written.problem());
    const Outcome outcome = desk.session.open(job);
    if (const auto* opened = std::get_if<OpenedPtr>(&outcome)) desk.planner.look_at_disk(**opened);
    return reply_job(outcome);
}

} // namespace kerfwright::page
