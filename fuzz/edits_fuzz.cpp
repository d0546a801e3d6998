// Edits of a TOML file: the text, a zero byte, and the edits as JSON. Whatever comes, the result is a Problem or a
// whole file that says what was asked (edit_toml compares).

#include "edits/edits.hpp"

#include <cstdint>
#include <cstdlib>

namespace {

using kerfwright::edits::Edit;
using Json = nlohmann::ordered_json;

Edit edit_of(const Json& json) {
    Edit edit;
    const Json path = json.value("path", Json::array());
    if (path.is_array())
        for (const Json& step : path) {
            if (step.is_string())
                edit.path.emplace_back(step.get<std::string>());
            else if (step.is_number_unsigned())
                edit.path.emplace_back(step.get<std::size_t>());
        }
    edit.kind = json.contains("remove")   ? Edit::Kind::remove
                : json.contains("append") ? Edit::Kind::append
                                          : Edit::Kind::set;
    edit.value = json.value("value", Json());
    return edit;
}

bool shallow(int depth, Json::parse_event_t, Json&) {
    return depth < 64;
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view all(reinterpret_cast<const char*>(data), size);
    const std::size_t end = std::min(all.find('\0'), all.size());
    const std::string_view text = all.substr(0, end);
    std::vector<Edit> edits;
    if (end < all.size()) {
        const Json json = Json::parse(all.substr(end + 1), shallow, false);
        if (json.is_array() && json.size() <= 20)
            for (const Json& edit : json)
                if (edit.is_object()) edits.push_back(edit_of(edit));
    }
    const auto result = kerfwright::edits::edit_toml(text, "job.toml", edits);
    if (result && !kerfwright::edits::edit_toml(result.value(), "job.toml", {})) std::abort();
    return 0;
}
