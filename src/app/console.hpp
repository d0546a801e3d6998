#pragma once
// What every command says and how: results on stdout, progress and faults on stderr.

#include "base/result.hpp"

#include <nlohmann/json.hpp>

#include <string>

namespace kerfwright::app {

/// Exit status of the program (docs/interface.md).
enum Exit : int { done = 0, findings = 1, unusable = 2, our_fault = 3 };

/// Options that every command takes.
struct Console {
    bool json = false;  ///< exactly one JSON document on stdout
    bool quiet = false; ///< no progress
    int threads = 0;
};

/// Tells the problem ("FILE:LINE:COLUMN: what; what to do") and gives Exit::unusable.
[[nodiscard]] int fail(const Console& console, const Problem& problem);
/// A line of progress on stderr; overwritten by the next one on a terminal.
void progress(const Console& console, const std::string& text);
/// Ends the progress line on a terminal.
void progress_done(const Console& console);
/// Text for people; nothing under --json.
void say(const Console& console, const std::string& text);
/// The document for programs; nothing without --json.
void print(const Console& console, const nlohmann::ordered_json& json);

} // namespace kerfwright::app
