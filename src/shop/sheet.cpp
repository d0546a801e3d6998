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

bool has_bed(const Sheet& sheet) {
    return sheet.bed.size() >= 3;
}

/// Shepard, D. (1968), "A two-dimensional interpolation function for irregularly-spaced data", exponent 2.
template <class PointAt>
double interpolated(const std::vector<PointAt>& points, double PointAt::*value, plane::Vec at, double otherwise) {
    double weights = 0, sum = 0;
    for (const PointAt& point : points) {
        const plane::Vec away = point.at - at;
        const double squared = plane::dot(away, away);
        if (squared < 1e-18) return point.*value;
        weights += 1 / squared;
        sum += point.*value / squared;
    }
    return points.empty() ? otherwise : sum / weights;
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
    return interpolated(sheet.measured, &ThicknessPoint::thickness, at, sheet.thickness);
}

double bed_at(const Sheet& sheet, plane::Vec at) {
    return has_bed(sheet) ? interpolated(sheet.bed, &BedPoint::height, at, 0) : 0;
}

double bed_error(const Sheet& sheet) {
    if (!has_bed(sheet)) return 0;
    double squares = 0;
    for (std::size_t i = 0; i < sheet.bed.size(); ++i) {
        std::vector<BedPoint> others = sheet.bed;
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
        const double told = interpolated(others, &BedPoint::height, sheet.bed[i].at, 0);
        squares += (told - sheet.bed[i].height) * (told - sheet.bed[i].height);
    }
    return std::sqrt(squares / static_cast<double>(sheet.bed.size()));
}

} // namespace kerfwright::shop
