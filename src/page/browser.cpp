#include "page/browser.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>

extern char** environ;

namespace kerfwright::page {
namespace fs = std::filesystem;
namespace {

/// A new file that only we may read, holding the text; empty when there can be none.
fs::path private_file(const std::string& text) {
    const char* runtime = std::getenv("XDG_RUNTIME_DIR");
    std::error_code error;
    const fs::path folder = runtime != nullptr && *runtime != '\0' ? fs::path(runtime) : fs::temp_directory_path(error);
    std::string name = (folder / "kerfwright-XXXXXX.html").string();
    constexpr int kEnding = 5;
    const int file = ::mkostemps(name.data(), kEnding, O_CLOEXEC); // mode 0600
    if (file < 0) return {};
    const bool written = ::write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size());
    ::close(file);
    if (written) return name;
    fs::remove(name, error);
    return {};
}

} // namespace

OpenedInBrowser::OpenedInBrowser(const std::string& address) {
    file_ = private_file("<!doctype html><meta charset=utf-8><meta http-equiv=refresh content=\"0;url=" + address +
                         "\"><title>Kerfwright</title><a href=\"" + address + "\">Kerfwright</a>\n");
    if (file_.empty()) return;
    // The shell leaves at once and the opener goes its own way: nothing to wait for.
    const std::string file = file_.string();
    const char* const arguments[] = {"sh", "-c",         "xdg-open \"$1\" >/dev/null 2>&1 </dev/null &",
                                     "sh", file.c_str(), nullptr};
    pid_t child = 0;
    if (::posix_spawnp(&child, "sh", nullptr, nullptr, const_cast<char* const*>(arguments), environ) == 0)
        ::waitpid(child, nullptr, 0);
}

OpenedInBrowser::~OpenedInBrowser() {
    std::error_code ignored;
    if (!file_.empty()) fs::remove(file_, ignored);
}

} // namespace kerfwright::page
