// The arrows between the folders of src/ are those of src/CMakeLists.txt, and every #include follows them.

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace {

namespace fs = std::filesystem;
using Arrows = std::map<std::string, std::set<std::string>>;

const fs::path kSource = fs::path(KERFWRIGHT_SOURCE_DIR) / "src";

std::string text_of(const fs::path& path) {
    std::ifstream in(path);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

/// "kerfwright_part(fit PARTS base plane LIBRARIES ...)" -> fit: {base, plane} and all that those reach.
Arrows read_arrows() {
    Arrows arrows;
    const std::string text = text_of(kSource / "CMakeLists.txt");
    const std::regex part(R"(kerfwright_part\(\s*(\w+)([^)]*)\))");
    for (auto it = std::sregex_iterator(text.begin(), text.end(), part); it != std::sregex_iterator(); ++it) {
        std::set<std::string> to;
        std::istringstream words((*it)[2].str());
        bool in_parts = false;
        for (std::string word; words >> word;) {
            if (word == "PARTS" || word == "LIBRARIES")
                in_parts = word == "PARTS";
            else if (in_parts)
                to.insert(word);
        }
        arrows[(*it)[1]] = to;
    }
    for (bool grew = true; grew;) {
        grew = false;
        for (auto& [from, to] : arrows)
            for (const std::string& next : std::set<std::string>(to))
                for (const std::string& more : arrows[next])
                    grew |= to.insert(more).second;
    }
    return arrows;
}

/// All "folder/file" includes of a folder of src/, as (file, folder).
std::vector<std::pair<std::string, std::string>> includes_of(const fs::path& folder) {
    std::vector<std::pair<std::string, std::string>> found;
    const std::regex include(R"re(#include\s+"(\w+)/[^"]+")re");
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.path().extension() != ".hpp" && entry.path().extension() != ".cpp") continue;
        const std::string text = text_of(entry.path());
        for (auto it = std::sregex_iterator(text.begin(), text.end(), include); it != std::sregex_iterator(); ++it)
            found.emplace_back(entry.path().filename().string(), (*it)[1]);
    }
    return found;
}

TEST(Arrows, EveryIncludeFollowsTheTable) {
    const Arrows arrows = read_arrows();
    ASSERT_GE(arrows.size(), 14u);
    std::size_t seen = 0;
    for (const auto& [part, to] : arrows) {
        for (const auto& [file, target] : includes_of(kSource / part)) {
            ++seen;
            EXPECT_TRUE(target == part || to.contains(target)) << part << "/" << file << " includes " << target << "/";
        }
    }
    EXPECT_GT(seen, 40u) << "the search itself must work";
}

TEST(Arrows, TheWallsOfTheDesignStand) {
    Arrows arrows = read_arrows();
    EXPECT_EQ(arrows["base"], std::set<std::string>{});
    EXPECT_EQ(arrows["plane"], std::set<std::string>{"base"});
    EXPECT_FALSE(arrows["proof"].contains("toolpath"));
    EXPECT_FALSE(arrows["proof"].contains("layout"));
    EXPECT_FALSE(arrows["toolpath"].contains("proof"));
    EXPECT_FALSE(arrows["program"].contains("toolpath"));
    EXPECT_FALSE(arrows["cutting"].contains("toolpath"));
    EXPECT_FALSE(arrows["layout"].contains("toolpath"));
    EXPECT_FALSE(arrows["holding"].contains("program"));
    EXPECT_FALSE(arrows["fit"].contains("toolpath"));
    EXPECT_FALSE(arrows["drawing"].contains("fit"));
}

} // namespace
