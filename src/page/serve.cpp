#include "page/serve.hpp"

#include "page/browser.hpp"
#include "page/http.hpp"

#include <malloc.h>

#include <csignal>
#include <optional>
#include <thread>

namespace kerfwright::page {
namespace {

sigset_t ending_signals() {
    sigset_t signals;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    return signals;
}

/// Waits for a signal to end and stops the server.
void watch(const std::stop_token& over, HttpServer& server) {
    constexpr timespec kSlice{0, 100'000'000};
    const sigset_t signals = ending_signals();
    bool asked = false;
    while (!over.stop_requested()) {
        asked = ::sigtimedwait(&signals, nullptr, &kSlice) > 0 || asked;
        if (asked) server.stop(); // again until it has seen it: it may only just be starting
    }
}

} // namespace

Result<Done> serve(const ServeOptions& options) {
    // Signals are blocked before the first thread begins, so that only the one that waits for them gets them.
    ::mallopt(M_ARENA_MAX, 4); // not one heap of holes for each of many threads
    const sigset_t signals = ending_signals();
    pthread_sigmask(SIG_BLOCK, &signals, nullptr);

    Desk desk{options.version, options.folder, {}, Planner(options.threads)};
    if (options.job) {
        const Outcome outcome = desk.session.open(*options.job);
        if (const auto* refusal = std::get_if<Refusal>(&outcome)) return refusal->problem;
        desk.planner.look_at_disk(*std::get<OpenedPtr>(outcome));
    }
    const std::string token = fresh_token();
    HttpServer server(desk, token);
    if (!server.bind(options.port))
        return Problem{"", 0, 0, "port " + std::to_string(options.port) + " of 127.0.0.1 cannot be had",
                       "leave --port out to take a free one"};
    const std::string address = "http://127.0.0.1:" + std::to_string(server.port()) + "/#" + token;
    if (options.announce) options.announce(address, server.port());
    std::optional<OpenedInBrowser> browser;
    if (options.open_browser) browser.emplace(address);
    const std::jthread watcher([&](const std::stop_token& over) { watch(over, server); });
    server.run();
    return Done{};
}

} // namespace kerfwright::page
