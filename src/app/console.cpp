#include "app/console.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>

namespace kerfwright::app {
namespace {

bool on_terminal() {
    return ::isatty(STDERR_FILENO) == 1;
}

} // namespace

int fail(const Console& console, const Problem& problem) {
    progress_done(console);
    fmt::print(stderr, "{}\n", to_string(problem));
    if (console.json) {
        nlohmann::ordered_json json;
        json["error"] = {{"file", problem.file},
                         {"line", problem.line},
                         {"column", problem.column},
                         {"what", problem.what},
                         {"remedy", problem.remedy}};
        print(console, json);
    }
    return Exit::unusable;
}

void progress(const Console& console, const std::string& text) {
    if (console.quiet) return;
    if (on_terminal())
        fmt::print(stderr, "\r\033[K{} ...", text);
    else
        fmt::print(stderr, "{}\n", text);
    std::fflush(stderr);
}

void progress_done(const Console& console) {
    if (!console.quiet && on_terminal()) fmt::print(stderr, "\r\033[K");
}

void say(const Console& console, const std::string& text) {
    if (!console.json) fmt::print("{}", text);
}

void print(const Console& console, const nlohmann::ordered_json& json) {
    // Bytes that are no UTF-8 (file names may hold them) are replaced, never a crash.
    if (console.json) fmt::print("{}\n", json.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

} // namespace kerfwright::app
