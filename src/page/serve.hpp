#pragma once
// `kerfwright page`: the one way in.

#include "base/result.hpp"

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

namespace kerfwright::page {

struct ServeOptions {
    std::string version;
    std::optional<std::filesystem::path> job; ///< opened at the start; else nothing is open until a drawing is dropped
    std::filesystem::path folder = ".";       ///< where new jobs are made
    int port = 0;                             ///< 0: any free one
    bool open_browser = true;
    int threads = 0;
    /// Told the address once it is served.
    std::function<void(const std::string& address, int port)> announce;
};

/// Serves on 127.0.0.1 until SIGINT or SIGTERM; then ends what runs and returns. Fails when the job cannot be opened or
/// the port cannot be had. REQUIRES: called once, from the main thread before others exist (it blocks the two signals).
[[nodiscard]] Result<Done> serve(const ServeOptions& options);

} // namespace kerfwright::page
