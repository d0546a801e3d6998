#pragma once
// What `feeds` works on, and its parts. Private to app/.

#include "app/commands.hpp"
#include "cutting/chatter.hpp"

#include <nlohmann/json.hpp>

namespace kerfwright::app {

/// Material, cutter and machine that were named (shipped, or the first in a TOML file), and what is to be done.
struct FeedsSubject {
    shop::Material material;
    shop::Cutter cutter;
    shop::Machine machine;
    cutting::Task task;
    std::vector<std::string> log; ///< what the shop's log changed, a sentence each
};

/// The tap in a recording, as text and JSON; its strongest ring becomes the machine's mode for this cutter.
/// `stiffness` in N/mm; 0 when nobody measured it.
struct TapReport { // NOLINT(bugprone-exception-escape): the JSON library's moves are not marked noexcept
    std::string text;
    nlohmann::ordered_json json;
};
[[nodiscard]] Result<TapReport> report_tap(FeedsSubject& subject, const std::string& file, double stiffness);

/// What a recording of a cut at about `n` rev/min says.
struct CutReport { // NOLINT(bugprone-exception-escape): as above
    bool chatter = false;
    std::string text;
    nlohmann::ordered_json json;
};
[[nodiscard]] Result<CutReport> report_cut(const FeedsSubject& subject, const std::string& file, double n);

/// Speeds, feeds and the like as people write them: 19900, 0.1003, 6.
[[nodiscard]] std::string plain(double value);

} // namespace kerfwright::app
