// The program itself: how it starts and ends, and that killing it at any moment leaves job and outputs whole.

#include "client.hpp"
#include "small_job.hpp"

#include "job/output.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <spawn.h>
#include <sys/wait.h>

#include <chrono>
#include <csignal>
#include <thread>

extern char** environ;

namespace kerfwright::page {
namespace {

using Json = nlohmann::ordered_json;
const std::string kProgram = std::string(KERFWRIGHT_BINARY_DIR) + "/kerfwright";

/// `kerfwright page`, running.
class Running {
  public:
    explicit Running(const std::filesystem::path& job, std::vector<std::string> more = {}) {
        int ends[2];
        if (::pipe(ends) != 0) return;
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
        posix_spawn_file_actions_addclose(&actions, ends[0]);
        std::vector<std::string> words{kProgram, "page", "--no-open", "--threads", "1", job.string()};
        words.insert(words.end(), more.begin(), more.end());
        std::vector<char*> arguments;
        for (std::string& word : words)
            arguments.push_back(word.data());
        arguments.push_back(nullptr);
        ::posix_spawn(&pid_, kProgram.c_str(), &actions, nullptr, arguments.data(), environ);
        posix_spawn_file_actions_destroy(&actions);
        ::close(ends[1]);
        char byte = 0;
        while (::read(ends[0], &byte, 1) == 1 && byte != '\n')
            said_ += byte;
        ::close(ends[0]);
        port_ = std::atoi(said_.c_str() + std::string("http://127.0.0.1:").size());
        token_ = said_.substr(said_.find('#') + 1);
    }
    ~Running() {
        if (pid_ > 0) static_cast<void>(end(SIGKILL));
    }
    Running(const Running&) = delete;
    Running& operator=(const Running&) = delete;

    [[nodiscard]] const std::string& said() const { return said_; }
    /// The exit status, or 128 + the signal.
    int end(int signal) {
        ::kill(pid_, signal);
        int status = 0;
        ::waitpid(pid_, &status, 0);
        pid_ = 0;
        return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    }
    [[nodiscard]] Json ask(const std::string& method, const std::string& path, const std::string& body = "") const {
        const std::string reply =
            page::ask(port_,
                      method + " " + path + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port_) +
                          "\r\nConnection: close\r\nX-Kerfwright-Token: " + token_ +
                          "\r\nContent-Length: " + std::to_string(body.size()) + "\r\n",
                      body);
        const std::size_t at = reply.find("\r\n\r\n");
        return at == std::string::npos ? Json() : Json::parse(reply.substr(at + 4), nullptr, false);
    }
    void plan() const {
        static_cast<void>(ask("POST", "/api/plan"));
        while (ask("GET", "/api/state")["plan"]["state"] == "running")
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    /// Resident memory, MB.
    [[nodiscard]] double memory() const {
        std::ifstream statm("/proc/" + std::to_string(pid_) + "/statm");
        double size = 0, resident = 0;
        statm >> size >> resident;
        return resident * static_cast<double>(::sysconf(_SC_PAGESIZE)) / (1 << 20);
    }

  private:
    pid_t pid_ = 0;
    int port_ = 0;
    std::string said_, token_;
};

TEST(Program, SaysItsAddressAndEndsWhenAsked) {
    const support::TempFolder folder;
    for (const int signal : {SIGTERM, SIGINT}) {
        Running page(write_job(folder));
        EXPECT_TRUE(page.said().starts_with("http://127.0.0.1:")) << page.said();
        EXPECT_EQ(page.ask("GET", "/api/state")["job"]["title"], "Squares");
        EXPECT_EQ(page.end(signal), 0);
    }
}

TEST(Program, RefusesWhatItCannotOpen) {
    const support::Outcome none = support::kerfwright("page --no-open /nowhere/job.toml");
    EXPECT_EQ(none.status, 2);
    EXPECT_NE(none.err.find("/nowhere/job.toml"), std::string::npos);
    EXPECT_EQ(support::kerfwright("page --no-open --port 99999").status, 2);
}

TEST(Program, KilledWhileItSavesTheJobIsWhole) {
    const support::TempFolder folder;
    const std::filesystem::path job = write_job(folder);
    for (int round = 0; round < 6; ++round) {
        Running page(job);
        std::jthread saving([&](const std::stop_token& over) {
            for (int i = 0; !over.stop_requested(); ++i) {
                const Json now = page.ask("GET", "/api/job");
                if (!now.is_object() || !now.contains("revision")) return;
                const Json edits{{{"path", {"title"}}, {"value", std::string(static_cast<std::size_t>(i % 50), 'x')}}};
                static_cast<void>(
                    page.ask("POST", "/api/job/edits",
                             Json{{"revision", now["revision"]}, {"label", "x"}, {"edits", edits}}.dump()));
            }
        });
        std::this_thread::sleep_for(std::chrono::milliseconds(40 + 13 * round));
        EXPECT_EQ(page.end(SIGKILL), 128 + SIGKILL);
        saving.request_stop();
        saving.join();
        const auto read = job::load_job(job);
        ASSERT_TRUE(read.ok()) << to_string(read.problem());
        EXPECT_TRUE(support::text_of(job).ends_with("cutters = [\"flat-3\", \"flat-6\"]\n"));
    }
}

TEST(Program, KilledWhileItPlansTheOutputIsWhole) {
    const support::TempFolder folder;
    const std::filesystem::path job = write_job(folder), out = folder.path() / "out";
    {
        const Running page(job);
        page.plan();
    }
    ASSERT_TRUE(job::read_output(out).ok());
    for (int round = 0; round < 8; ++round) {
        Running page(job);
        static_cast<void>(page.ask("POST", "/api/plan"));
        std::this_thread::sleep_for(std::chrono::milliseconds(30 * round));
        EXPECT_EQ(page.end(SIGKILL), 128 + SIGKILL);
        const auto plan = job::read_output(out);
        ASSERT_TRUE(plan.ok()) << to_string(plan.problem());
        for (const char* name : {"proof.json", "papers/job.pdf", "papers/quote.pdf", "pictures/set.svg"})
            EXPECT_GT(std::filesystem::file_size(out / name), 0u) << name;
        EXPECT_EQ(support::text_of(job), kJob);
    }
}

TEST(Program, MemoryStaysFlatOverManyPlans) {
    if (kSanitized) GTEST_SKIP() << "a sanitizer keeps what is freed";
    const support::TempFolder folder;
    const Running page(write_job(folder));
    const auto plans = [&](int count) {
        for (int i = 0; i < count; ++i) {
            // Another gap each time, so that every stage is made anew.
            const Json now = page.ask("GET", "/api/job");
            const Json edits{{{"path", {"fit", "clearance"}}, {"value", i % 2 == 0 ? 0.25 : 0.35}}};
            static_cast<void>(page.ask("POST", "/api/job/edits",
                                       Json{{"revision", now["revision"]}, {"label", "gap"}, {"edits", edits}}.dump()));
            page.plan();
            EXPECT_EQ(page.ask("GET", "/api/state")["plan"]["state"], "done");
        }
    };
    plans(5);
    const double before = page.memory();
    const char* many = std::getenv("KERFWRIGHT_PLANS"); // 500 to be thorough
    plans(many != nullptr ? std::atoi(many) : 25);
    RecordProperty("grown_MB", std::to_string(page.memory() - before));
    EXPECT_LT(page.memory() - before, 10) << "MB grown from " << before;
}

} // namespace
} // namespace kerfwright::page
