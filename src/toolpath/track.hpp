#pragma once
// Private to toolpath/: lines and arcs measured along their length.

#include "plane/arcs.hpp"

#include <optional>
#include <vector>

namespace kerfwright::toolpath {

/// A line, or an arc about `centre`.
struct Span {
    plane::Vec from, to;
    plane::Vec centre;
    double sweep = 0; ///< radians, positive counter-clockwise; 0 for a line
    double length = 0;
};

[[nodiscard]] Span line_span(plane::Vec from, plane::Vec to);
[[nodiscard]] Span arc_span(plane::Vec from, plane::Vec centre, double sweep);
/// The point, and the unit direction of travel, `along` mm from the span's start.
[[nodiscard]] plane::Vec point_on(const Span& span, double along);
[[nodiscard]] plane::Vec direction_on(const Span& span, double along);
/// The part of the span between two lengths along it.
[[nodiscard]] Span part_of(const Span& span, double from, double to);

/// A closed way of the cutter's centre. Positions `s` are mm along it and wrap around.
class Track {
  public:
    explicit Track(const plane::Path& path);
    explicit Track(std::vector<Span> spans);

    [[nodiscard]] double length() const { return starts_.back(); }
    [[nodiscard]] plane::Vec at(double s) const;
    [[nodiscard]] plane::Vec direction(double s) const;
    /// Position of the point nearest to p, in [0, length).
    [[nodiscard]] double nearest(plane::Vec p) const;
    /// Spans from position `from` to `to` >= `from`, more than once around if that is asked.
    [[nodiscard]] std::vector<Span> between(double from, double to) const;
    [[nodiscard]] const std::vector<Span>& spans() const { return spans_; }
    [[nodiscard]] double start_of(std::size_t span) const { return starts_[span]; }

  private:
    [[nodiscard]] std::size_t span_at(double s) const;
    [[nodiscard]] double wrapped(double s) const;
    std::vector<Span> spans_;
    std::vector<double> starts_; ///< one more than spans: the last is the whole length
};

/// The ring as lines and arcs within `tolerance` mm. Nothing when it has no length.
[[nodiscard]] std::optional<Track> track_along(const plane::Ring& ring, double tolerance);

/// A height over the position: straight between knots, level before the first and after the last.
struct Knot {
    double s = 0, z = 0;
};
using Heights = std::vector<Knot>;
[[nodiscard]] double height_at(const Heights& heights, double s);
/// The higher of two at every position in [from, to].
[[nodiscard]] Heights higher_of(const Heights& a, const Heights& b, double from, double to);

} // namespace kerfwright::toolpath
