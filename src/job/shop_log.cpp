#include "job/shop_log.hpp"

#include "shop/sheet.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <cmath>
#include <cstring>
#include <memory>
#include <set>

namespace kerfwright::job {
namespace {

constexpr int kFormat = 1;           // PRAGMA user_version of the file
constexpr int kApplication = 0x4b57; // PRAGMA application_id
constexpr const char* kTable =
    "CREATE TABLE IF NOT EXISTS measured (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, date TEXT NOT NULL, "
    "material TEXT NOT NULL, cutter TEXT NOT NULL, asked REAL NOT NULL, measured REAL NOT NULL, "
    "inside INTEGER NOT NULL, n REAL NOT NULL, vf REAL NOT NULL, outcome TEXT NOT NULL, hold TEXT NOT NULL, "
    "margin REAL NOT NULL, note TEXT NOT NULL)";

struct CloseDatabase {
    void operator()(sqlite3* database) const { sqlite3_close_v2(database); }
};
struct FinishStatement {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
};
using Database = std::unique_ptr<sqlite3, CloseDatabase>;
using Statement = std::unique_ptr<sqlite3_stmt, FinishStatement>;

Problem fault(const std::string& file, sqlite3* database) {
    return {file, 0, 0, std::string("the log cannot be used: ") + sqlite3_errmsg(database),
            "check that it is a log of Kerfwright and that it may be written"};
}

Statement prepared(sqlite3* database, const std::string& text) {
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(database, text.c_str(), static_cast<int>(text.size()), &statement, nullptr);
    return Statement(statement);
}

int number_of(sqlite3* database, const char* pragma) {
    const Statement statement = prepared(database, std::string("PRAGMA ") + pragma);
    if (!statement || sqlite3_step(statement.get()) != SQLITE_ROW) return -1;
    return sqlite3_column_int(statement.get(), 0);
}

std::string text_at(sqlite3_stmt* statement, int column) {
    const unsigned char* text = sqlite3_column_text(statement, column);
    return text == nullptr ? "" : reinterpret_cast<const char*>(text);
}

Result<std::vector<LogEntry>> entries(sqlite3* database, const std::string& file) {
    if (number_of(database, "application_id") != kApplication)
        return Problem{file, 0, 0, "this is no log of Kerfwright", "name the file that `kerfwright log add` made"};
    if (number_of(database, "user_version") != kFormat)
        return Problem{file, 0, 0, "this log is of another format", "this version reads format 1"};
    const Statement rows = prepared(database, "SELECT kind, date, material, cutter, asked, measured, inside, n, vf, "
                                              "outcome, hold, margin, note FROM measured ORDER BY id");
    if (!rows) return fault(file, database);
    std::vector<LogEntry> log;
    int state = SQLITE_ROW;
    while ((state = sqlite3_step(rows.get())) == SQLITE_ROW) {
        LogEntry entry;
        const std::string kind = text_at(rows.get(), 0);
        for (const LogEntry::Kind k : {LogEntry::Kind::size, LogEntry::Kind::cut, LogEntry::Kind::part})
            if (kind == to_string(k)) entry.kind = k;
        entry.date = text_at(rows.get(), 1);
        entry.material = text_at(rows.get(), 2);
        entry.cutter = text_at(rows.get(), 3);
        entry.asked = sqlite3_column_double(rows.get(), 4);
        entry.measured = sqlite3_column_double(rows.get(), 5);
        entry.inside = sqlite3_column_int(rows.get(), 6) != 0;
        entry.n = sqlite3_column_double(rows.get(), 7);
        entry.vf = sqlite3_column_double(rows.get(), 8);
        entry.outcome = text_at(rows.get(), 9);
        entry.hold = text_at(rows.get(), 10);
        entry.margin = sqlite3_column_double(rows.get(), 11);
        entry.note = text_at(rows.get(), 12);
        log.push_back(std::move(entry));
    }
    if (state != SQLITE_DONE) return fault(file, database);
    return log;
}

bool run(sqlite3* database, const std::string& text) {
    return sqlite3_exec(database, text.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK;
}

bool insert(sqlite3* database, const LogEntry& entry) {
    const Statement row = prepared(database, "INSERT INTO measured (kind, date, material, cutter, asked, measured, "
                                             "inside, n, vf, outcome, hold, margin, note) "
                                             "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)");
    if (!row) return false;
    const auto text = [&](int i, const std::string& value) {
        sqlite3_bind_text(row.get(), i, value.c_str(), static_cast<int>(value.size()), SQLITE_TRANSIENT);
    };
    text(1, to_string(entry.kind));
    text(2, entry.date);
    text(3, entry.material);
    text(4, entry.cutter);
    sqlite3_bind_double(row.get(), 5, entry.asked);
    sqlite3_bind_double(row.get(), 6, entry.measured);
    sqlite3_bind_int(row.get(), 7, entry.inside ? 1 : 0);
    sqlite3_bind_double(row.get(), 8, entry.n);
    sqlite3_bind_double(row.get(), 9, entry.vf);
    text(10, entry.outcome);
    text(11, entry.hold);
    sqlite3_bind_double(row.get(), 12, entry.margin);
    text(13, entry.note);
    return sqlite3_step(row.get()) == SQLITE_DONE;
}

} // namespace

const char* to_string(LogEntry::Kind kind) {
    switch (kind) {
    case LogEntry::Kind::size:
        return "size";
    case LogEntry::Kind::cut:
        return "cut";
    case LogEntry::Kind::part:
        return "part";
    }
    return "";
}

Result<Done> add_to_log(const std::filesystem::path& file, const LogEntry& entry) {
    sqlite3* raw = nullptr;
    const int opened = sqlite3_open_v2(file.c_str(), &raw, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr);
    const Database database(raw);
    if (opened != SQLITE_OK) return fault(file.string(), raw);
    sqlite3_busy_timeout(raw, 5000);
    if (!run(raw, "BEGIN IMMEDIATE")) return fault(file.string(), raw);
    const bool fresh = number_of(raw, "schema_version") == 0;
    if (fresh) run(raw, fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", kApplication, kFormat));
    if (number_of(raw, "application_id") != kApplication || number_of(raw, "user_version") != kFormat)
        return Problem{file.string(), 0, 0, "this is no log of Kerfwright, or one of another format",
                       "name another file; nothing was changed"};
    if (!run(raw, kTable) || !insert(raw, entry) || !run(raw, "COMMIT")) return fault(file.string(), raw);
    return Done{};
}

Result<std::vector<LogEntry>> read_log(const std::filesystem::path& file) {
    sqlite3* raw = nullptr;
    const int opened = sqlite3_open_v2(file.c_str(), &raw, SQLITE_OPEN_READONLY, nullptr);
    const Database database(raw);
    if (opened != SQLITE_OK) return fault(file.string(), raw);
    sqlite3_busy_timeout(raw, 5000);
    return entries(raw, file.string());
}

Result<std::vector<LogEntry>> read_log_bytes(const std::string& bytes, const std::string& file) {
    sqlite3* raw = nullptr;
    const int opened = sqlite3_open_v2(":memory:", &raw, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr);
    const Database database(raw);
    if (opened != SQLITE_OK) return fault(file, raw);
    auto* copy = static_cast<unsigned char*>(sqlite3_malloc64(std::max<std::size_t>(bytes.size(), 1)));
    std::memcpy(copy, bytes.data(), bytes.size());
    const auto size = static_cast<sqlite3_int64>(bytes.size());
    if (sqlite3_deserialize(raw, "main", copy, size, size,
                            SQLITE_DESERIALIZE_FREEONCLOSE | SQLITE_DESERIALIZE_READONLY) != SQLITE_OK)
        return fault(file, raw);
    return entries(raw, file);
}

std::vector<shop::SizeMeasured> sizes_of(const std::vector<LogEntry>& log, const std::string& cutter) {
    std::vector<shop::SizeMeasured> sizes;
    for (const LogEntry& entry : log)
        if (entry.kind == LogEntry::Kind::size && entry.cutter == cutter)
            sizes.push_back({entry.asked, entry.measured, entry.inside});
    return sizes;
}

std::vector<shop::CutTried> cuts_of(const std::vector<LogEntry>& log, const std::string& material,
                                    const shop::Cutter& cutter) {
    std::vector<shop::CutTried> cuts;
    for (const LogEntry& entry : log) {
        if (entry.kind != LogEntry::Kind::cut || entry.material != material || entry.cutter != cutter.name) continue;
        const auto outcome = shop::outcome_named(entry.outcome);
        if (entry.n > 0 && outcome) cuts.push_back({entry.vf / (entry.n * cutter.ZEFP), *outcome, entry.n});
    }
    return cuts;
}

std::vector<shop::PartHeld> parts_of(const std::vector<LogEntry>& log, const std::string& material,
                                     const std::string& hold) {
    std::vector<shop::PartHeld> parts;
    for (const LogEntry& entry : log)
        if (entry.kind == LogEntry::Kind::part && entry.material == material &&
            shop::hold_name(entry.hold) == shop::hold_name(hold))
            parts.push_back({entry.margin, entry.outcome == "held"});
    return parts;
}

namespace {

const char* plural(int count) {
    return count == 1 ? "" : "s";
}

void apply_cuts(const std::vector<LogEntry>& log, const std::vector<shop::Cutter>& cutters, shop::Material& material,
                std::vector<std::string>& notes) {
    for (const shop::Cutter& cutter : cutters) {
        const auto cuts = cuts_of(log, material.name, cutter);
        if (cuts.empty()) continue;
        material.tried.push_back({cutter.name, shop::feed_range(cuts)});
        const shop::FeedRange& range = material.tried.back().feeds;
        const std::string what = fmt::format("log: {} with {}: ", material.name, cutter.name);
        if (range.ceiling > 0)
            notes.push_back(what + fmt::format("at most {:.4f} mm/tooth, by {} of {} cut{} that went badly",
                                               shop::most_fz(range), range.too_much, range.count, plural(range.count)));
        if (!range.hot.empty())
            notes.push_back(what + fmt::format("thicker chips or less speed, by {} of {} cut{} that melted or burnt",
                                               range.too_hot, range.count, plural(range.count)));
    }
}

void apply_holds(const std::vector<LogEntry>& log, shop::Material& material, std::vector<std::string>& notes) {
    std::set<std::string> holds;
    for (const LogEntry& entry : log)
        if (entry.kind == LogEntry::Kind::part && entry.material == material.name)
            holds.insert(shop::hold_name(entry.hold));
    for (const std::string& hold : holds) {
        const shop::HoldingFactor factor = shop::holding_factor(parts_of(log, material.name, hold));
        material.held.push_back({hold, factor});
        if (factor.factor > 1)
            notes.push_back(fmt::format("log: {} on {}: margins are divided by {:.2f}, by {} part{} held and {} lost",
                                        material.name, hold, factor.factor, factor.held, plural(factor.held),
                                        factor.lost));
    }
}

} // namespace

std::vector<std::string> apply_log(const std::vector<LogEntry>& log, std::vector<shop::Cutter>& cutters,
                                   std::vector<shop::Material>& materials) {
    std::vector<std::string> notes;
    for (shop::Material& material : materials) {
        material.tried.clear();
        material.held.clear();
        apply_cuts(log, cutters, material, notes);
        apply_holds(log, material, notes);
    }
    for (shop::Cutter& cutter : cutters) {
        const auto sizes = sizes_of(log, cutter.name);
        if (sizes.empty()) continue;
        const shop::Evidence evidence = shop::effective_diameter(cutter.DC, sizes);
        // A diameter is set by people to hundredths: more digits would claim more than was measured.
        const double DC = std::round(evidence.value * 1000) / 1000;
        notes.push_back(
            fmt::format("log: {} cuts as {:.3f} mm instead of {:.3f} mm, by {} measured size{} (+-{:.3f} mm)",
                        cutter.name, DC, cutter.DC, evidence.count, evidence.count == 1 ? "" : "s", 2 * evidence.sd));
        cutter.DC = DC;
    }
    return notes;
}

} // namespace kerfwright::job
