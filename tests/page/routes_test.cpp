// The routes without sockets: requests and replies as values.

#include "small_job.hpp"

#include "page/archive.hpp"
#include "page/routes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <thread>

namespace kerfwright::page {
namespace {

class Routes : public ::testing::Test {
  protected:
    void open() {
        const Outcome outcome = desk.session.open(write_job(folder));
        ASSERT_TRUE(std::holds_alternative<OpenedPtr>(outcome));
        desk.planner.look_at_disk(*std::get<OpenedPtr>(outcome));
    }
    Reply reply(const std::string& method, const std::string& path, const std::string& body = "",
                std::map<std::string, std::string> query = {}) {
        return answer(desk, {method, path, std::move(query), {}, body});
    }
    Json get(const std::string& path, std::map<std::string, std::string> query = {}, int status = 200) {
        const Reply answered = reply("GET", path, "", std::move(query));
        EXPECT_EQ(answered.status, status) << path << *answered.body;
        return Json::parse(*answered.body);
    }
    Json post(const std::string& path, const Json& body, int status = 200) {
        const Reply answered = reply("POST", path, body.dump());
        EXPECT_EQ(answered.status, status) << path << *answered.body;
        return Json::parse(*answered.body);
    }
    Json edit(const Json& edits, int status = 200, const std::string& label = "change") {
        return post("/api/job/edits", {{"revision", revision()}, {"label", label}, {"edits", edits}}, status);
    }
    std::string revision() { return desk.session.opened()->revision; }
    std::string text(const std::string& name) { return support::text_of(folder.path() / name); }
    void plan() {
        EXPECT_EQ(reply("POST", "/api/plan").status, 202);
        while (desk.planner.standing().state == Planner::State::running)
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        ASSERT_EQ(desk.planner.standing().state, Planner::State::done)
            << (desk.planner.standing().problem ? to_string(*desk.planner.standing().problem) : "");
    }

    support::TempFolder folder;
    Desk desk{"1.2.3", folder.path(), {}, Planner(1)};
};

TEST_F(Routes, WithoutAJobThereIsNothingButAState) {
    const Json state = get("/api/state");
    EXPECT_EQ(state["version"], "1.2.3");
    EXPECT_TRUE(state["job"].is_null());
    EXPECT_EQ(state["plan"]["state"], "none");
    EXPECT_EQ(state["plan"]["stages"], Json::array());
    for (const char* path : {"/api/job", "/api/drawing", "/api/plan", "/api/proof", "/api/files.zip", "/api/detail"})
        EXPECT_FALSE(get(path, {}, 404)["problem"]["what"].get<std::string>().empty()) << path;
    EXPECT_EQ(reply("POST", "/api/plan").status, 404);
    EXPECT_GT(get("/api/shop")["materials"].size(), 10u);
}

TEST_F(Routes, UnknownPlacesAndMethods) {
    get("/api/nothing", {}, 404);
    get("/api/../job.toml", {}, 404);
    EXPECT_EQ(reply("DELETE", "/api/job").status, 405);
    EXPECT_EQ(reply("POST", "/api/state").status, 405);
}

TEST_F(Routes, TheJobAsValues) {
    open();
    const Json job = get("/api/job");
    EXPECT_EQ(job["title"], "Squares");
    EXPECT_EQ(job["units"], "mm");
    EXPECT_TRUE(job["problem"].is_null());
    EXPECT_EQ(job["text"], kJob);
    EXPECT_EQ(job["materials"], (Json{{"left", "mdf"}, {"right", "mdf"}}));
    EXPECT_TRUE(job["tray"].is_null());
    EXPECT_EQ(job["sheets"][0]["size"], (Json{300.0, 200.0}));
    EXPECT_TRUE(job["sheets"][0]["price"].is_null());
    EXPECT_EQ(get("/api/state")["job"]["revision"], job["revision"]);
}

TEST_F(Routes, AJobWithAFaultIsShownWithIt) {
    folder.write("squares.svg", kDrawing);
    folder.write("job.toml", "format = 1\ntitle = 3\n");
    ASSERT_TRUE(std::holds_alternative<OpenedPtr>(desk.session.open(folder.path() / "job.toml")));
    const Json job = get("/api/job");
    EXPECT_EQ(job["problem"]["line"], 2);
    EXPECT_FALSE(job.contains("title"));
    EXPECT_EQ(reply("POST", "/api/plan").status, 400);
    // The whole text mends it.
    post("/api/job/text", {{"revision", revision()}, {"label", "mend"}, {"text", kJob}});
    EXPECT_TRUE(get("/api/job")["problem"].is_null());
}

TEST_F(Routes, TheDrawingWithItsSeams) {
    open();
    const Json drawing = get("/api/drawing");
    EXPECT_NEAR(drawing["width"].get<double>(), 100, 1e-6);
    ASSERT_EQ(drawing["regions"].size(), 2u);
    EXPECT_EQ(drawing["regions"][0]["fill"], "#aa0000");
    EXPECT_EQ(drawing["regions"][0]["parts"][0][0].size(), 4u);
    double inner = 0, outer = 0;
    for (const Json& seam : drawing["seams"])
        (seam["b"] == "outside" ? outer : inner) += seam["length"].get<double>();
    EXPECT_NEAR(inner, 50, 1e-3);
    EXPECT_NEAR(outer, 300, 1e-3);
}

TEST_F(Routes, AnEditIsWrittenUndoneAndRedone) {
    open();
    const std::string before = revision();
    const Json job = edit({{{"path", {"fit", "clearance"}}, {"value", 0.25}}}, 200, "gap");
    EXPECT_EQ(job["fit"]["clearance"], 0.25);
    EXPECT_NE(text("job.toml").find("clearance = 0.25   # gap"), std::string::npos);
    EXPECT_EQ(get("/api/state")["job"]["undo"], "gap");
    EXPECT_EQ(post("/api/job/undo", {{"revision", revision()}})["revision"], before);
    EXPECT_EQ(text("job.toml"), kJob);
    EXPECT_EQ(get("/api/state")["job"]["redo"], "gap");
    EXPECT_TRUE(get("/api/state")["job"]["undo"].is_null());
    post("/api/job/redo", {{"revision", revision()}});
    EXPECT_NE(text("job.toml").find("0.25"), std::string::npos);
    // A new change ends what could be redone.
    post("/api/job/undo", {{"revision", revision()}});
    edit({{{"path", {"title"}}, {"value", "New"}}});
    EXPECT_TRUE(get("/api/state")["job"]["redo"].is_null());
    post("/api/job/redo", {{"revision", revision()}}, 400);
}

TEST_F(Routes, ASheetIsAppendedAndAPatternGiven) {
    open();
    const Json sheet{{"name", "oak-a"}, {"material", "oak"}, {"size", {200, 100}}, {"thickness", 5.5}};
    const Json job = edit({{{"append", "sheet"}, {"value", sheet}}, {{"path", {"pieces", "left"}}, {"value", "oak"}}});
    EXPECT_EQ(job["sheets"].size(), 2u);
    EXPECT_EQ(job["materials"], (Json{{"left", "oak"}, {"right", "mdf"}}));
    edit({{{"path", {"pieces", "left"}}, {"remove", true}}, {{"path", {"sheet", 1}}, {"remove", true}}});
    EXPECT_EQ(get("/api/job")["sheets"].size(), 1u);
}

TEST_F(Routes, WhatTheJobFileDoesNotTakeIsRefusedAndNothingIsWritten) {
    open();
    const Json refused = edit({{{"path", {"pieces", "left"}}, {"value", "moon-cheese"}}}, 400);
    EXPECT_NE(refused["problem"]["what"].get<std::string>().find("moon-cheese"), std::string::npos);
    EXPECT_GT(refused["problem"]["line"].get<int>(), 0);
    edit({{{"path", {"sheet", 9, "name"}}, {"value", "x"}}}, 400);
    edit({{{"path", {1.5}}, {"value", "x"}}}, 400);
    edit({{{"path", {"title"}}, {"value", nullptr}}}, 400);
    edit(Json::array({3}), 400);
    edit("nothing", 400);
    EXPECT_EQ(text("job.toml"), kJob);
}

TEST_F(Routes, StaleRevisionsAndForeignChangesAreNoticed) {
    open();
    const std::string old = revision();
    edit({{{"path", {"title"}}, {"value", "Mine"}}});
    post("/api/job/edits", {{"revision", old}, {"label", "x"}, {"edits", Json::array()}}, 409);
    post("/api/job/undo", {{"revision", old}}, 409);

    const std::string theirs = std::string(kJob) + "# theirs\n";
    folder.write("job.toml", theirs);
    EXPECT_TRUE(get("/api/state")["job"]["changed_on_disk"].get<bool>());
    edit({{{"path", {"title"}}, {"value", "Mine again"}}}, 409);
    post("/api/job/undo", {{"revision", revision()}}, 409);
    EXPECT_EQ(text("job.toml"), theirs);
    EXPECT_EQ(post("/api/job/reload", Json::object())["text"], theirs);
    EXPECT_FALSE(get("/api/state")["job"]["changed_on_disk"].get<bool>());
    // What stood before is not lost.
    EXPECT_NE(post("/api/job/undo", {{"revision", revision()}})["text"].get<std::string>().find("Mine"),
              std::string::npos);
}

TEST_F(Routes, ADrawingThatChangedOnDiskIsNoticed) {
    open();
    std::string wider = kDrawing;
    wider.replace(wider.find("id=\"left\" x=\"0\""), 15, "id=\"left\" x=\"-5\"");
    wider.replace(wider.find("width=\"50\""), 10, "width=\"55\"");
    folder.write("squares.svg", wider);
    EXPECT_TRUE(get("/api/state")["job"]["changed_on_disk"].get<bool>());
    post("/api/job/reload", Json::object());
    EXPECT_FALSE(get("/api/state")["job"]["changed_on_disk"].get<bool>());
    EXPECT_NEAR(get("/api/drawing")["width"].get<double>(), 105, 1e-6);
}

TEST_F(Routes, BodiesThatAreNoGoodJson) {
    open();
    const std::string deep(100'000, '[');
    for (const std::string& body : {std::string("{"), std::string(), std::string("[]"), std::string("\xff\xfe"),
                                    std::string("{\"revision\": 3}"), deep, "{\"a\":" + deep})
        for (const char* path : {"/api/job/edits", "/api/job/text", "/api/job/undo", "/api/layout/check"})
            EXPECT_EQ(reply("POST", path, body).status, 400) << path << body.substr(0, 20);
}

TEST_F(Routes, ADroppedDrawingStartsAJobBesideTheOthers) {
    for (const char* expected : {"squares", "squares-2"}) {
        const Reply made = reply("POST", "/api/drawing", kDrawing, {{"name", "../x/squares.svg"}, {"width", "200"}});
        ASSERT_EQ(made.status, 200) << *made.body;
        EXPECT_EQ(Json::parse(*made.body)["path"], (folder.path() / expected / "job.toml").string());
    }
    EXPECT_NEAR(get("/api/drawing")["width"].get<double>(), 200, 1e-6);
    EXPECT_EQ(reply("POST", "/api/drawing", "no drawing", {{"name", "a.svg"}}).status, 400);
    EXPECT_EQ(reply("POST", "/api/drawing", kDrawing, {}).status, 400);
    EXPECT_EQ(reply("POST", "/api/drawing", kDrawing, {{"name", "a.svg"}, {"width", "-1"}}).status, 400);
    EXPECT_FALSE(std::filesystem::exists(folder.path() / "a"));
}

TEST_F(Routes, FeedsArePlannedAndJudged) {
    std::map<std::string, std::string> query{
        {"material", "mdf"}, {"cutter", "flat-6"}, {"step", "profile"}, {"depth", "6"}};
    const Json plan = get("/api/feeds", query);
    EXPECT_FALSE(plan["binding"].get<std::string>().empty());
    query["vf"] = "100000";
    const Json judged = get("/api/feeds", query);
    EXPECT_EQ(judged["n"], plan["n"]);
    EXPECT_EQ(judged["binding"], "");
    query["n"] = "nan";
    get("/api/feeds", query, 400);
    get("/api/feeds", {{"material", "moon"}, {"cutter", "flat-6"}, {"step", "profile"}, {"depth", "6"}}, 400);
    get("/api/feeds", {}, 400);
}

TEST_F(Routes, APlanIsMadeShownAndKept) {
    open();
    plan();
    const Json state = get("/api/state")["plan"];
    EXPECT_EQ(state["of"], revision());
    EXPECT_EQ(state["verdict"], get("/api/proof")["verdict"]);
    for (const Json& stage : state["stages"])
        EXPECT_TRUE(stage["state"] == "done" || stage["state"] == "kept") << stage;
    const Json made = get("/api/plan");
    EXPECT_EQ(made["pieces"].size(), 2u);
    EXPECT_EQ(text("out/plan.json"), *reply("GET", "/api/plan").body);
    const std::string program = made["setups"][0]["programs"][0]["file"];
    EXPECT_EQ(*reply("GET", "/api/file", "", {{"path", program}}).body, text("out/" + program));
    EXPECT_EQ(reply("GET", "/api/file", "", {{"path", "papers/job.pdf"}}).type, "application/pdf");
    for (const char* path : {"../job.toml", "/etc/passwd", "out/plan.json", "programs/../plan.json", ""})
        EXPECT_EQ(reply("GET", "/api/file", "", {{"path", path}}).status, 404) << path;

    // The same again: nothing that has not changed is made anew.
    plan();
    std::size_t kept = 0;
    const Json again = get("/api/state")["plan"];
    for (const Json& stage : again["stages"])
        kept += stage["state"] == "kept" ? 1 : 0;
    EXPECT_GE(kept, 3u) << again;
    EXPECT_GT(again["serial"], state["serial"]);

    // Somebody else who opens it finds the plan on disk, with the same answers.
    Desk other{"", folder.path(), {}, Planner(1)};
    const Outcome outcome = other.session.open(folder.path() / "job.toml");
    other.planner.look_at_disk(*std::get<OpenedPtr>(outcome));
    EXPECT_EQ(other.planner.standing().of, again["of"]);
    EXPECT_EQ(other.planner.standing().verdict, state["verdict"]);
    const std::map<std::string, std::string> setup{{"setup", "a"}};
    EXPECT_EQ(*answer(other, {"GET", "/api/replay", setup, {}, ""}).body, *reply("GET", "/api/replay", "", setup).body);
}

TEST_F(Routes, ALayoutByHandIsJudgedAndCompleted) {
    open();
    plan();
    Json placed = Json::array();
    const Json made = get("/api/plan");
    for (const Json& piece : made["pieces"])
        placed.push_back({{"piece", piece["id"]},
                          {"sheet", piece["sheet"]},
                          {"at", {piece["placement"]["x"], piece["placement"]["y"]}},
                          {"angle", piece["placement"]["angle_deg"]}});
    EXPECT_EQ(post("/api/layout/check", {{"placed", placed}})["clashes"], Json::array());
    Json wrong = placed;
    wrong[0] = placed[1];
    wrong[0]["piece"] = placed[0]["piece"];
    wrong[1]["at"] = {5000, 0};
    const Json clashes = post("/api/layout/check", {{"placed", wrong}})["clashes"];
    ASSERT_FALSE(clashes.empty());
    EXPECT_FALSE(clashes[0]["text"].get<std::string>().empty());
    wrong[1]["at"] = {1e300, 0};
    post("/api/layout/check", {{"placed", wrong}}, 400);

    const Json again = post("/api/layout/place", {{"placed", Json::array({placed[0]})}})["placed"];
    ASSERT_EQ(again.size(), 2u);
    for (const Json& one : again) {
        const bool given = one["piece"] == placed[0]["piece"];
        EXPECT_EQ(one["locked"], given);
        EXPECT_TRUE(!given || one["at"] == placed[0]["at"]) << one;
    }
}

TEST_F(Routes, TheReplayHasColumnsOfOneLengthAndEndsInThePlannedSurface) {
    open();
    plan();
    const Json replay = get("/api/replay", {{"setup", "a"}});
    for (const char* part : {"path", "loads"})
        for (const auto& [name, column] : replay[part].items())
            EXPECT_EQ(column.size(), replay[part]["t"].size()) << part << name;
    EXPECT_GT(replay["path"]["t"].size(), 10u);
    const std::string end = std::to_string(replay["time"].get<double>());
    const Reply surface = reply("GET", "/api/surface", "", {{"setup", "a"}, {"t", end}, {"cells", "100"}});
    ASSERT_EQ(surface.status, 200);
    const Json header = Json::parse(surface.headers.at(0).second);
    ASSERT_EQ(surface.body->size(), 4 * header["columns"].get<std::size_t>() * header["rows"].get<std::size_t>());
    float lowest = 1e9f, highest = -1e9f;
    for (std::size_t at = 0; at < surface.body->size(); at += 4) {
        float z = 0;
        std::memcpy(&z, surface.body->data() + at, 4);
        lowest = std::min(lowest, z);
        highest = std::max(highest, z);
    }
    EXPECT_NEAR(highest, 6, 1e-5);
    EXPECT_LT(lowest, 1);
    get("/api/replay", {{"setup", "nothing"}}, 404);
    EXPECT_EQ(reply("GET", "/api/surface", "", {{"setup", "a"}, {"t", "x"}, {"cells", "100"}}).status, 400);
    EXPECT_EQ(reply("GET", "/api/surface", "", {{"setup", "a"}, {"t", "-1e9"}, {"cells", "1e9"}}).status, 200);
}

TEST_F(Routes, TheArchiveHoldsProgramsAndPapersAndIsTheSameEachTime) {
    open();
    plan();
    const std::string archive = *reply("GET", "/api/files.zip").body;
    EXPECT_EQ(archive.substr(0, 4), "PK\x03\x04");
    EXPECT_NE(archive.find("papers/job.pdf"), std::string::npos);
    EXPECT_EQ(archive.find("plan.json"), std::string::npos);
    const job::OutputFile one{"a.nc", std::string(10'000, 'x')};
    const auto first = zip_of({&one}), second = zip_of({&one});
    ASSERT_TRUE(first.ok() && second.ok());
    EXPECT_EQ(first.value(), second.value());
    EXPECT_LT(first.value().size(), 1000u);
    EXPECT_EQ(*reply("GET", "/api/files.zip").body, archive);
}

TEST_F(Routes, AStoppedPlanWritesNothing) {
    open();
    EXPECT_EQ(reply("POST", "/api/plan").status, 202);
    EXPECT_EQ(reply("DELETE", "/api/plan").status, 200);
    const auto state = desk.planner.standing().state;
    EXPECT_TRUE(state == Planner::State::stopped || state == Planner::State::done);
    EXPECT_EQ(reply("GET", "/api/plan").status, state == Planner::State::stopped ? 404 : 200);
    plan(); // and it can be started again
    EXPECT_EQ(reply("GET", "/api/plan").status, 200);
}

TEST_F(Routes, ManyThreadsAskAndChangeAtOnce) {
    open();
    std::atomic<int> faults = 0;
    {
        std::vector<std::jthread> threads;
        for (int i = 0; i < 4; ++i)
            threads.emplace_back([&, i] {
                for (int k = 0; k < 30; ++k) {
                    const Json body{{"revision", revision()},
                                    {"label", "x"},
                                    {"edits", {{{"path", {"title"}}, {"value", std::to_string(i * 100 + k)}}}}};
                    const int status = reply("POST", "/api/job/edits", body.dump()).status;
                    if (status != 200 && status != 409) ++faults;
                    if (k % 10 == 0) static_cast<void>(reply("POST", "/api/plan"));
                    for (const char* path : {"/api/state", "/api/job", "/api/drawing"})
                        if (reply("GET", path).status != 200) ++faults;
                }
            });
    }
    EXPECT_EQ(faults, 0);
    EXPECT_EQ(text("job.toml"), desk.session.opened()->text);
}

} // namespace
} // namespace kerfwright::page
