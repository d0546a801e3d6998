#pragma once
// Private to drawing/: the values of one DXF record.

#include "drawing/dxf_space.hpp"
#include "drawing/dxf_text.hpp"

#include <optional>

namespace kerfwright::drawing {

/// Reads groups of a record by code; what follows an embedded object (code 101) or is extended data is not looked at.
/// The first value that is no finite number is kept as `problem`, and 0 is given for it.
class DxfValues {
  public:
    DxfValues(const std::vector<Group>& groups, const Record& record, const std::string& file,
              std::optional<Problem>& problem);

    [[nodiscard]] const Group* find(int code) const;
    [[nodiscard]] std::string_view text(int code) const;
    [[nodiscard]] double number(int code, double otherwise = 0) const;
    [[nodiscard]] double number(const Group& group) const;
    /// Within ±2^31.
    [[nodiscard]] int whole(int code, int otherwise = 0) const;
    /// Groups code, code + 10, code + 20.
    [[nodiscard]] Vec3 point(int code) const;
    [[nodiscard]] bool has(int code) const { return find(code) != nullptr; }
    [[nodiscard]] Vec3 normal() const { return has(210) ? point(210) : Vec3{0, 0, 1}; }

    [[nodiscard]] const Group* begin() const { return begin_; }
    [[nodiscard]] const Group* end() const { return end_; }
    [[nodiscard]] const Record& record() const { return record_; }

  private:
    const Record& record_;
    const Group* begin_;
    const Group* end_;
    const std::string& file_;
    std::optional<Problem>& problem_;
};

/// One entity as chains in the plane, seen from above through `map` (the world of the block or the drawing to mm).
/// `parts` are the VERTEX records of a POLYLINE. Fails, through `problem`, on a spline that is none.
struct DxfShape {
    std::vector<Chain> chains;
    std::string remark; ///< what a person should know of how it was read, "" mostly
};
[[nodiscard]] bool is_dxf_shape(std::string_view type);
[[nodiscard]] DxfShape dxf_shape(const DxfValues& values, const std::vector<DxfValues>& parts, const Affine3& map,
                                 const std::string& file, std::optional<Problem>& problem);

} // namespace kerfwright::drawing
