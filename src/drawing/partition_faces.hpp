#pragma once
// Private to drawing/: the faces between noded segments, and which rings cover each of them.

#include "drawing/partition_noding.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace kerfwright::drawing {

/// A ring winds `turns` times (counter-clockwise counts up) around the points of a face.
struct Winding {
    int ring = 0;
    int turns = 0;
    bool operator==(const Winding&) const = default;
};

/// Most rings that may lie on top of each other.
inline constexpr std::size_t kDeepestCover = 256;

struct Face {
    std::vector<Winding> cover; ///< by ring, none with 0 turns
    double area = 0;            ///< mm²; not positive for the unbounded face
    double perimeter = 0;       ///< mm, without edges that have the face on both sides
};

/// Undirected edge e is the pair of half-edges 2e (from its smaller point) and 2e + 1 (back). A face lies to the left
/// of its half-edges. Face 0 is the unbounded one.
class Arrangement {
  public:
    /// REQUIRES: noded segments.
    explicit Arrangement(const std::vector<RingSegment>& segments);

    [[nodiscard]] std::size_t half_edges() const { return face_.size(); }
    [[nodiscard]] int from(std::size_t h) const { return ends_[h]; }
    [[nodiscard]] int to(std::size_t h) const { return ends_[h ^ 1]; }
    [[nodiscard]] plane::Point point(int vertex) const { return points_[static_cast<std::size_t>(vertex)]; }
    [[nodiscard]] const std::vector<plane::Point>& points() const { return points_; }
    [[nodiscard]] int face(std::size_t h) const { return face_[h]; }
    [[nodiscard]] const std::vector<Face>& faces() const { return faces_; }
    /// Is the edge part of a ring, or only a bridge?
    [[nodiscard]] bool on_ring(std::size_t h) const { return first_turn_[h / 2] != first_turn_[h / 2 + 1]; }
    [[nodiscard]] double edge_length(std::size_t h) const;
    /// Half-edges of one face, in no order that means anything.
    [[nodiscard]] std::span<const std::size_t> border_of(int face) const;
    /// A point under more than kDeepestCover rings, if there is one; then covers and faces are not complete.
    [[nodiscard]] std::optional<plane::Point> too_deep() const { return too_deep_; }

    /// Boundary of all faces that are `in`, as simple rings with the faces to their left, each from its smallest point.
    [[nodiscard]] std::vector<plane::Ring> trace(const std::vector<std::size_t>& border,
                                                 const std::function<bool(int face)>& in) const;

  private:
    void build_edges(const std::vector<RingSegment>& segments);
    void sort_around_vertices();
    void link_cycles();
    void find_components();
    /// What covers each cycle, as far as it is known, and one half-edge of each.
    struct Covers {
        std::vector<std::vector<Winding>> of_cycle;
        std::vector<char> known;
        std::vector<std::size_t> first_edge;
    };
    void cover_faces();
    void spread_cover(int start, Covers& covers);
    void measure_faces(const Covers& covers);
    [[nodiscard]] std::optional<std::size_t> seen_from(plane::Point p, const BoxTree& edges) const;
    [[nodiscard]] std::size_t outer_half_edge(int vertex) const;
    [[nodiscard]] std::vector<Winding> across(std::size_t h, const std::vector<Winding>& left) const;

    std::vector<plane::Point> points_;
    std::vector<int> ends_; ///< of each half-edge: where it starts
    std::vector<std::size_t> first_turn_;
    std::vector<Winding> turns_; ///< of each edge, seen along its even half-edge
    std::vector<std::size_t> first_out_;
    std::vector<std::size_t> out_;       ///< half-edges that leave each vertex, counter-clockwise from straight down
    std::vector<std::size_t> out_place_; ///< of each half-edge: where it stands in out_
    std::vector<std::size_t> next_;
    std::vector<int> cycle_;      ///< of each half-edge: its walk around a face
    std::vector<int> cycle_face_; ///< a face with islands has several
    std::vector<int> face_;
    std::vector<Face> faces_;
    std::vector<int> component_; ///< of each vertex
    std::vector<std::size_t> first_of_face_, of_face_;
    int cycles_ = 0;
    std::optional<plane::Point> too_deep_;
};

/// Rings of one region to polygons: holes go to the smallest outer ring around them.
[[nodiscard]] plane::Shape to_shape(std::vector<plane::Ring> rings);

} // namespace kerfwright::drawing
