#include "job/files.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <iterator>

namespace kerfwright::job {
namespace fs = std::filesystem;
namespace {

Problem problem(const fs::path& path, const std::string& what, const std::string& remedy) {
    return {path.string(), 0, 0, what, remedy};
}

/// Writes and syncs, so that a rename never brings an empty file into place after a crash.
bool write_synced(const fs::path& path, const std::string& bytes) {
    const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (file < 0) return false;
    std::size_t done = 0;
    while (done < bytes.size()) {
        const ssize_t n = ::write(file, bytes.data() + done, bytes.size() - done);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) break;
        done += static_cast<std::size_t>(n);
    }
    const bool synced = ::fsync(file) == 0;
    return ::close(file) == 0 && synced && done == bytes.size();
}

fs::path beside(const fs::path& path, const char* mark) {
    fs::path clean = path;
    if (clean.filename().empty()) clean = clean.parent_path();
    return clean.parent_path() / ("." + clean.filename().string() + "." + mark + "-" + std::to_string(::getpid()));
}

} // namespace

Result<std::string> read_file(const fs::path& path, std::size_t largest) {
    std::error_code error;
    if (fs::is_directory(path, error)) return problem(path, "is a folder, not a file", "name a file in it");
    if (!fs::exists(path, error)) return problem(path, "there is no such file", "check the name and the folder");
    std::ifstream in(path, std::ios::binary);
    if (!in) return problem(path, "cannot be opened", "check who may read it");
    std::string bytes;
    char block[1 << 16];
    while (in.read(block, sizeof block) || in.gcount() > 0) {
        bytes.append(block, static_cast<std::size_t>(in.gcount()));
        if (bytes.size() > largest)
            return problem(path, "is larger than " + std::to_string(largest >> 20) + " MB",
                           "simplify or split the drawing");
    }
    if (in.bad()) return problem(path, "cannot be read to its end", "check the disk");
    return bytes;
}

Result<Done> replace_file(const fs::path& path, const std::string& bytes) {
    const fs::path aside = beside(path, "new");
    std::error_code error;
    if (!write_synced(aside, bytes)) {
        fs::remove(aside, error);
        return problem(path, "cannot be written", "check the folder, its rights and the room on the disk");
    }
    fs::rename(aside, path, error);
    if (!error) return Done{};
    std::error_code ignored;
    fs::remove(aside, ignored);
    return problem(path, "cannot be put in place: " + error.message(), "check the folder and its rights");
}

Result<Done> may_replace(const fs::path& folder) {
    std::error_code error;
    if (!fs::exists(folder, error)) return Done{};
    if (!fs::is_directory(folder, error))
        return problem(folder, "is a file", "name a folder for the output with --out");
    if (!fs::is_empty(folder, error) && !fs::exists(folder / "plan.json", error))
        return problem(folder, "holds files that are not an earlier output of Kerfwright, and would be replaced",
                       "name another folder with --out, or empty this one");
    return Done{};
}

Result<Done> replace_folder(const fs::path& folder, const std::vector<OutputFile>& files) {
    if (auto allowed = may_replace(folder); !allowed) return allowed;
    std::error_code error;
    const fs::path aside = beside(folder, "new");
    const fs::path old = beside(folder, "old");
    fs::remove_all(aside, error);
    const auto give_up = [&](const std::string& what) {
        std::error_code ignored;
        fs::remove_all(aside, ignored);
        return problem(folder, what,
                       "check the folder, its rights and the room on the disk; what was there is untouched");
    };
    for (const OutputFile& file : files) {
        fs::create_directories((aside / file.path).parent_path(), error);
        if (error || !write_synced(aside / file.path, file.bytes)) return give_up(file.path + " cannot be written");
    }
    // One exchange of names where the file system can do it: at no moment is there no output.
    const bool exchanged = ::renameat2(AT_FDCWD, aside.c_str(), AT_FDCWD, folder.c_str(), RENAME_EXCHANGE) == 0;
    if (exchanged) {
        fs::remove_all(aside, error);
        return Done{};
    }
    const bool had_old = fs::exists(folder, error);
    if (had_old) fs::rename(folder, old, error);
    if (had_old && error) return give_up("the old output cannot be moved aside: " + error.message());
    fs::rename(aside, folder, error);
    if (error) {
        std::error_code ignored;
        if (had_old) fs::rename(old, folder, ignored);
        return give_up("the new output cannot be put in place: " + error.message());
    }
    if (had_old) fs::remove_all(old, error);
    return Done{};
}

} // namespace kerfwright::job
