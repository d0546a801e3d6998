#include "edits/tree.hpp"

namespace kerfwright::edits {

using Json = nlohmann::ordered_json;

std::string shown(const Path& path) {
    std::string text;
    for (const PathStep& step : path) {
        if (const std::string* key = key_of(step))
            text += (text.empty() ? "" : ".") + *key;
        else
            text += "[" + std::to_string(*number_of(step)) + "]";
    }
    return text;
}

void nowhere(const Path& path) {
    throw CannotEdit{"the edit's path " + shown(path) + " leads nowhere", "look at the job as it is now"};
}

Path from(const Path& path, std::size_t begin) {
    return {path.begin() + static_cast<std::ptrdiff_t>(begin), path.end()};
}
Path up_to(const Path& path, std::size_t end) {
    return {path.begin(), path.begin() + static_cast<std::ptrdiff_t>(end)};
}
Path with(Path path, PathStep step) {
    path.push_back(std::move(step));
    return path;
}

Json* find_in(Json& tree, const Path& path) {
    Json* at = &tree;
    for (const PathStep& step : path) {
        const std::string* key = key_of(step);
        if (key != nullptr && at->is_object() && at->contains(*key))
            at = &(*at)[*key];
        else if (key == nullptr && at->is_array() && *number_of(step) < at->size())
            at = &(*at)[*number_of(step)];
        else
            return nullptr;
    }
    return at;
}

void set_in(Json& tree, const Path& path, const Json& value) {
    Json* at = &tree;
    for (const PathStep& step : path) {
        if (const std::string* key = key_of(step)) {
            if (at->is_null()) *at = Json::object();
            if (!at->is_object()) nowhere(path);
            at = &(*at)[*key];
        } else {
            if (at->is_null()) *at = Json::array();
            if (!at->is_array() || *number_of(step) > at->size()) nowhere(path);
            if (*number_of(step) == at->size()) at->push_back(nullptr);
            at = &(*at)[*number_of(step)];
        }
    }
    *at = value;
}

void remove_in(Json& tree, const Path& path) {
    Json* parent = find_in(tree, up_to(path, path.size() - 1));
    if (parent == nullptr || find_in(tree, path) == nullptr) nowhere(path);
    if (const std::string* key = key_of(path.back()))
        parent->erase(*key);
    else
        parent->erase(*number_of(path.back()));
}

nlohmann::json without_empty_tables(const Json& tree) {
    nlohmann::json out = tree;
    if (tree.is_array())
        for (std::size_t i = 0; i < tree.size(); ++i)
            out[i] = without_empty_tables(tree[i]);
    if (!tree.is_object()) return out;
    for (const auto& [key, value] : tree.items()) {
        nlohmann::json inner = without_empty_tables(value);
        if (inner.is_object() && inner.empty())
            out.erase(key);
        else
            out[key] = std::move(inner);
    }
    return out;
}

} // namespace kerfwright::edits
