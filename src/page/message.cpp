#include "page/message.hpp"

#include <charconv>
#include <cmath>

namespace kerfwright::page {
namespace {

[[noreturn]] void bad(std::string what, std::string remedy) {
    throw BadRequest{{"", 0, 0, std::move(what), std::move(remedy)}};
}

} // namespace

std::string Request::header(const std::string& name) const {
    const auto found = headers.find(name);
    return found == headers.end() ? std::string() : found->second;
}

Reply reply_json(const Json& json, int status) {
    Reply reply;
    reply.status = status;
    // Bytes that are no UTF-8 (file names may hold them) are replaced, never a fault.
    reply.body = std::make_shared<const std::string>(json.dump(-1, ' ', false, Json::error_handler_t::replace));
    return reply;
}

Reply reply_bytes(std::shared_ptr<const std::string> bytes, std::string type) {
    Reply reply;
    reply.type = std::move(type);
    reply.body = std::move(bytes);
    return reply;
}

Json json_of(const Problem& problem) {
    return {{"file", problem.file}, {"line", problem.line},     {"column", problem.column},
            {"what", problem.what}, {"remedy", problem.remedy}, {"text", to_string(problem)}};
}

Reply refuse(int status, const Problem& problem) {
    return reply_json({{"problem", json_of(problem)}}, status);
}

Json body_of(const Request& request) {
    // A callback that stops at a depth keeps a body of brackets from filling the stack.
    constexpr int kDeepest = 64;
    const auto shallow = [](int depth, Json::parse_event_t, Json&) {
        if (depth > kDeepest) bad("the body is nested too deeply", "send what docs/page.md names");
        return true;
    };
    try {
        Json json = Json::parse(request.body, shallow);
        if (!json.is_object()) bad("the body is no JSON object", "send what docs/page.md names");
        return json;
    } catch (const Json::exception& error) {
        bad(std::string("the body is no JSON: ") + error.what(), "send one JSON object");
    }
}

const Json& member(const Json& json, const char* name) {
    if (!json.is_object()) bad(std::string("there is no object to hold \"") + name + "\"", "send an object");
    const auto found = json.find(name);
    if (found == json.end()) bad(std::string("\"") + name + "\" is missing", "add it");
    return *found;
}

std::string text_of(const Json& json, const char* name) {
    const Json& found = member(json, name);
    if (!found.is_string()) bad(std::string("\"") + name + "\" is no text", "send a string");
    return found.get<std::string>();
}

double number_of(const Json& json, const char* name) {
    const Json& found = member(json, name);
    if (!found.is_number()) bad(std::string("\"") + name + "\" is no number", "send a number");
    return found.get<double>();
}

std::string parameter(const Request& request, const std::string& name) {
    const auto found = request.query.find(name);
    if (found == request.query.end()) bad("the parameter \"" + name + "\" is missing", "add it to the query");
    return found->second;
}

double number_parameter(const Request& request, const std::string& name) {
    const std::string text = parameter(request, name);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
        bad("the parameter \"" + name + "\" is no number", "write digits");
    return value;
}

} // namespace kerfwright::page
