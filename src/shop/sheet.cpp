#include "shop/sheet.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace kerfwright::shop {
namespace {

std::string joined(const std::set<std::string>& words) {
    std::string text;
    for (const std::string& word : words)
        text += (text.empty() ? "" : "+") + word;
    return text;
}

} // namespace

const char* to_string(Hold hold) {
    constexpr std::array words = {"tape", "clamps", "screws", "vacuum", "skin", "tabs"};
    return words[static_cast<std::size_t>(hold)];
}

std::string hold_name(const std::set<Hold>& hold) {
    std::set<std::string> words;
    for (const Hold one : hold)
        words.insert(to_string(one));
    return joined(words);
}

std::string hold_name(std::string_view text) {
    std::set<std::string> words;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('+'), text.size());
        if (end > 0) words.emplace(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return joined(words);
}

double thickest(const Sheet& sheet) {
    double most = sheet.thickness;
    for (const ThicknessPoint& point : sheet.measured)
        most = std::max(most, point.thickness);
    return most;
}

double thickness_at(const Sheet& sheet, plane::Vec at) {
    // Shepard, D. (1968), "A two-dimensional interpolation function for irregularly-spaced data", exponent 2.
    double weights = 0, sum = 0;
    for (const ThicknessPoint& point : sheet.measured) {
        const plane::Vec away = point.at - at;
        const double squared = plane::dot(away, away);
        if (squared < 1e-18) return point.thickness;
        weights += 1 / squared;
        sum += point.thickness / squared;
    }
    return sheet.measured.empty() ? sheet.thickness : sum / weights;
}

} // namespace kerfwright::shop
