#include "page/door.hpp"

#include <fmt/format.h>
#include <sys/random.h>

#include <cerrno>
#include <stdexcept>

namespace kerfwright::page {
namespace {

Reply out(int status, std::string what, std::string remedy) {
    return refuse(status, {"", 0, 0, std::move(what), std::move(remedy)});
}

} // namespace

std::string fresh_token() {
    unsigned char bytes[16];
    while (::getrandom(bytes, sizeof bytes, 0) != static_cast<ssize_t>(sizeof bytes))
        if (errno != EINTR) throw std::runtime_error("the kernel gives no random numbers");
    std::string token;
    for (const unsigned char byte : bytes)
        token += fmt::format("{:02x}", byte);
    return token;
}

bool same_token(const std::string& text, const std::string& token) {
    if (text.size() != token.size()) return false;
    unsigned difference = 0;
    for (std::size_t i = 0; i < token.size(); ++i)
        difference |= static_cast<unsigned char>(text[i]) ^ static_cast<unsigned char>(token[i]);
    return difference == 0;
}

std::optional<Reply> turned_away(const Request& request, const Door& door) {
    const std::string here = "127.0.0.1:" + std::to_string(door.port);
    const std::string by_name = "localhost:" + std::to_string(door.port);
    const std::string host = request.header("host");
    if (host != here && host != by_name)
        return out(403, "the request names another host", "use the address that was printed at the start");
    if (const auto origin = request.headers.find("origin");
        origin != request.headers.end() && origin->second != "http://" + host)
        return out(403, "the request comes from another site", "use the address that was printed at the start");
    if (request.method != "GET" && request.method != "HEAD" && request.method != "POST" && request.method != "DELETE")
        return out(405, request.method + " is not served", "see docs/page.md");
    const bool api = request.path.starts_with("/api/");
    if (api && !same_token(request.header("x-kerfwright-token"), door.token))
        return out(403, "the token is missing or not the one of this start",
                   "use the address that was printed at the start");
    if (!api && request.method != "GET" && request.method != "HEAD") return out(405, "files are only read", "use GET");
    // A browser sends these two only when it speaks to itself; both would only be ways around the checks of size.
    if (request.headers.contains("content-encoding") || request.header("content-type").starts_with("multipart/"))
        return out(400, "the body is packed", "send it as it is");
    return std::nullopt;
}

const std::vector<std::pair<std::string, std::string>>& house_headers() {
    static const std::vector<std::pair<std::string, std::string>> headers{
        {"Content-Security-Policy",
         "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; connect-src 'self'; "
         "img-src 'self' blob:; frame-src blob:; object-src blob:; base-uri 'none'; form-action 'none'; "
         "frame-ancestors 'none'"},
        {"X-Content-Type-Options", "nosniff"},
        {"X-Frame-Options", "DENY"},
        {"Referrer-Policy", "no-referrer"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
    };
    return headers;
}

} // namespace kerfwright::page
