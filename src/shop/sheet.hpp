#pragma once
// What lies on the shelf, and how it is held on the bed.

#include "plane/shape.hpp"

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::shop {

enum class Hold { tape, clamps, screws, vacuum, skin, tabs };
[[nodiscard]] const char* to_string(Hold hold);
/// "skin+tape": names in the order of the alphabet.
[[nodiscard]] std::string hold_name(const std::set<Hold>& hold);
/// The same from words joined by "+", in any order.
[[nodiscard]] std::string hold_name(std::string_view text);

/// A keep-out box: corner and size in sheet coordinates, height above the sheet's top face.
struct Clamp {
    plane::Vec at;
    plane::Vec size;
    double height = 25; ///< mm above the sheet's top face
};

struct ThicknessPoint {
    plane::Vec at;
    double thickness = 0;
};

/// Height of the bed where the sheet lies, from the place at which Z is set.
struct BedPoint {
    plane::Vec at;
    double height = 0; ///< mm, positive where the bed is high
};

/// A bought sheet or an offcut. Sheet coordinates: origin at the lower left of its bounding box, Y up.
struct Sheet {
    std::string name;
    std::string material;
    plane::Polygon outline;
    bool offcut = false; ///< given by an outline
    double thickness = 0;
    std::vector<ThicknessPoint> measured;
    std::vector<BedPoint> bed; ///< sheet coordinates; used where there are three or more
    double grain_deg = 0;
    std::set<Hold> hold;
    std::vector<Clamp> clamps;
    double price = -1; ///< < 0: not given
    int line = 0;      ///< in the job file, for messages
};

/// The largest of the sheet's thickness and its measured points, mm.
[[nodiscard]] double thickest(const Sheet& sheet);

/// Thickness at a place: nearest-distance weighted mean of the measured points (Shepard 1968), else `thickness`.
[[nodiscard]] double thickness_at(const Sheet& sheet, plane::Vec at);

/// Height of the bed at a place, in the same way; 0 where fewer than three points are measured.
[[nodiscard]] double bed_at(const Sheet& sheet, plane::Vec at);
/// How far `bed_at` may be off, mm, a standard deviation: each measured point told from the others. 0 without a map.
[[nodiscard]] double bed_error(const Sheet& sheet);

} // namespace kerfwright::shop
