// A hand edit of a program that cuts into a part, a clamp or the bed is found by `kerfwright prove OUT`.

#include "support/process.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <functional>
#include <regex>
#include <set>
#include <sstream>

namespace kerfwright {
namespace {

namespace fs = std::filesystem;
using support::text_of;

const fs::path kOut = fs::path(KERFWRIGHT_BINARY_DIR) / "skerry-out";

/// Kinds of finding after `edit` was made to the one program of a setup.
std::set<std::string> kinds_after(const std::string& setup, const std::function<std::string(std::string)>& edit) {
    const support::TempFolder temp;
    const fs::path copy = temp.path() / "out";
    fs::copy(kOut, copy, fs::copy_options::recursive);
    for (const auto& entry : fs::directory_iterator(copy / "programs")) {
        if (entry.path().filename().string().find("-" + setup + "-") == std::string::npos) continue;
        const std::string before = text_of(entry.path());
        const std::string after = edit(before);
        EXPECT_NE(before, after) << "the edit must change something";
        temp.write("out/programs/" + entry.path().filename().string(), after);
    }
    const auto outcome = support::kerfwright("prove " + copy.string() + " --json --quiet");
    EXPECT_EQ(outcome.status, 1) << outcome.err;
    std::set<std::string> kinds;
    const auto proof = nlohmann::json::parse(outcome.out);
    for (const auto& finding : proof["findings"])
        kinds.insert(finding["kind"]);
    return kinds;
}

/// Lines of a program.
std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    return lines;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines)
        text += line + "\n";
    return text;
}

/// Moves the X of the middle one of all blocks that have one by `by` mm.
std::string moved_x(const std::string& text, double by) {
    auto lines = lines_of(text);
    const std::regex word(R"(X(-?\d+\.\d*))");
    std::vector<std::size_t> with_x;
    for (std::size_t i = 0; i < lines.size(); ++i)
        if (lines[i].find('(') == std::string::npos && std::regex_search(lines[i], word)) with_x.push_back(i);
    std::string& line = lines[with_x[with_x.size() / 2]];
    std::smatch found;
    std::regex_search(line, found, word);
    line = found.prefix().str() + "X" + std::to_string(std::stod(found[1]) + by) + found.suffix().str();
    return joined(lines);
}

TEST(Edits, ACoordinateIntoThePartIsFound) {
    const auto kinds = kinds_after("hardboard-a", [](const std::string& text) { return moved_x(text, 1.0); });
    EXPECT_TRUE(kinds.contains("gouge") || kinds.contains("arc")) << "a millimetre sideways";
}

TEST(Edits, ACoordinateIntoAClampIsFound) {
    const auto kinds = kinds_after("walnut-a", [](std::string text) {
        const auto end = text.rfind("M5");
        return text.insert(end, "G1 Z10.0 F1000\nG1 X6.0 Y90.0\n");
    });
    EXPECT_TRUE(kinds.contains("clamp-contact"));
}

TEST(Edits, ADepthIntoTheBedIsFound) {
    const auto kinds = kinds_after("walnut-a", [](std::string text) {
        const auto end = text.rfind("M5");
        return text.insert(end, "G0 Z30.0\nG0 X200.0 Y8.0\nG1 Z-3.0 F300\nG0 Z30.0\n");
    });
    EXPECT_TRUE(kinds.contains("bed-cut"));
}

TEST(Edits, ADroppedMiddleIsFound) {
    const auto kinds = kinds_after("walnut-a", [](const std::string& text) {
        auto lines = lines_of(text);
        lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(lines.size() / 3),
                    lines.begin() + static_cast<std::ptrdiff_t>(lines.size() / 2));
        return joined(lines);
    });
    EXPECT_FALSE(kinds.empty());
}

TEST(Edits, SpindleNotStartedIsFound) {
    const auto kinds = kinds_after(
        "walnut-a", [](const std::string& text) { return std::regex_replace(text, std::regex("M3"), "M5"); });
    EXPECT_TRUE(kinds.contains("spindle-off"));
}

} // namespace
} // namespace kerfwright
