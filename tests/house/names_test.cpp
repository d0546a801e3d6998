// Two types of one name in one namespace become one for the linker, and nobody says so (the one-definition rule).

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>

namespace {

namespace fs = std::filesystem;

const fs::path kSource = fs::path(KERFWRIGHT_SOURCE_DIR) / "src";

/// Types that the file defines outside of unnamed namespaces; clang-format keeps each of these lines in one form.
std::set<std::string> types_of(std::istream& in) {
    const std::regex type(R"((?:struct|class) (\w+)(?: final)?(?: : .*)? \{.*)");
    std::set<std::string> types;
    bool unnamed = false;
    std::smatch found;
    for (std::string line; std::getline(in, line);) {
        if (line == "namespace {") unnamed = true;
        if (line == "} // namespace") unnamed = false;
        if (!unnamed && std::regex_match(line, found, type)) types.insert(found[1]);
    }
    return types;
}

TEST(Names, TheReaderSeesTypesOutsideOfUnnamedNamespacesOnly) {
    std::istringstream text("namespace a {\nnamespace {\nstruct Hidden {\n};\n} // namespace\nstruct Seen {\n"
                            "class Other : public Base {\n");
    EXPECT_EQ(types_of(text), (std::set<std::string>{"Other", "Seen"}));
}

TEST(Names, EveryTypeIsDefinedOnceInItsFolder) {
    std::map<std::string, fs::path> first;
    for (const auto& entry : fs::recursive_directory_iterator(kSource)) {
        if (entry.path().extension() != ".hpp" && entry.path().extension() != ".cpp") continue;
        std::ifstream in(entry.path());
        for (const std::string& type : types_of(in)) {
            const std::string name = entry.path().parent_path().filename().string() + "::" + type;
            const auto [old, fresh] = first.emplace(name, entry.path());
            EXPECT_TRUE(fresh) << name << " in " << old->second << " and " << entry.path();
        }
    }
    EXPECT_GT(first.size(), 100u) << "the reader finds nothing";
}

} // namespace
