#include "page/assets.hpp"

#include <algorithm>

namespace kerfwright::page {
namespace {

std::string type_of(std::string_view path) {
    constexpr std::pair<std::string_view, const char*> kTypes[] = {
        {".html", "text/html; charset=utf-8"},
        {".js", "text/javascript; charset=utf-8"},
        {".css", "text/css; charset=utf-8"},
        {".svg", "image/svg+xml"},
        {".png", "image/png"},
        {".woff2", "font/woff2"},
        {".json", "application/json"},
        {".txt", "text/plain; charset=utf-8"},
    };
    for (const auto& [ending, type] : kTypes)
        if (path.ends_with(ending)) return type;
    return "application/octet-stream";
}

} // namespace

Reply reply_asset(const std::string& path) {
    const std::string wanted = path == "/" ? "index.html" : path.substr(std::min<std::size_t>(1, path.size()));
    for (const Asset& asset : assets()) {
        if (asset.path != wanted) continue;
        Reply reply = reply_bytes(std::make_shared<const std::string>(asset.bytes), type_of(wanted));
        const bool named_by_digest = wanted.starts_with("assets/");
        reply.headers.emplace_back("Cache-Control",
                                   named_by_digest ? "public, max-age=31536000, immutable" : "no-cache");
        return reply;
    }
    Reply reply = refuse(404, {path, 0, 0, "there is no such file", "start at the address that was printed"});
    return reply;
}

} // namespace kerfwright::page
