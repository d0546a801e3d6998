#pragma once
// The shop's log: what was measured after cutting, in one SQLite file.

#include "base/result.hpp"
#include "shop/evidence.hpp"
#include "shop/library.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace kerfwright::job {

/// One thing measured or seen. What does not belong to its kind stays empty.
struct LogEntry {
    enum class Kind { size, cut, part } kind = Kind::size;
    std::string date; ///< "2026-11-25", as given
    std::string material, cutter, note;
    double asked = 0, measured = 0; ///< size: mm
    bool inside = false;
    double n = 0, vf = 0; ///< cut: rev/min, mm/min
    std::string outcome;  ///< cut: "good", ...; part: "held" or "lost"
    std::string hold;     ///< part: "tape+skin"
    double margin = 0;    ///< part: as planned
};
[[nodiscard]] const char* to_string(LogEntry::Kind kind);

/// Adds one entry; makes the file when there is none. All or nothing, also when the machine fails meanwhile.
[[nodiscard]] Result<Done> add_to_log(const std::filesystem::path& file, const LogEntry& entry);
/// All entries in the order they were added.
[[nodiscard]] Result<std::vector<LogEntry>> read_log(const std::filesystem::path& file);
/// The same from the file's bytes.
[[nodiscard]] Result<std::vector<LogEntry>> read_log_bytes(const std::string& bytes, const std::string& file);

[[nodiscard]] std::vector<shop::SizeMeasured> sizes_of(const std::vector<LogEntry>& log, const std::string& cutter);
[[nodiscard]] std::vector<shop::CutTried> cuts_of(const std::vector<LogEntry>& log, const std::string& material,
                                                  const shop::Cutter& cutter);
[[nodiscard]] std::vector<shop::PartHeld> parts_of(const std::vector<LogEntry>& log, const std::string& material,
                                                   const std::string& hold);

/// Gives every cutter that was measured its effective diameter, and every material what was tried in it and on what its
/// parts held or were lost; a sentence for each number that changes, with its evidence.
[[nodiscard]] std::vector<std::string> apply_log(const std::vector<LogEntry>& log, std::vector<shop::Cutter>& cutters,
                                                 std::vector<shop::Material>& materials);

} // namespace kerfwright::job
