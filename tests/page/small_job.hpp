#pragma once
// A small job in a folder of its own.

#include "support/process.hpp"

#include <filesystem>
#include <string>

namespace kerfwright::page {

/// Sanitizers keep memory for themselves.
inline constexpr bool kSanitized = KERFWRIGHT_SANITIZED;

/// Two squares side by side.
inline const char* const kDrawing =
    R"(<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<rect id="left" x="0" y="0" width="50" height="50" fill="#aa0000"/>
<rect id="right" x="50" y="0" width="50" height="50" fill="#00aa00"/>
</svg>
)";

inline const char* const kJob = R"(# Two squares.
format = 1
title  = "Squares"

[drawing]
file = "squares.svg"

[fit]
clearance = 0.30   # gap

[pieces]
"*" = "mdf"

[[sheet]]
name      = "a"
material  = "mdf"
size      = [300, 200]
thickness = 6
hold      = ["skin", "tape"]

[machine]
name = "gantry-600"

[shop]
cutters = ["flat-3", "flat-6"]
)";

inline std::filesystem::path write_job(const support::TempFolder& folder) {
    folder.write("squares.svg", kDrawing);
    folder.write("job.toml", kJob);
    return folder.path() / "job.toml";
}

} // namespace kerfwright::page
