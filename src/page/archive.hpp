#pragma once
// Files in one archive.

#include "base/result.hpp"
#include "job/files.hpp"

#include <string>
#include <vector>

namespace kerfwright::page {

/// A ZIP of these files in their order. The same files give the same bytes, whenever and wherever.
[[nodiscard]] Result<std::string> zip_of(const std::vector<const job::OutputFile*>& files);

} // namespace kerfwright::page
