#pragma once
// The job file: what the practitioner asks for, checked and resolved against the shop's library.

#include "base/result.hpp"
#include "drawing/drawing.hpp"
#include "fit/movement.hpp"
#include "shop/library.hpp"
#include "shop/sheet.hpp"

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::job {

/// "tuff-*" = "walnut". `*` stands for any run of characters.
struct PiecePattern {
    std::string pattern;
    std::string material;
    int line = 0, column = 0;
};

struct TrayWish {
    std::string sheet;
    double border = 20;          ///< mm of rim around the set
    std::optional<double> proud; ///< mm above the rim; empty: flush
    int line = 0, column = 0;
};

/// One `[[placed]]` table: a piece that stays where a person put it.
struct PlacedWish {
    std::string piece, sheet;
    plane::Placement placement; ///< as in plan.json: drawing's frame to program coordinates
    int line = 0;
};

/// The `[price]` table.
struct PriceWish {
    std::string currency = "EUR";
    double hour_rate = -1;     ///< < 0: the machine's
    double setup_minutes = 15; ///< a person's time for each setup
    double finish_minutes = 3; ///< a person's time for each piece, after cutting
    double margin = 0.25;      ///< on top of the cost
};

/// The `[climate]` table. The defaults are common practice (docs/job-file.md).
struct ClimateWish {
    fit::ClimateRange shop{{40, 17}, {60, 24}};     ///< while cutting, and when the set is tried there
    fit::ClimateRange customer{{30, 16}, {65, 27}}; ///< ever after
    double coating = 0;                             ///< mm on every edge of the pieces
};

struct Job {
    std::string file; ///< as given on the command line
    std::string title;
    std::string revision;     ///< revision_of its text
    std::string drawing_file; ///< relative to the job file
    drawing::ReadOptions read;
    int drawing_line = 0;
    double clearance = 0.30, tray_clearance = 0.60, detail = 0.50; ///< mm
    std::optional<TrayWish> tray;
    std::vector<PiecePattern> pieces;
    std::vector<shop::Sheet> sheets;
    shop::Machine machine;
    std::vector<shop::Cutter> cutters;             ///< of the shop, in the order of the file
    std::map<std::string, std::string> cutter_for; ///< material or "tray" -> cutter, where the job says so
    std::vector<PlacedWish> placed;
    PriceWish price;
    ClimateWish climate;
    shop::Library library;          ///< shipped and the job's own
    std::vector<std::string> notes; ///< what the shop's log changed
    std::string named_files;        ///< texts of the files that the job names (not the drawing), one after the other
};

/// Digest of a job file's text as 16 hexadecimal digits (FNV-1a, 64 bit).
[[nodiscard]] std::string revision_of(std::string_view text);

/// Reads a file that the job names (a machine, a cutter), relative to the job file.
using FileReader = std::function<Result<std::string>(const std::string& name)>;

/// Parses and checks the text. Every fault names its line and column.
[[nodiscard]] Result<Job> read_job(std::string_view text, const std::string& file, const FileReader& read);

/// Reads the job file and everything that it names.
[[nodiscard]] Result<Job> load_job(const std::filesystem::path& path);
/// The drawing that the job names.
[[nodiscard]] Result<drawing::Drawing> load_drawing(const Job& job);

/// Does `name` match `pattern`?
[[nodiscard]] bool matches(std::string_view pattern, std::string_view name);
/// The most specific pattern that matches: most characters that are not `*`, then the later one. Null when none does.
[[nodiscard]] const PiecePattern* pattern_for(const std::vector<PiecePattern>& patterns, std::string_view name);

/// What a new job begins with.
struct NewJob {
    std::string title;
    std::string drawing_file;
    drawing::ReadOptions read;
};
/// A commented job file for a drawing, every region listed.
[[nodiscard]] std::string new_job_text(const drawing::Drawing& drawing, const NewJob& wish);

} // namespace kerfwright::job
