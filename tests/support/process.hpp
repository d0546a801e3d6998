#pragma once
// Starts a program as a user would and keeps what it said.

#include <sys/wait.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace kerfwright::support {

struct Outcome {
    int status = -1;
    std::string out, err;
};

inline std::string text_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// A fresh folder that goes when the test ends.
class TempFolder {
  public:
    TempFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "kerfwright-test-XXXXXX").string();
        path_ = ::mkdtemp(name.data());
    }
    ~TempFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TempFolder(const TempFolder&) = delete;
    TempFolder& operator=(const TempFolder&) = delete;
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    std::filesystem::path write(const std::string& name, const std::string& bytes) const {
        std::filesystem::create_directories((path_ / name).parent_path());
        std::ofstream(path_ / name, std::ios::binary) << bytes;
        return path_ / name;
    }

  private:
    std::filesystem::path path_;
};

/// Runs `command` by the shell.
inline Outcome run(const std::string& command) {
    const TempFolder folder;
    const std::string err = (folder.path() / "err").string();
    Outcome outcome;
    FILE* pipe = ::popen((command + " 2>" + err).c_str(), "r");
    if (pipe == nullptr) return outcome;
    char block[4096];
    for (std::size_t n = 0; (n = std::fread(block, 1, sizeof block, pipe)) > 0;)
        outcome.out.append(block, n);
    const int status = ::pclose(pipe);
    outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    outcome.err = text_of(err);
    return outcome;
}

inline Outcome kerfwright(const std::string& arguments) {
    return run(std::string(KERFWRIGHT_BINARY_DIR) + "/kerfwright " + arguments);
}

} // namespace kerfwright::support
