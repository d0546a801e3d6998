#pragma once
// Reads PDFs back with other people's programs (poppler's), where these are installed.

#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

namespace kerfwright::papers {

/// A folder of this process's own, gone at the end.
class Workplace {
  public:
    Workplace() : path_(std::filesystem::temp_directory_path() / ("kerfwright-papers-" + std::to_string(::getpid()))) {
        std::filesystem::create_directories(path_);
    }
    ~Workplace() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Workplace(const Workplace&) = delete;
    Workplace& operator=(const Workplace&) = delete;

    [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }
    [[nodiscard]] std::string write(const std::string& name, const std::string& bytes) const {
        std::ofstream(file(name), std::ios::binary) << bytes;
        return file(name);
    }

  private:
    std::filesystem::path path_;
};

inline bool has(const std::string& program) {
    return std::system(("command -v " + program + " > /dev/null 2>&1").c_str()) == 0;
}

inline std::string output_of(const std::string& command) {
    std::string out;
    FILE* pipe = ::popen((command + " 2>/dev/null").c_str(), "r");
    char buffer[4096];
    for (std::size_t n = 0; (n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;)
        out.append(buffer, n);
    ::pclose(pipe);
    return out;
}

inline std::size_t count(const std::string& text, const std::string& what) {
    std::size_t n = 0;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + what.size()))
        ++n;
    return n;
}

/// A page as pixels, 10 to the mm; three bytes each.
struct Pixels {
    int width = 0, height = 0;
    std::string rgb;
    [[nodiscard]] int grey(int x, int y) const {
        return static_cast<unsigned char>(
            rgb[3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x))]);
    }
};

inline Pixels pixels_of(const std::string& pdf, int page) {
    const std::string p = std::to_string(page);
    const std::string ppm = output_of("pdftoppm -r 254 -f " + p + " -l " + p + " " + pdf);
    Pixels pixels;
    int most = 0;
    int used = 0;
    if (std::sscanf(ppm.c_str(), "P6 %d %d %d%n", &pixels.width, &pixels.height, &most, &used) == 3)
        pixels.rgb = ppm.substr(static_cast<std::size_t>(used) + 1);
    return pixels;
}

} // namespace kerfwright::papers
