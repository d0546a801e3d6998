#include "page/http.hpp"

#include "page/assets.hpp"
#include "page/connection.hpp"

#include <algorithm>
#include <charconv>
#include <thread>

namespace kerfwright::page {
namespace {

constexpr std::size_t kThreads = 64; ///< a thread serves one connection at a time
constexpr int kMostRequests = 100;   ///< on one connection
constexpr int kBacklog = 256;

/// The library's pool of threads, and the count of connections that wait for one.
class Queue final : public httplib::TaskQueue {
  public:
    explicit Queue(Crowd& crowd) : crowd_(crowd), pool_(kThreads) {}
    void enqueue(std::function<void()> task) override {
        ++crowd_.waiting;
        pool_.enqueue([this, task = std::move(task)] {
            --crowd_.waiting;
            task();
        });
    }
    void shutdown() override { pool_.shutdown(); }

  private:
    Crowd& crowd_;
    httplib::ThreadPool pool_;
};

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : static_cast<char>(c);
    });
    return text;
}

Request value_of(const httplib::Request& from) {
    Request request;
    request.method = from.method;
    request.path = from.path;
    for (const auto& [name, value] : from.params)
        request.query.emplace(name, value);
    for (const auto& [name, value] : from.headers)
        request.headers.emplace(lower(name), value);
    return request;
}

bool chunked(const httplib::Request& request) {
    return request.has_header("Transfer-Encoding");
}

/// The announced length of the body; nullopt when it is no number.
std::optional<std::uint64_t> length_of(const httplib::Request& request) {
    if (!request.has_header("Content-Length")) return 0;
    const std::string text = request.get_header_value("Content-Length");
    std::uint64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool one = request.get_header_value_count("Content-Length") == 1;
    if (!one || text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

void send(const Reply& reply, httplib::Response& to) {
    to.status = reply.status;
    for (const auto& [name, value] : house_headers())
        to.set_header(name, value);
    bool cached = false;
    for (const auto& [name, value] : reply.headers) {
        to.set_header(name, value);
        cached = cached || name == "Cache-Control";
    }
    if (!cached) to.set_header("Cache-Control", "no-store");
    // By a provider, so that the bytes are neither copied nor packed: they do not leave this computer.
    const auto body = reply.body;
    to.set_content_provider(body->size(), reply.type,
                            [body](std::size_t at, std::size_t length, httplib::DataSink& sink) {
                                return sink.write(body->data() + at, length);
                            });
}

Reply too_large(std::size_t most) {
    return refuse(413, {"", 0, 0, "the body is larger than " + std::to_string(most >> 20) + " MB",
                        "simplify or split the drawing"});
}

} // namespace

class HttpServer::Inside final : public httplib::Server {
  public:
    Inside(Desk& desk, std::string token) : desk_(desk), door_{0, std::move(token)} {
        new_task_queue = [this] { return new Queue(crowd_); };
        set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
            return without_body(request, response) ? HandlerResponse::Handled : HandlerResponse::Unhandled;
        });
        Post(".*", [this](const httplib::Request& request, httplib::Response& response,
                          const httplib::ContentReader& content) { with_body(request, response, content); });
    }

    bool bind(int port) {
        if (port == 0)
            door_.port = bind_to_any_port("127.0.0.1");
        else
            door_.port = bind_to_port("127.0.0.1", port) ? port : -1;
        if (door_.port <= 0) return false;
        ::listen(svr_sock_, kBacklog); // the library's own is 5: too few for a burst of tabs
        return true;
    }
    [[nodiscard]] int port() const { return door_.port; }
    void run() {
        if (!crowd_.closing) listen_after_bind();
    }
    void close() {
        crowd_.closing = true;
        stop();
    }

  private:
    /// Everything but a body to read; false when that comes next.
    bool without_body(const httplib::Request& from, httplib::Response& response) {
        const Request request = value_of(from);
        const auto length = length_of(from);
        if (auto refused = turned_away(request, door_)) {
            send(*refused, response);
            return true;
        }
        if (!length) {
            send(refuse(400, {"", 0, 0, "the length of the body is no number", "send it once, in digits"}), response);
            return true;
        }
        if (*length > largest_body(request.path)) {
            send(too_large(largest_body(request.path)), response);
            return true;
        }
        if (request.method == "POST" && (*length > 0 || chunked(from))) return false;
        send(reply_to(request), response);
        return true;
    }

    void with_body(const httplib::Request& from, httplib::Response& response, const httplib::ContentReader& content) {
        Request request = value_of(from);
        const std::size_t most = largest_body(request.path);
        bool fits = true;
        const bool whole = content([&](const char* bytes, std::size_t size) {
            fits = request.body.size() + size <= most;
            if (fits) request.body.append(bytes, size);
            return fits;
        });
        if (!fits)
            send(too_large(most), response);
        else if (!whole)
            send(refuse(400, {"", 0, 0, "the body did not come whole", "send it again"}), response);
        else
            send(reply_to(request), response);
    }

    Reply reply_to(Request request) {
        if (request.method == "HEAD") request.method = "GET";
        return request.path.starts_with("/api/") ? answer(desk_, request) : reply_asset(request.path);
    }

    bool process_and_close_socket(socket_t socket) override {
        Connection connection(socket, crowd_);
        for (int served = 1; served <= kMostRequests && connection.wait_for_request(); ++served) {
            const bool last = served == kMostRequests || crowd_.waiting > 0;
            bool closed = false;
            const bool done = process_request(connection, last, closed, [&](httplib::Request& request) {
                request.ranges.clear(); // every file is small enough to be sent whole
                connection.begin_body(length_of(request).value_or(1), chunked(request));
            });
            if (!done || last || closed || !connection.clean()) break;
        }
        return true;
    }

    Desk& desk_;
    Door door_;
    Crowd crowd_;
};

HttpServer::HttpServer(Desk& desk, std::string token) : inside_(std::make_unique<Inside>(desk, std::move(token))) {}
HttpServer::~HttpServer() = default;
bool HttpServer::bind(int port) {
    return inside_->bind(port);
}
int HttpServer::port() const {
    return inside_->port();
}
void HttpServer::run() {
    inside_->run();
}
void HttpServer::stop() {
    inside_->close();
}

} // namespace kerfwright::page
