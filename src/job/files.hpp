#pragma once
// Files in and out. Only job/, app/ and page/ touch them.

#include "base/result.hpp"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace kerfwright::job {

/// The whole file. Fails on a missing or unreadable one, on a folder, and above `largest` bytes.
[[nodiscard]] Result<std::string> read_file(const std::filesystem::path& path, std::size_t largest = 64u << 20);

/// A file to write: path relative to the folder, and its bytes.
struct OutputFile {
    std::string path;
    std::string bytes;
};

/// Fails when `folder` holds anything but an earlier result of ours: it is not empty and has no plan.json. For asking
/// before the work is done.
[[nodiscard]] Result<Done> may_replace(const std::filesystem::path& folder);

/// Replaces `folder` as a whole: everything is written beside it first, then the names are exchanged. When anything
/// fails the old folder stands untouched and nothing is left over.
/// A folder that may not be replaced is refused.
[[nodiscard]] Result<Done> replace_folder(const std::filesystem::path& folder, const std::vector<OutputFile>& files);

/// Writes one file aside and renames it into place.
[[nodiscard]] Result<Done> replace_file(const std::filesystem::path& path, const std::string& bytes);

} // namespace kerfwright::job
