#pragma once
// Private to layout/: the exact question "is this placed outline free?", by edges in buckets.

#include "layout/room.hpp"

#include <cstdint>

namespace kerfwright::layout {

class Obstacles {
  public:
    /// `room`: rings of the free room (even-odd); outlines must lie within it.
    explicit Obstacles(std::vector<Outline> room);

    /// Adds an outline to stay out of.
    void add(Outline outline);

    /// True when the outline lies in the room and shares no point with any obstacle.
    [[nodiscard]] bool free(const Outline& outline) const;

    [[nodiscard]] const std::vector<Outline>& room() const { return room_; }
    [[nodiscard]] plane::Box box() const { return box_; }

  private:
    struct Edge {
        plane::Vec a, b;
    };
    struct Cells {
        int low_x, low_y, high_x, high_y;
    };
    void add_edges(const Outline& outline);
    [[nodiscard]] Cells cells(plane::Vec a, plane::Vec b) const;
    [[nodiscard]] bool crosses(plane::Vec a, plane::Vec b) const;

    std::vector<Outline> room_;
    std::vector<Outline> taken_;
    std::vector<plane::Box> taken_boxes_;
    std::vector<Edge> edges_;
    std::vector<std::vector<std::uint32_t>> buckets_;
    plane::Box box_;
    double bucket_ = 1;
    int across_ = 1, up_ = 1;
};

} // namespace kerfwright::layout
