#pragma once
// A request and its reply as values: what the routes take and give, free of sockets.

#include "base/result.hpp"

#include <nlohmann/json.hpp>

#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace kerfwright::page {

using Json = nlohmann::ordered_json;

struct Request {
    std::string method; ///< "GET", "POST", "DELETE"
    std::string path;   ///< decoded, without the query
    std::map<std::string, std::string> query;
    std::map<std::string, std::string> headers; ///< names in lower case; of those sent twice, the first
    std::string body;

    [[nodiscard]] std::string header(const std::string& name) const;
};

struct Reply {
    int status = 200;
    std::string type = "application/json";
    std::shared_ptr<const std::string> body; ///< shared: a plan of megabytes is never copied for a reply
    std::vector<std::pair<std::string, std::string>> headers;
};

[[nodiscard]] Reply reply_json(const Json& json, int status = 200);
[[nodiscard]] Reply reply_bytes(std::shared_ptr<const std::string> bytes, std::string type);
/// `{"problem": ...}`.
[[nodiscard]] Reply refuse(int status, const Problem& problem);
[[nodiscard]] Json json_of(const Problem& problem);

/// What a request lacks or has wrong; thrown by the readers below, told as 400 by `answer`.
struct BadRequest {
    Problem problem;
};

/// The body as a JSON object. Throws BadRequest.
[[nodiscard]] Json body_of(const Request& request);
/// Members of a body. Throw BadRequest that names the member.
[[nodiscard]] const Json& member(const Json& json, const char* name);
[[nodiscard]] std::string text_of(const Json& json, const char* name);
[[nodiscard]] double number_of(const Json& json, const char* name);
/// Parameters of the query. Throw BadRequest that names the parameter.
[[nodiscard]] std::string parameter(const Request& request, const std::string& name);
[[nodiscard]] double number_parameter(const Request& request, const std::string& name);

} // namespace kerfwright::page
