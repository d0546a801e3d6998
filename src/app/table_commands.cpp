// fit, hold, quote: stages alone, with their tables.

#include "app/commands.hpp"
#include "base/text_table.hpp"
#include "fit/fit.hpp"
#include "job/detail_table.hpp"
#include "job/job_file.hpp"
#include "job/json_values.hpp"
#include "job/make_plan.hpp"

#include <fmt/format.h>

namespace kerfwright::app {
namespace {

using Json = nlohmann::ordered_json;

/// Job and its plan, for the stages that need all before them.
Result<std::pair<job::Job, job::Plan>> planned(const Console& console, const std::string& file) {
    auto job = job::load_job(file);
    if (!job) return job.problem();
    auto drawing = job::load_drawing(job.value());
    if (!drawing) return drawing.problem();
    auto plan = job::make_plan(
        job.value(), drawing.value(),
        {.threads = console.threads, .progress = [&](const std::string& stage, bool) { progress(console, stage); }});
    progress_done(console);
    if (!plan) return plan.problem();
    return std::pair(std::move(job).value(), std::move(plan).value());
}

std::string cutters_text(const std::vector<job::CutterDetail>& rows, double detail) {
    TextTable table{{"", "material", "cutter", "DC", "moved max", "in", "lost mm2", "trimmed", "wall", "needs", "in"},
                    {}};
    for (const job::CutterDetail& row : rows)
        table.rows.push_back({std::string(row.largest ? "*" : " ") + (row.chosen ? ">" : " ") + (row.within ? "" : "!"),
                              row.material, row.cutter, fmt::format("{:.3f}", row.DC),
                              fmt::format("{:.3f}", row.moved_max), row.moved_in, fmt::format("{:.2f}", row.area_lost),
                              std::to_string(row.peninsulas),
                              fmt::format("{}{:.2f}", row.narrowest < fit::kWidestWall ? "" : ">", row.narrowest),
                              fmt::format("{:.1f}", row.wall_min), row.narrowest_in});
    return to_string(table) +
           fmt::format("\n* largest that keeps within the detail of {:.3f} mm   > taken by the plan   ! beyond the "
                       "detail\n",
                       detail);
}

Json json_of(const std::vector<job::CutterDetail>& rows) {
    Json json = Json::array();
    for (const job::CutterDetail& row : rows)
        json.push_back({{"material", row.material},
                        {"cutter", row.cutter},
                        {"DC", row.DC},
                        {"moved_max", row.moved_max},
                        {"moved_in", row.moved_in},
                        {"area_lost", row.area_lost},
                        {"trimmed", row.peninsulas},
                        {"wall", row.narrowest},
                        {"wall_in", row.narrowest_in},
                        {"wall_min", row.wall_min},
                        {"within", row.within},
                        {"largest", row.largest},
                        {"chosen", row.chosen}});
    return json;
}

std::string seams_text(const std::vector<job::PlannedSeam>& seams) {
    TextTable table{{"piece", "with", "length mm", "asked", "gap min", "mean", "max", "moved max", "spots"}, {}};
    const auto three = [](double v) { return fmt::format("{:.3f}", v); };
    for (const job::PlannedSeam& seam : seams)
        table.rows.push_back({seam.a, seam.b, fmt::format("{:.1f}", seam.length), three(seam.asked),
                              three(seam.gap_min), three(seam.gap_mean), three(seam.gap_max), three(seam.moved_max),
                              std::to_string(seam.spots.size())});
    return to_string(table);
}

Json json_of(const std::vector<job::PlannedSeam>& seams) {
    Json json = Json::array();
    for (const job::PlannedSeam& seam : seams) {
        Json spots = Json::array();
        for (const job::PlannedSpot& spot : seam.spots)
            spots.push_back({{"why", spot.why},
                             {"low", {spot.box.low.x, spot.box.low.y}},
                             {"high", {spot.box.high.x, spot.box.high.y}}});
        json.push_back({{"a", seam.a},
                        {"b", seam.b},
                        {"length", seam.length},
                        {"asked", seam.asked},
                        {"gap_min", seam.gap_min},
                        {"gap_mean", seam.gap_mean},
                        {"gap_max", seam.gap_max},
                        {"moved_max", seam.moved_max},
                        {"spots", spots}});
    }
    return json;
}

} // namespace

int run_fit(const Console& console, const std::string& file) {
    auto job = job::load_job(file);
    if (!job) return fail(console, job.problem());
    auto drawing = job::load_drawing(job.value());
    if (!drawing) return fail(console, drawing.problem());
    // The table comes first: it stands even where the fit itself is refused, and says which cutter would do.
    progress(console, "cutters");
    auto detail = job::detail_table(job.value(), drawing.value(), console.threads);
    if (!detail) return fail(console, detail.problem());
    say(console, cutters_text(detail.value(), job.value().detail) + "\n");
    progress(console, "fit");
    auto fitted = job::fit_stage(job.value(), drawing.value(), console.threads);
    progress_done(console);
    if (!fitted) return fail(console, fitted.problem());
    say(console, seams_text(fitted.value().seams));
    for (const std::string& note : fitted.value().notes)
        say(console, "note: " + note + "\n");
    print(console, {{"detail", job.value().detail},
                    {"cutters", json_of(detail.value())},
                    {"seams", json_of(fitted.value().seams)},
                    {"notes", fitted.value().notes}});
    return Exit::done;
}

int run_hold(const Console& console, const std::string& file) {
    auto both = planned(console, file);
    if (!both) return fail(console, both.problem());
    const job::Plan& plan = both.value().second;
    TextTable table{{"setup", "part", "skin mm", "tabs", "margin"}, {}};
    Json parts = Json::array();
    bool all_held = true;
    for (const job::PlannedPiece& piece : plan.pieces) {
        table.rows.push_back({piece.setup, piece.id, fmt::format("{:.2f}", piece.skin),
                              std::to_string(piece.tabs.size()), fmt::format("{:.2f}", piece.margin)});
        parts.push_back({{"setup", piece.setup},
                         {"id", piece.id},
                         {"skin", piece.skin},
                         {"tabs", piece.tabs.size()},
                         {"margin", piece.margin}});
        all_held = all_held && piece.margin >= 1;
    }
    say(console, to_string(table));
    Json notes = Json::array();
    for (const job::PlannedSetup& setup : plan.setups) {
        for (const std::string& note : setup.notes) {
            say(console, setup.name + ": " + note + "\n");
            notes.push_back(setup.name + ": " + note);
        }
    }
    print(console, {{"parts", parts}, {"notes", notes}});
    return all_held ? Exit::done : Exit::findings;
}

int run_quote(const Console& console, const std::string& file) {
    auto both = planned(console, file);
    if (!both) return fail(console, both.problem());
    const job::Price& price = both.value().second.price;
    TextTable table{{"line", "low", "likely", "high"}, {}};
    const auto money = [](double v) { return fmt::format("{:.2f}", v); };
    Json lines = Json::array();
    for (const job::PriceLine& line : price.lines) {
        table.rows.push_back({line.what, money(line.low), money(line.likely), money(line.high)});
        lines.push_back({{"what", line.what}, {"low", line.low}, {"likely", line.likely}, {"high", line.high}});
    }
    table.rows.push_back({"total, " + price.currency, money(price.low), money(price.likely), money(price.high)});
    say(console, to_string(table));
    print(console, {{"low", price.low},
                    {"likely", price.likely},
                    {"high", price.high},
                    {"currency", price.currency},
                    {"lines", lines}});
    return Exit::done;
}

} // namespace kerfwright::app
