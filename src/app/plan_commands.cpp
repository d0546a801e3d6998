// new, look, plan.

#include "app/commands.hpp"
#include "app/proof_text.hpp"
#include "base/text_table.hpp"
#include "job/job_file.hpp"
#include "job/make_plan.hpp"
#include "job/output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>
#include <map>

namespace kerfwright::app {
namespace fs = std::filesystem;
namespace {

using Json = nlohmann::ordered_json;

bool is_job(const std::string& file) {
    return fs::path(file).extension() == ".toml";
}

Result<drawing::Drawing> drawing_of(const std::string& file, double width, const std::string& region) {
    if (is_job(file)) {
        auto job = job::load_job(file);
        if (!job) return job.problem();
        return job::load_drawing(job.value());
    }
    auto text = job::read_file(file);
    if (!text) return text.problem();
    drawing::ReadOptions options;
    options.width = width;
    options.region = region;
    return drawing::read_drawing(text.value(), file, options);
}

Json json_of(const drawing::Drawing& drawing) {
    Json json;
    json["width"] = drawing.width;
    json["height"] = drawing.height;
    json["regions"] = Json::array();
    for (const drawing::Region& region : drawing.regions) {
        const plane::Box box = plane::bounds(region.shape);
        json["regions"].push_back({{"name", region.name},
                                   {"fill", region.fill},
                                   {"parts", region.shape.size()},
                                   {"area", plane::area(region.shape)},
                                   {"perimeter", plane::perimeter(region.shape)},
                                   {"box", {box.low.x, box.low.y, box.high.x, box.high.y}}});
    }
    const auto name = [&](int i) {
        return i == drawing::kOutside ? std::string("outside") : drawing.regions[static_cast<std::size_t>(i)].name;
    };
    json["seams"] = Json::array();
    for (const drawing::Seam& seam : drawing.seams)
        json["seams"].push_back({{"a", name(seam.a)}, {"b", name(seam.b)}, {"length", seam.length}});
    json["notes"] = Json::array();
    for (const drawing::Note& note : drawing.notes)
        json["notes"].push_back(
            {{"text", note.text}, {"regions", note.regions}, {"at", {note.at.x, note.at.y}}, {"size", note.size}});
    return json;
}

void report_plan(const Console& console, const job::Plan& plan, const job::Proof& proof, const fs::path& out) {
    TextTable table{{"setup", "material", "pieces", "programs", "time", "at least", "at most", "margin", "findings"},
                    {}};
    Json setups = Json::array();
    for (std::size_t i = 0; i < plan.setups.size(); ++i) {
        const job::PlannedSetup& setup = plan.setups[i];
        double seconds = 0;
        for (const job::PlannedProgram& program : setup.programs)
            seconds += program.time;
        const auto pieces =
            std::count_if(plan.pieces.begin(), plan.pieces.end(), [&](const auto& p) { return p.setup == setup.name; });
        table.rows.push_back({setup.name, setup.sheet.material, std::to_string(pieces),
                              std::to_string(setup.programs.size()), clock(seconds), clock(proof.setups[i].fastest),
                              clock(proof.setups[i].slowest),
                              setup.z_zero_on_bed ? fmt::format("{:.1f}", setup.margin_min) : "",
                              std::to_string(proof.setups[i].findings.size())});
        setups.push_back({{"name", setup.name},
                          {"time", seconds},
                          {"time_fastest", proof.setups[i].fastest},
                          {"time_slowest", proof.setups[i].slowest},
                          {"findings", proof.setups[i].findings.size()}});
    }
    say(console, to_string(table) + "\n");
    for (const job::PlannedSetup& setup : plan.setups)
        for (const std::string& note : setup.notes)
            say(console, fmt::format("{}: {}\n", setup.name, note));
    for (const std::string& note : plan.notes)
        say(console, note + "\n");
    say(console, findings_text(proof));
    const auto chance = [](const job::Chance& c) {
        return fmt::format("{:.0f} % ({:.0f} to {:.0f} %)", 100 * c.chance, 100 * c.low, 100 * c.high);
    };
    if (plan.assembly.samples > 0)
        say(console, fmt::format("assembly: {}, slack {:.3f} mm; chance in the shop {}, at the customer's {}\n",
                                 plan.assembly.goes_together ? "goes together" : "does not go together",
                                 plan.assembly.slack, chance(plan.assembly.shop), chance(plan.assembly.customer)));
    for (const std::string& note : proof.notes)
        say(console, note + "\n");
    say(console, fmt::format("price: {:.2f} to {:.2f} {}, likely {:.2f}\n", plan.price.low, plan.price.high,
                             plan.price.currency, plan.price.likely));
    say(console, fmt::format("written: {}\n", out.string()));
    say(console, fmt::format("verdict: {}\n", proof.proven() ? "proven" : "findings"));
    print(console, {{"title", plan.title},
                    {"out", out.string()},
                    {"verdict", proof.proven() ? "proven" : "findings"},
                    {"setups", setups}});
}

using Planning = std::function<Result<job::Plan>(const job::Job&, const drawing::Drawing&, const job::PlanOptions&)>;

/// Plans, proves and writes the output folder as a whole.
int plan_and_write(const Console& console, const std::string& file, const fs::path& out, const Planning& planning) {
    if (auto allowed = job::may_replace(out); !allowed) return fail(console, allowed.problem());
    progress(console, "job and drawing");
    auto job = job::load_job(file);
    if (!job) return fail(console, job.problem());
    auto drawing = job::load_drawing(job.value());
    if (!drawing) return fail(console, drawing.problem());
    job::PlanOptions options;
    options.threads = console.threads;
    options.progress = [&](const std::string& stage, bool) { progress(console, stage); };
    auto plan = planning(job.value(), drawing.value(), options);
    if (!plan) return fail(console, plan.problem());
    const auto proven = job::prove_as_written(plan.value(), options);
    if (!proven) return fail(console, proven.problem());
    const job::Proof& proof = proven.value();
    progress(console, "papers");
    auto files = job::output_files(job.value(), plan.value(), proof);
    if (!files) return fail(console, files.problem());
    if (auto written = job::replace_folder(out, files.value()); !written) return fail(console, written.problem());
    progress_done(console);
    report_plan(console, plan.value(), proof, out);
    return proof.proven() ? Exit::done : Exit::findings;
}

} // namespace

int run_new(const Console& console, const NewArguments& arguments) {
    const fs::path folder = arguments.folder;
    std::error_code error;
    if (fs::exists(folder / "job.toml", error))
        return fail(console, {(folder / "job.toml").string(), 0, 0, "is there already",
                              "name another folder; nothing was changed"});
    auto text = job::read_file(arguments.drawing);
    if (!text) return fail(console, text.problem());
    drawing::ReadOptions options;
    options.width = arguments.width;
    options.region = arguments.region;
    auto drawing = drawing::read_drawing(text.value(), arguments.drawing, options);
    if (!drawing) return fail(console, drawing.problem());
    const std::string name = fs::path(arguments.drawing).filename().string();
    fs::create_directories(folder, error);
    if (error)
        return fail(console,
                    {folder.string(), 0, 0, "cannot be made: " + error.message(), "check the name and its rights"});
    if (auto copied = job::replace_file(folder / name, text.value()); !copied) return fail(console, copied.problem());
    job::NewJob wish{fs::path(arguments.drawing).stem().string(), name, options};
    if (auto written = job::replace_file(folder / "job.toml", job::new_job_text(drawing.value(), wish)); !written)
        return fail(console, written.problem());
    say(console,
        fmt::format("{}: {} regions listed; fill in the materials and sheets, then `kerfwright plan {}`\n",
                    (folder / "job.toml").string(), drawing.value().regions.size(), (folder / "job.toml").string()));
    print(console, {{"job", (folder / "job.toml").string()}, {"regions", drawing.value().regions.size()}});
    return Exit::done;
}

int run_look(const Console& console, const LookArguments& arguments) {
    auto read = drawing_of(arguments.file, arguments.width, arguments.region);
    if (!read) return fail(console, read.problem());
    const drawing::Drawing& drawing = read.value();
    TextTable regions{{"region", "parts", "width mm", "height mm", "area mm2", "border mm"}, {}};
    for (const drawing::Region& region : drawing.regions) {
        const plane::Box box = plane::bounds(region.shape);
        regions.rows.push_back({region.name, std::to_string(region.shape.size()), fmt::format("{:.2f}", box.width()),
                                fmt::format("{:.2f}", box.height()), fmt::format("{:.1f}", plane::area(region.shape)),
                                fmt::format("{:.1f}", plane::perimeter(region.shape))});
    }
    TextTable seams{{"seam", "with", "length mm"}, {}};
    const auto name = [&](int i) {
        return i == drawing::kOutside ? std::string("(outside)") : drawing.regions[static_cast<std::size_t>(i)].name;
    };
    for (const drawing::Seam& seam : drawing.seams)
        seams.rows.push_back({name(seam.a), name(seam.b), fmt::format("{:.1f}", seam.length)});
    say(console, fmt::format("{}: {} regions, {:.2f} x {:.2f} mm\n\n", arguments.file, drawing.regions.size(),
                             drawing.width, drawing.height));
    say(console, to_string(regions) + "\n" + to_string(seams));
    for (const drawing::Note& note : drawing.notes)
        say(console, "note: " + note.text + "\n");
    print(console, json_of(drawing));
    return Exit::done;
}

int run_plan(const Console& console, const PlanArguments& arguments) {
    const fs::path out =
        arguments.out.empty() ? fs::path(arguments.job).parent_path() / "out" : fs::path(arguments.out);
    return plan_and_write(console, arguments.job, out, job::make_plan);
}

int run_recut(const Console& console, const RecutArguments& arguments) {
    std::string name = arguments.piece;
    std::replace_if(
        name.begin(), name.end(), [](char c) { return c == '/' || c == '\\'; }, '-');
    const fs::path out =
        arguments.out.empty() ? fs::path(arguments.job).parent_path() / ("recut-" + name) : fs::path(arguments.out);
    return plan_and_write(console, arguments.job, out, [&](const auto& job, const auto& drawing, const auto& options) {
        return job::make_recut(job, drawing, {arguments.piece, arguments.sheet}, options);
    });
}

} // namespace kerfwright::app
