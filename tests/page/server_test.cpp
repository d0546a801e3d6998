// The server through sockets: who may come in, and what bad clients can do.

#include "client.hpp"
#include "small_job.hpp"

#include "page/http.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <thread>

namespace kerfwright::page {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point begin) {
    return std::chrono::duration<double>(Clock::now() - begin).count();
}

/// Largest memory this process ever had, MB.
double peak_memory() {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.starts_with("VmHWM:")) return std::atof(line.c_str() + 6) / 1024;
    return 0;
}

class Server : public ::testing::Test {
  protected:
    void SetUp() override {
        static_cast<void>(desk.session.open(write_job(folder)));
        ASSERT_TRUE(server.bind(0));
        thread = std::jthread([this] { server.run(); });
    }
    void TearDown() override { server.stop(); }

    [[nodiscard]] std::string head(const std::string& method, const std::string& path,
                                   const std::string& more = "") const {
        return method + " " + path + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) +
               "\r\nConnection: close\r\n" + more;
    }
    [[nodiscard]] std::string with_token(const std::string& more = "") const {
        return "X-Kerfwright-Token: " + token + "\r\n" + more;
    }
    [[nodiscard]] int status(const std::string& request, const std::string& body = "") const {
        return status_of(ask(server.port(), request, body));
    }

    const std::string token = fresh_token();
    support::TempFolder folder;
    Desk desk{"", folder.path(), {}, Planner(1)};
    HttpServer server{desk, token};
    std::jthread thread;
};

TEST(Token, IsFreshAndComparedWhole) {
    const std::string token = fresh_token();
    EXPECT_EQ(token.size(), 32u);
    EXPECT_NE(token, fresh_token());
    EXPECT_TRUE(same_token(token, token));
    EXPECT_FALSE(same_token(token.substr(1), token));
    EXPECT_FALSE(same_token("", token));
    std::string other = token;
    other.back() = other.back() == '0' ? '1' : '0';
    EXPECT_FALSE(same_token(other, token));
}

TEST_F(Server, OnlyWithTheTokenOfThisStart) {
    EXPECT_EQ(status(head("GET", "/api/state", with_token())), 200);
    EXPECT_EQ(status(head("GET", "/api/state")), 403);
    EXPECT_EQ(status(head("GET", "/api/state", "X-Kerfwright-Token: " + fresh_token() + "\r\n")), 403);
    EXPECT_EQ(status(head("GET", "/api/state?X-Kerfwright-Token=" + token)), 403);
    EXPECT_EQ(status(head("POST", "/api/plan", "Content-Length: 0\r\n")), 403);
    EXPECT_EQ(desk.planner.standing().state, Planner::State::none);
}

TEST_F(Server, OnlyFromThisPlaceToThisPlace) {
    const std::string port = std::to_string(server.port());
    const auto asked = [&](const std::string& host, const std::string& more) {
        return status("GET /api/state HTTP/1.1\r\nConnection: close\r\n" + host + with_token(more));
    };
    const std::string here = "Host: 127.0.0.1:" + port + "\r\n";
    EXPECT_EQ(asked(here, "Origin: http://127.0.0.1:" + port + "\r\n"), 200);
    EXPECT_EQ(asked("Host: localhost:" + port + "\r\n", ""), 200);
    EXPECT_EQ(asked(here, "Origin: http://localhost:" + port + "\r\n"), 403);
    for (const char* origin : {"http://evil.example", "null", "https://127.0.0.1"})
        EXPECT_EQ(asked(here, std::string("Origin: ") + origin + "\r\n"), 403) << origin;
    for (const std::string& host :
         {std::string("evil.example:") + port, std::string("127.0.0.1"), std::string("127.0.0.1:1"), std::string()})
        EXPECT_EQ(asked("Host: " + host + "\r\n", ""), 403) << host;
    EXPECT_EQ(asked("", ""), 403);
}

TEST_F(Server, FilesAreServedByNameOnly) {
    const std::string index = ask(server.port(), head("GET", "/"));
    EXPECT_EQ(status_of(index), 200);
    EXPECT_NE(index.find("Content-Security-Policy: default-src 'none'"), std::string::npos);
    EXPECT_NE(index.find("X-Content-Type-Options: nosniff"), std::string::npos);
    EXPECT_EQ(index.find("Access-Control"), std::string::npos);
    for (const char* path : {"/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/index.html/..",
                             "/job.toml", "/assets/../index.html", "/%00", "/assets"})
        EXPECT_EQ(status(head("GET", path)), 404) << path;
    const std::string part = ask(server.port(), head("GET", "/", "Range: bytes=0-3,99999999999999999999-\r\n"));
    EXPECT_TRUE(status_of(part) == 200 || status_of(part) == 416) << part;
    const std::string only_head = ask(server.port(), head("HEAD", "/"));
    EXPECT_TRUE(only_head.ends_with("\r\n\r\n")) << only_head;
}

TEST_F(Server, RequestsThatAreNone) {
    const auto bytes = [&](const std::string& text) { return status_of(ask(server.port(), text)); };
    for (const char* text : {"GARBAGE", "GET", "GET /api/state", "GET /api/state HTTP/9.9", "\r\n", "\x16\x03\x01"})
        EXPECT_NE(bytes(text), 200) << text;
    EXPECT_NE(bytes(head("GET", "/" + std::string(100'000, 'x'))), 200);
    EXPECT_NE(bytes(head("GET", "/", "X: " + std::string(1'000'000, 'x') + "\r\n")), 200);
    EXPECT_EQ(status(head("PUT", "/api/state", with_token("Content-Length: 0\r\n"))), 405);
    EXPECT_EQ(status(head("OPTIONS", "/api/state", with_token())), 405);
    EXPECT_EQ(status(head("POST", "/api/job/undo", with_token("Content-Length: 5\r\n")), "{\"a\":"), 400);
    EXPECT_EQ(status(head("POST", "/api/job/undo", with_token("Content-Length: minus\r\n"))), 400);
    EXPECT_EQ(status(head("POST", "/api/job/undo", with_token("Content-Length: 2\r\nContent-Length: 2\r\n")), "{}"),
              400);
    EXPECT_EQ(status(head("POST", "/api/job/undo",
                          with_token("Content-Length: 2\r\nContent-Type: multipart/form-data; boundary=x\r\n")),
                     "{}"),
              400);
    EXPECT_EQ(
        status(head("POST", "/api/job/undo", with_token("Content-Length: 2\r\nContent-Encoding: gzip\r\n")), "{}"),
        400);
    EXPECT_EQ(status(head("GET", "/api/state", with_token())), 200);
}

TEST_F(Server, WhatFollowsARefusedBodyIsNotTakenForARequest) {
    const std::string hidden = head("GET", "/api/state", with_token()) + "\r\n";
    const Client client(server.port());
    client.send("GET / HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) +
                "\r\nContent-Length: " + std::to_string(hidden.size()) + "\r\n\r\n" + hidden);
    EXPECT_EQ(client.rest().find("\"version\""), std::string::npos);
}

TEST_F(Server, BodiesInChunksAndOnesThatAreKeptAlive) {
    const std::string chunks = "2\r\n{}\r\n0\r\n\r\n";
    EXPECT_EQ(status(head("POST", "/api/job/reload", with_token("Transfer-Encoding: chunked\r\n")), chunks), 200);
    const Client client(server.port());
    const std::string host = "HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(server.port()) + "\r\n" + with_token();
    client.send("GET /api/state " + host + "\r\nPOST /api/job/reload " + host +
                "Content-Length: 2\r\n\r\n{}GET /api/shop " + host + "Connection: close\r\n\r\n");
    const std::string all = client.rest();
    std::size_t replies = 0;
    for (std::size_t at = all.find("HTTP/1.1 200"); at != std::string::npos; at = all.find("HTTP/1.1 200", at + 1))
        ++replies;
    EXPECT_EQ(replies, 3u) << all.substr(0, 2000);
}

TEST_F(Server, AHundredMegabytesAreRefusedWithoutBeingKept) {
    if (kSanitized) GTEST_SKIP() << "a sanitizer keeps what is freed";
    const double before = peak_memory();
    const std::string megabyte(1 << 20, 'x');
    const auto refused = [&](const std::string& how, bool chunks) {
        const Client client(server.port());
        client.send(head("POST", "/api/drawing?name=x.svg", with_token(how)) + "\r\n");
        for (int i = 0; i < 100; ++i)
            if (!client.send(chunks ? "100000\r\n" + megabyte + "\r\n" : megabyte)) break;
        return status_of(client.rest());
    };
    EXPECT_EQ(refused("Content-Length: 104857600\r\n", false), 413);
    EXPECT_LT(peak_memory() - before, 20);
    EXPECT_EQ(refused("Transfer-Encoding: chunked\r\n", true), 413); // of these 64 may be read
    EXPECT_LT(peak_memory() - before, 64 * 3);
    EXPECT_EQ(status(head("POST", "/api/job/text", with_token("Content-Length: 5000000\r\n"))), 413);
    EXPECT_EQ(status(head("GET", "/api/state", with_token())), 200);
}

TEST_F(Server, SlowDripsHoldNobodyUp) {
    // More of them than there are threads, each sending a byte whenever it may.
    std::vector<std::unique_ptr<Client>> drips;
    for (int i = 0; i < 80; ++i)
        drips.push_back(std::make_unique<Client>(server.port()));
    std::atomic<bool> over = false;
    std::jthread dripping([&] {
        const std::string slow = head("POST", "/api/job/undo", with_token("Content-Length: 1000000\r\n")) + "\r\n";
        for (std::size_t at = 0; !over; ++at) {
            for (std::size_t i = 0; i < drips.size(); ++i)
                drips[i]->send(i % 2 == 0 ? std::string(1, slow[at % slow.size()]) : at == 0 ? slow : " ");
            std::this_thread::sleep_for(std::chrono::milliseconds(20));
        }
    });
    for (int i = 0; i < 5; ++i) {
        const auto begin = Clock::now();
        EXPECT_EQ(status(head("GET", "/api/state", with_token())), 200);
        EXPECT_LT(seconds_since(begin), 8);
    }
    over = true;
}

TEST_F(Server, SixtyTabsPollAtOnce) {
    std::atomic<int> good = 0;
    const auto begin = Clock::now();
    {
        std::vector<std::jthread> tabs;
        for (int i = 0; i < 60; ++i)
            tabs.emplace_back([&] {
                for (int k = 0; k < 5; ++k)
                    if (status(head("GET", "/api/state", with_token())) == 200) ++good;
            });
    }
    EXPECT_EQ(good, 300);
    EXPECT_LT(seconds_since(begin), 20);
}

TEST_F(Server, IdleConnectionsGiveWay) {
    // Tabs that keep a connection open without asking anything, more than there are threads.
    std::vector<std::unique_ptr<Client>> idle;
    for (int i = 0; i < 100; ++i)
        idle.push_back(std::make_unique<Client>(server.port()));
    const auto begin = Clock::now();
    EXPECT_EQ(status(head("GET", "/api/state", with_token())), 200);
    EXPECT_LT(seconds_since(begin), 5);
}

} // namespace
} // namespace kerfwright::page
