// Edits of a TOML file keep everything that was not asked to change.

#include "edits/edits.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <toml++/toml.h>

#include <algorithm>
#include <fstream>
#include <sstream>

namespace kerfwright::edits {
namespace {

using Json = nlohmann::ordered_json;
using Kind = Edit::Kind;
using Path = decltype(Edit::path);

std::string edited(const std::string& text, const std::vector<Edit>& edits) {
    auto result = edit_toml(text, "job.toml", edits);
    EXPECT_TRUE(result.ok()) << (result ? "" : to_string(result.problem())) << "\n" << text;
    return result ? result.value() : "";
}

std::string refused(const std::string& text, const Edit& edit) {
    auto result = edit_toml(text, "job.toml", {edit});
    EXPECT_FALSE(result.ok()) << result.value();
    return result ? "" : to_string(result.problem());
}

const char* const kJob = R"(# A tray.
format = 1
title  = "Tray"     # of the museum

[fit]
clearance      = 0.30   # gap
tray_clearance = 0.60

[pieces]
"basalt"  = "walnut"
"tuff-*"  = "maple"     # by hand
"*"       = "mdf"

# What lies on the shelf.
[[sheet]]
name      = "base"
size      = [560, 480]  # bought
hold      = ["clamps"]

[[sheet]]
name      = "walnut-a"
size      = [400, 180]
measured  = [
  [20, 20, 6.15],   # lower left
  [380, 20, 6.24],  # lower right
]
clamps    = [{ at = [0, 70], size = [12, 40] }, { at = [388, 70], size = [12, 40] }]

[machine]
name = "gantry-600"
)";

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const std::size_t at = text.find(what);
    EXPECT_NE(at, std::string::npos) << what;
    return at == std::string::npos ? text : text.replace(at, what.size(), by);
}

TEST(Edits, AValueIsReplacedInPlaceAndItsCommentKeepsItsColumn) {
    EXPECT_EQ(edited(kJob, {{Kind::set, {"fit", "clearance"}, 0.25}}), replaced(kJob, "0.30   # gap", "0.25   # gap"));
    EXPECT_EQ(edited(kJob, {{Kind::set, {"fit", "clearance"}, 0.125}}), replaced(kJob, "0.30   # gap", "0.125  # gap"));
    EXPECT_EQ(edited(kJob, {{Kind::set, {"title"}, "Tray of \"Skerry\""}}),
              replaced(kJob, "\"Tray\"     #", "\"Tray of \\\"Skerry\\\"\" #"));
}

TEST(Edits, PiecesKeepTheirQuotesAndTheirColumn) {
    EXPECT_EQ(edited(kJob, {{Kind::set, {"pieces", "tuff-*"}, "oak"}}),
              replaced(kJob, "\"maple\"     # by", "\"oak\"       # by"));
    EXPECT_EQ(edited(kJob, {{Kind::set, {"pieces", "peat"}, "oak"}}),
              replaced(kJob, "\"*\"       = \"mdf\"\n", "\"*\"       = \"mdf\"\n\"peat\"    = \"oak\"\n"));
}

TEST(Edits, SeveralEditsAreMadeOneAfterTheOther) {
    const std::string text = edited(kJob, {{Kind::set, {"pieces", "peat"}, "oak"},
                                           {Kind::remove, {"pieces", "basalt"}, {}},
                                           {Kind::set, {"sheet", std::size_t{1}, "thickness"}, 6.2}});
    EXPECT_NE(text.find("[pieces]\n\"tuff-*\"  = \"maple\"     # by hand\n"), std::string::npos) << text;
    EXPECT_NE(text.find("size = [12, 40] }]\nthickness = 6.2\n"), std::string::npos) << text;
}

TEST(Edits, AMeasuredPointIsAddedChangedAndRemovedOnItsOwnLine) {
    const Path measured{"sheet", std::size_t{1}, "measured"};
    const Json two = Json::parse("[[20, 20, 6.15], [380, 20, 6.24]]");
    Json three = two;
    three.push_back({20, 160, 6.2});
    EXPECT_EQ(edited(kJob, {{Kind::set, measured, three}}),
              replaced(kJob, "# lower right\n", "# lower right\n  [20, 160, 6.2],\n"));
    Json changed = two;
    changed[0][2] = 6.1;
    EXPECT_EQ(edited(kJob, {{Kind::set, measured, changed}}), replaced(kJob, "6.15]", "6.1]"));
    EXPECT_EQ(edited(kJob, {{Kind::remove, {"sheet", std::size_t{1}, "measured", std::size_t{0}}, {}}}),
              replaced(kJob, "  [20, 20, 6.15],   # lower left\n", ""));
    EXPECT_EQ(edited(kJob, {{Kind::remove, {"sheet", std::size_t{1}, "measured", std::size_t{1}}, {}}}),
              replaced(kJob, "  [380, 20, 6.24],  # lower right\n", ""));
}

TEST(Edits, AClampIsMovedAddedAndRemoved) {
    const Path clamps{"sheet", std::size_t{1}, "clamps"};
    EXPECT_EQ(edited(kJob, {{Kind::set, {"sheet", std::size_t{1}, "clamps", std::size_t{1}, "at"}, {380, 75}}}),
              replaced(kJob, "[388, 70]", "[380, 75]"));
    EXPECT_EQ(edited(kJob, {{Kind::set, {"sheet", std::size_t{1}, "clamps", std::size_t{0}, "height"}, 25}}),
              replaced(kJob, "[12, 40] }, {", "[12, 40], height = 25 }, {"));
    EXPECT_EQ(edited(kJob, {{Kind::remove, {"sheet", std::size_t{1}, "clamps", std::size_t{0}}, {}}}),
              replaced(kJob, "{ at = [0, 70], size = [12, 40] }, ", ""));
    EXPECT_EQ(
        edited(kJob, {{Kind::set, {"sheet", std::size_t{0}, "clamps"}, Json::array({{{"at", {0, 1}}}})}}),
        replaced(kJob, "hold      = [\"clamps\"]\n", "hold      = [\"clamps\"]\nclamps    = [{ at = [0, 1] }]\n"));
}

TEST(Edits, ASheetIsAppendedBehindTheOthersInTheirStyle) {
    EXPECT_EQ(edited(kJob, {{Kind::append, {"sheet"}, {{"name", "oak-a"}, {"size", {300, 200}}, {"thickness", 6}}}}),
              replaced(kJob, "\n[machine]",
                       "\n[[sheet]]\nname      = \"oak-a\"\nsize      = [300, 200]\nthickness = 6\n"
                       "\n[machine]"));
    EXPECT_EQ(edited(kJob, {{Kind::append, {"placed"}, {{"piece", "peat"}, {"angle", 90}}}}),
              std::string(kJob) + "\n[[placed]]\npiece = \"peat\"\nangle = 90\n");
}

TEST(Edits, ASheetIsRemovedWithItsLinesOnly) {
    const std::string text = edited(kJob, {{Kind::remove, {"sheet", std::size_t{0}}, {}}});
    EXPECT_EQ(text, replaced(kJob,
                             "[[sheet]]\nname      = \"base\"\nsize      = [560, 480]  # bought\n"
                             "hold      = [\"clamps\"]\n",
                             ""));
}

TEST(Edits, MissingTablesAreMade) {
    EXPECT_EQ(edited(kJob, {{Kind::set, {"tray", "border"}, 20}}), std::string(kJob) + "\n[tray]\nborder = 20\n");
    EXPECT_EQ(edited("a = 1", {{Kind::set, {"tray", "border"}, 20}}), "a = 1\n\n[tray]\nborder = 20\n");
    EXPECT_EQ(edited("", {{Kind::set, {"a"}, 1}}), "a = 1\n");
    EXPECT_EQ(edited("[x]\n", {{Kind::set, {"a"}, 1}}), "a = 1\n[x]\n");
    EXPECT_EQ(edited("a = 1 # end", {{Kind::set, {"b"}, true}}), "a = 1 # end\nb = true");
}

TEST(Edits, LineEndsOfTheFileAreKept) {
    std::string text = "title = \"x\"  # c\r\n\r\n[fit]\r\ndetail = 1\r\n";
    EXPECT_EQ(edited(text, {{Kind::set, {"fit", "clearance"}, 2}}), text + "clearance = 2\r\n");
    EXPECT_EQ(edited(text, {{Kind::append, {"sheet"}, {{"name", "a"}}}}), text + "\r\n[[sheet]]\r\nname = \"a\"\r\n");
}

TEST(Edits, DottedQuotedAndInlineKeys) {
    EXPECT_EQ(edited("fit.clearance = 1\nx = 2\n", {{Kind::set, {"fit", "detail"}, 3}}),
              "fit.clearance = 1\nfit.detail    = 3\nx = 2\n");
    EXPECT_EQ(edited("a = { b.c = 1, \"d e\" = 2 }\n", {{Kind::set, {"a", "b", "c"}, 3}}),
              "a = { b.c = 3, \"d e\" = 2 }\n");
    EXPECT_EQ(edited("a = { b = 1, \"d e\" = 2 }\n", {{Kind::remove, {"a", "d e"}, {}}}), "a = { b = 1 }\n");
    EXPECT_EQ(edited("'w*' = 1\n\"\\u00e4 b\" = 2 # ä\n", {{Kind::set, {"ä b"}, 5}, {Kind::set, {"w*"}, 4}}),
              "'w*' = 4\n\"\\u00e4 b\" = 5 # ä\n");
    EXPECT_EQ(edited("[a.b.c]\nx = 1\n", {{Kind::set, {"a", "y"}, 2}}), "[a.b.c]\nx = 1\n\n[a]\ny = 2\n");
    EXPECT_EQ(
        edited("[[s]]\n[s.sub]\nx = 1\n[[s]]\n[s.sub]\nx = 2\n", {{Kind::set, {"s", std::size_t{0}, "sub", "x"}, 9}}),
        "[[s]]\n[s.sub]\nx = 9\n[[s]]\n[s.sub]\nx = 2\n");
}

TEST(Edits, StringsOfAllKindsAreSteppedOver) {
    const std::string text = "a = \"\"\"\n[x]\nb = 1 # no \\\"\"\"\"\"\nc = '''q'''''\nd = '#'\nb = 2 # yes\n";
    EXPECT_EQ(edited(text, {{Kind::set, {"b"}, 3}}), replaced(text, "b = 2", "b = 3"));
}

TEST(Edits, WhatCannotBeIsRefused) {
    EXPECT_NE(refused(kJob, {Kind::set, {"sheet", std::size_t{7}, "name"}, "x"}).find("sheet[7].name"),
              std::string::npos);
    refused(kJob, {Kind::set, {"title", "x"}, 1});
    refused(kJob, {Kind::set, {"fit"}, 1});
    refused(kJob, {Kind::set, {"title"}, nullptr});
    refused(kJob, {Kind::set, {"fit", "detail"}, std::numeric_limits<double>::infinity()});
    refused(kJob, {Kind::set, {"fit", "detail"}, std::numeric_limits<std::uint64_t>::max()});
    refused(kJob, {Kind::set, {}, 1});
    refused(kJob, {Kind::remove, {"nothing"}, {}});
    refused(kJob, {Kind::append, {"title"}, {{"a", 1}}});
    refused(kJob, {Kind::append, {"sheet"}, 3});
    refused("a = ", {Kind::set, {"a"}, 1});
}

// ---- Properties ----------------------------------------------------------------------------------------------------

/// A document with comments on every kind of line, and the path of everything in it.
struct Document {
    std::string text;
    std::vector<Path> paths; ///< of values, at any depth
};

class Writer {
  public:
    Document run() {
        end_ = pick(0, 1) == 0 ? "\n" : "\r\n";
        entries({}, "");
        const int sections = pick(0, 4);
        for (int i = 0; i < sections; ++i) {
            const std::string name = "t" + std::to_string(i);
            const int elements = pick(0, 2); // 0: a plain table
            if (elements == 0) {
                line("[" + name + "]");
                entries({name}, "");
            }
            for (int k = 0; k < elements; ++k) {
                line("[[" + name + "]]");
                entries({name, static_cast<std::size_t>(k)}, pick(0, 1) == 0 ? "" : "  ");
            }
        }
        if (pick(0, 4) == 0 && !out_.text.empty()) out_.text.resize(out_.text.size() - end_.size());
        return out_;
    }

  private:
    static int pick(int low, int high) { return *rc::gen::inRange(low, high + 1); }
    void line(const std::string& text) {
        if (pick(0, 3) == 0) out_.text += "# note " + std::to_string(++note_) + " = [\"" + end_;
        out_.text += text;
        if (pick(0, 2) == 0) out_.text += "  # ä note " + std::to_string(++note_);
        out_.text += end_;
        if (pick(0, 3) == 0) out_.text += end_;
    }
    void entries(const Path& at, const std::string& indent) {
        const int count = pick(0, 4);
        for (int i = 0; i < count; ++i) {
            const std::string key = "k" + std::to_string(i) + (pick(0, 3) == 0 ? " é" : "");
            Path path = at;
            std::string written = key.size() > 2 ? "\"" + key + "\"" : key;
            if (pick(0, 4) == 0) {
                written = "d" + std::to_string(i) + " . " + written;
                path.emplace_back("d" + std::to_string(i));
            }
            path.emplace_back(key);
            line(indent + written + std::string(static_cast<std::size_t>(pick(0, 3)), ' ') + "= " + value(path, 0));
        }
    }
    std::string value(const Path& path, int depth) {
        out_.paths.push_back(path);
        switch (pick(0, depth < 3 ? 8 : 5)) {
        case 0:
            return "\"a # \\\" b\"";
        case 1:
            return "'lit \\'";
        case 2:
            return "1979-05-27 07:32:00";
        case 3:
            return std::to_string(pick(-9, 9));
        case 4:
            return "1.50";
        case 5:
            return depth == 0 ? "\"\"\"" + end_ + "two # \"\" lines" + end_ + "\"\"\"\"" : "true";
        case 6: {
            std::string text = "[";
            const int count = pick(0, 3);
            const bool lines = pick(0, 1) == 0;
            for (int i = 0; i < count; ++i) {
                Path item = path;
                item.emplace_back(static_cast<std::size_t>(i));
                if (lines) text += (pick(0, 1) == 0 ? "  # in array" : "") + end_ + "    ";
                text += value(item, depth + 1) + (i + 1 < count ? ", " : lines ? "," : "");
            }
            return text + (lines && count > 0 ? end_ : "") + "]";
        }
        default: {
            std::string text = "{";
            const int count = pick(0, 3);
            for (int i = 0; i < count; ++i) {
                Path entry = path;
                entry.emplace_back("i" + std::to_string(i));
                text += (i > 0 ? ", i" : " i") + std::to_string(i) + " = " + value_on_one_line(entry, depth + 1);
            }
            return text + " }";
        }
        }
    }
    std::string value_on_one_line(const Path& path, int depth) {
        const std::string end = std::exchange(end_, " ");
        const std::size_t known = out_.paths.size();
        std::string text = value(path, depth);
        end_ = end;
        if (text.find('#') == std::string::npos || text.find("# in array") == std::string::npos) return text;
        out_.paths.resize(known + 1);
        return "7";
    }

    Document out_;
    std::string end_ = "\n";
    int note_ = 0;
};

Json some_value() {
    switch (*rc::gen::inRange(0, 6)) {
    case 0:
        return *rc::gen::inRange(-1000, 1000);
    case 1:
        return *rc::gen::inRange(-1000, 1000) / 8.0;
    case 2:
        return "text \"ä\" \\ " + *rc::gen::string<std::string>().as("text");
    case 3:
        return *rc::gen::inRange(0, 2) == 0;
    case 4:
        return Json::array({1, "two", Json::array({3})});
    default:
        return Json{{"a", 1}, {"b c", Json::array({2.5})}};
    }
}

std::vector<std::string> comments_of(const std::string& text) {
    std::vector<std::string> found;
    for (std::size_t at = text.find("note "); at != std::string::npos; at = text.find("note ", at + 1))
        found.push_back(text.substr(at, text.find_first_of("\r\n", at) - at));
    return found;
}

/// Are all lines of `kept` in `text`, in their order?
bool lines_kept(const std::string& kept, const std::string& text) {
    std::istringstream before(kept), after(text);
    std::string line, other;
    const auto trimmed = [](std::string s) { return s.ends_with('\r') ? s.substr(0, s.size() - 1) : s; };
    while (std::getline(before, line)) {
        bool found = false;
        while (!found && std::getline(after, other))
            found = trimmed(line) == trimmed(other);
        if (!found) return false;
    }
    return true;
}

RC_GTEST_PROP(EditsProperty, ANewKeyLeavesEveryLineAsItWas, ()) {
    const Document document = Writer().run();
    RC_PRE(bool(edit_toml(document.text, "x", {})));
    const Json value = some_value();
    const auto result = edit_toml(document.text, "x", {{Kind::set, {"fresh"}, value}});
    if (!result) { // strings that are no UTF-8
        RC_ASSERT(value.is_string());
        RC_DISCARD("not UTF-8");
    }
    RC_ASSERT(lines_kept(document.text, result.value()));
}

RC_GTEST_PROP(EditsProperty, ASetValueIsThereAndCommentsStay, ()) {
    const Document document = Writer().run();
    RC_PRE(bool(edit_toml(document.text, "x", {})) && !document.paths.empty());
    const Path path = *rc::gen::elementOf(document.paths);
    const Json value = *rc::gen::inRange(0, 1000);
    const auto result = edit_toml(document.text, "x", {{Kind::set, path, value}});
    RC_ASSERT(result.ok()); // edit_toml itself compares everything else
    RC_ASSERT(comments_of(result.value()) == comments_of(document.text));
    const auto again = edit_toml(result.value(), "x", {{Kind::set, path, value}});
    RC_ASSERT(again.ok() && again.value() == result.value());
}

RC_GTEST_PROP(EditsProperty, RemovingGivesAWholeFileWithoutTheKey, ()) {
    const Document document = Writer().run();
    RC_PRE(bool(edit_toml(document.text, "x", {})) && !document.paths.empty());
    const Path path = *rc::gen::elementOf(document.paths);
    const auto result = edit_toml(document.text, "x", {{Kind::remove, path, {}}});
    RC_LOG() << (document.text + (result ? "" : to_string(result.problem())));
    RC_ASSERT(result.ok());
    RC_ASSERT(result.value().size() < document.text.size());
}

RC_GTEST_PROP(EditsProperty, AppendedElementsComeLast, ()) {
    const Document document = Writer().run();
    RC_PRE(bool(edit_toml(document.text, "x", {})));
    const Json element{{"name", "new"}, {"size", {1, 2.5}}};
    const auto result =
        edit_toml(document.text, "x", {{Kind::append, {"sheet"}, element}, {Kind::append, {"sheet"}, element}});
    RC_ASSERT(result.ok());
    RC_ASSERT(lines_kept(document.text, result.value()));
}

TEST(Edits, DocumentsOfThePropertiesAreMostlyRight) {
    // The generator must give texts that TOML takes, or the properties above would test nothing.
    int right = 0;
    rc::check("documents", [&] { right += edit_toml(Writer().run().text, "x", {}).ok() ? 1 : 0; });
    EXPECT_GT(right, 80);
}

} // namespace
} // namespace kerfwright::edits
