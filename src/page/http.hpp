#pragma once
// The glue between sockets and the routes, on cpp-httplib.

#include "page/door.hpp"
#include "page/routes.hpp"

#include <memory>
#include <optional>

namespace kerfwright::page {

/// Listens on 127.0.0.1 only.
class HttpServer {
  public:
    /// `desk` outlives the server.
    HttpServer(Desk& desk, std::string token);
    ~HttpServer();
    HttpServer(const HttpServer&) = delete;
    HttpServer& operator=(const HttpServer&) = delete;

    /// Takes the port, or any free one for 0. False when it is taken.
    [[nodiscard]] bool bind(int port);
    [[nodiscard]] int port() const;
    /// Serves until `stop` is called, from another thread.
    void run();
    void stop();

  private:
    class Inside;
    std::unique_ptr<Inside> inside_;
};

} // namespace kerfwright::page
