// coupon and log: what the shop measures.

#include "app/commands.hpp"
#include "base/text_table.hpp"
#include "job/coupon.hpp"
#include "job/output.hpp"
#include "job/shop_log.hpp"
#include "shop/sheet.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <cmath>
#include <ctime>
#include <filesystem>
#include <set>

namespace kerfwright::app {
namespace fs = std::filesystem;
namespace {

using Json = nlohmann::ordered_json;
using Kind = job::LogEntry::Kind;

std::string today() {
    return fmt::format("{:%Y-%m-%d}", fmt::localtime(std::time(nullptr)));
}

/// The entry that the command line asks for, checked for what its kind needs.
Result<job::LogEntry> entry_of(const LogArguments& a) {
    const auto problem = [](const std::string& what, const std::string& remedy) {
        return Problem{"log add", 0, 0, what, remedy};
    };
    job::LogEntry entry{Kind::size, a.date.empty() ? today() : a.date,
                        a.material, a.cutter,
                        a.note,     a.asked,
                        a.measured, a.inside,
                        a.n,        a.vf,
                        a.outcome,  a.hold,
                        a.margin};
    if (a.kind == "size") {
        if (a.cutter.empty() || a.asked <= 0 || a.measured <= 0)
            return problem("a size needs --cutter, --asked and --measured", "give all three");
        if (std::abs(a.asked - a.measured) > 2)
            return problem("the sizes differ by more than 2 mm", "check them: no cutter does that");
    } else if (a.kind == "cut") {
        entry.kind = Kind::cut;
        if (a.cutter.empty() || a.material.empty() || a.n <= 0 || a.vf <= 0)
            return problem("a cut needs --material, --cutter, --n, --vf and --outcome", "give all of them");
        if (!shop::outcome_named(a.outcome))
            return problem("\"" + a.outcome + "\" is no outcome of a cut",
                           "use good, noisy, rough, melted, burnt or broken");
    } else if (a.kind == "part") {
        entry.kind = Kind::part;
        if (a.material.empty() || a.hold.empty() || a.margin <= 0)
            return problem("a part needs --material, --hold, --margin and --outcome", "give all of them");
        if (a.outcome != "held" && a.outcome != "lost")
            return problem("\"" + a.outcome + "\" is no outcome of a part", "use held or lost");
    } else {
        return problem("\"" + a.kind + "\" is no kind of entry", "use size, cut or part");
    }
    return entry;
}

Json json_of(const job::LogEntry& entry) {
    return {{"kind", to_string(entry.kind)},
            {"date", entry.date},
            {"material", entry.material},
            {"cutter", entry.cutter},
            {"asked", entry.asked},
            {"measured", entry.measured},
            {"inside", entry.inside},
            {"n", entry.n},
            {"vf", entry.vf},
            {"outcome", entry.outcome},
            {"hold", entry.hold},
            {"margin", entry.margin},
            {"note", entry.note}};
}

std::string what_was_seen(const job::LogEntry& e) {
    if (e.kind == Kind::size)
        return fmt::format("{:.3f} mm {}, asked {:.3f} mm", e.measured, e.inside ? "inside" : "outside", e.asked);
    if (e.kind == Kind::cut) return fmt::format("{} at {:.0f} rev/min, {:.0f} mm/min", e.outcome, e.n, e.vf);
    return fmt::format("{} on {} at margin {:.2f}", e.outcome, e.hold, e.margin);
}

/// What the log says, a line for each number that it touches.
Json conclusions(const std::vector<job::LogEntry>& log, TextTable& table) {
    Json json = Json::array();
    std::set<std::string> cutters;
    std::set<std::pair<std::string, std::string>> cuts, holds;
    for (const job::LogEntry& entry : log) {
        if (entry.kind == Kind::size) cutters.insert(entry.cutter);
        if (entry.kind == Kind::cut) cuts.insert({entry.material, entry.cutter});
        if (entry.kind == Kind::part) holds.insert({entry.material, shop::hold_name(entry.hold)});
    }
    for (const std::string& name : cutters) {
        const shop::Cutter* cutter = find_cutter(shop::shipped(), name);
        if (cutter == nullptr) continue;
        const shop::Evidence e = shop::effective_diameter(cutter->DC, job::sizes_of(log, name));
        table.rows.push_back({"diameter of " + name,
                              fmt::format("{:.3f} +- {:.3f} mm, nominal {:.3f}", e.value, 2 * e.sd, cutter->DC),
                              std::to_string(e.count)});
        json.push_back({{"what", "diameter"}, {"cutter", name}, {"value", e.value}, {"sd", e.sd}, {"count", e.count}});
    }
    for (const auto& [material, name] : cuts) {
        const shop::Cutter* cutter = find_cutter(shop::shipped(), name);
        if (cutter == nullptr) continue;
        const shop::FeedRange r = shop::feed_range(job::cuts_of(log, material, *cutter));
        std::string text = r.good_high > 0 ? fmt::format("good from {:.4f} to {:.4f}", r.good_low, r.good_high) : "";
        if (r.floor > 0) text += fmt::format("{}hot at {:.4f}", text.empty() ? "" : ", ", r.floor);
        if (r.ceiling > 0)
            text +=
                fmt::format("{}too much at {:.4f}: at most {:.4f}", text.empty() ? "" : ", ", r.ceiling, most_fz(r));
        table.rows.push_back({material + " with " + name, text + " mm/tooth",
                              fmt::format("{}, {} too hot, {} too much", r.count, r.too_hot, r.too_much)});
        json.push_back({{"what", "feed_per_tooth"},
                        {"material", material},
                        {"cutter", name},
                        {"good_low", r.good_low},
                        {"good_high", r.good_high},
                        {"floor", r.floor},
                        {"ceiling", r.ceiling},
                        {"most", most_fz(r)},
                        {"too_hot", r.too_hot},
                        {"too_much", r.too_much},
                        {"count", r.count}});
    }
    for (const auto& [material, hold] : holds) {
        const shop::HoldingFactor f = shop::holding_factor(job::parts_of(log, material, hold));
        table.rows.push_back({material + " on " + hold,
                              fmt::format("{} held, {} lost: divide margins by {:.2f}", f.held, f.lost, f.factor),
                              std::to_string(f.held + f.lost)});
        json.push_back({{"what", "holding"},
                        {"material", material},
                        {"hold", hold},
                        {"factor", f.factor},
                        {"held", f.held},
                        {"lost", f.lost}});
    }
    return json;
}

} // namespace

int run_coupon(const Console& console, const CouponArguments& arguments) {
    job::CouponWish wish;
    bool known = false;
    for (const job::CouponKind kind : {job::CouponKind::fit, job::CouponKind::feed, job::CouponKind::skin}) {
        if (arguments.kind != to_string(kind)) continue;
        wish.kind = kind;
        known = true;
    }
    if (!known)
        return fail(console,
                    {"coupon", 0, 0, "\"" + arguments.kind + "\" is no kind of coupon", "use fit, feed or skin"});
    if (arguments.thickness < 0.5 || arguments.thickness > 50)
        return fail(console, {"coupon", 0, 0, "the thickness is not between 0.5 and 50 mm", "give what was measured"});
    wish.material = arguments.material;
    wish.cutter = arguments.cutter;
    wish.machine = arguments.machine;
    wish.thickness = arguments.thickness;
    wish.hold = arguments.hold;
    const fs::path out = arguments.out.empty()
                             ? fs::path("coupon-" + arguments.kind + "-" + wish.material + "-" + wish.cutter)
                             : fs::path(arguments.out);
    if (auto allowed = job::may_replace(out); !allowed) return fail(console, allowed.problem());
    auto coupon = job::make_coupon(wish);
    if (!coupon) return fail(console, coupon.problem());
    const auto proof = job::prove_as_written(coupon.value().plan, {.threads = console.threads});
    if (!proof) return fail(console, proof.problem());
    auto files = job::output_files(coupon.value().job, coupon.value().plan, proof.value());
    if (!files) return fail(console, files.problem());
    auto form = papers::write_pdf(job::coupon_form(wish, coupon.value()));
    if (!form) return fail(console, form.problem());
    files.value().push_back({"papers/form.pdf", std::move(form).value()});
    if (auto written = job::replace_folder(out, files.value()); !written) return fail(console, written.problem());
    TextTable table{{"part", arguments.kind == "feed" ? "mm/min" : "mm"}, {}};
    Json parts = Json::array();
    for (const job::CouponPart& part : coupon.value().parts) {
        table.rows.push_back({part.id, fmt::format("{:.2f}", part.value)});
        parts.push_back({{"part", part.id}, {"value", part.value}});
    }
    const shop::Sheet& sheet = coupon.value().job.sheets.front();
    const plane::Box box = plane::bounds(sheet.outline);
    const char* verdict = proof.value().proven() ? "proven" : "findings";
    say(console, to_string(table) + "\n");
    for (const proof::SetupProof& setup : proof.value().setups)
        for (const proof::Finding& finding : setup.findings)
            say(console, fmt::format("{}:{}: {}\n", finding.program, finding.line, finding.text));
    say(console, fmt::format("stock: {:.0f} x {:.0f} x {:.2f} mm of {}\n", box.width(), box.height(), sheet.thickness,
                             wish.material));
    say(console,
        fmt::format("written: {}; fill in papers/form.pdf at the machine\nverdict: {}\n", out.string(), verdict));
    print(console, {{"out", out.string()}, {"verdict", verdict}, {"parts", parts}});
    return proof.value().proven() ? Exit::done : Exit::findings;
}

int run_log_add(const Console& console, const LogArguments& arguments) {
    auto entry = entry_of(arguments);
    if (!entry) return fail(console, entry.problem());
    if (auto added = job::add_to_log(arguments.file, entry.value()); !added) return fail(console, added.problem());
    say(console, fmt::format("{}: {}\n", arguments.file, what_was_seen(entry.value())));
    print(console, {{"log", arguments.file}, {"entry", json_of(entry.value())}});
    return Exit::done;
}

int run_log_show(const Console& console, const LogArguments& arguments) {
    const auto log = job::read_log(arguments.file);
    if (!log) return fail(console, log.problem());
    TextTable entries{{"date", "kind", "material", "cutter", "what was seen", "note"}, {}};
    Json json = Json::array();
    for (const job::LogEntry& entry : log.value()) {
        entries.rows.push_back(
            {entry.date, to_string(entry.kind), entry.material, entry.cutter, what_was_seen(entry), entry.note});
        json.push_back(json_of(entry));
    }
    TextTable says{{"number", "by the log", "measurements"}, {}};
    const Json concluded = conclusions(log.value(), says);
    say(console, to_string(entries) + "\n" + to_string(says));
    print(console, {{"log", arguments.file}, {"entries", json}, {"evidence", concluded}});
    return Exit::done;
}

} // namespace kerfwright::app
