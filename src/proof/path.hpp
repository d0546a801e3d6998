#pragma once
// The way of the cutter tip as pieces that geometry can ask: straight lines, and arcs about Z, each with Z linear along
// it.

#include "cutter_body.hpp"

#include "motion/moves.hpp"
#include "plane/shape.hpp"

#include <cstdint>
#include <optional>
#include <vector>

namespace kerfwright::proof {

inline constexpr double kChordError = 0.001; ///< mm, where an arc has to be cut into chords (planes other than XY)

/// With more pieces than this, arcs that need chords get four: only a program made to exhaust memory has so many.
inline constexpr std::size_t kMostPieces = 12'000'000;

struct Piece {
    motion::Vec3 from, to;
    plane::Vec centre;      ///< arcs
    double radius = 0;      ///< arcs, mm; 0 for lines
    double start = 0;       ///< arcs: angle of `from`, rad
    double sweep = 0;       ///< arcs: rad, positive counter-clockwise, up to a full turn
    std::uint32_t move = 0; ///< index of its move
    std::uint16_t program = 0;
    bool rapid = false;

    [[nodiscard]] bool is_arc() const { return radius > 0; }
    [[nodiscard]] double lowest() const { return from.z < to.z ? from.z : to.z; }
    [[nodiscard]] double highest() const { return from.z < to.z ? to.z : from.z; }
    [[nodiscard]] bool level() const { return from.z == to.z; }
};

/// Pieces of one move; none for moves that stand still. `chords_for_helices` where the cutter's bottom is not flat.
void append_pieces(const motion::Move& move, std::uint32_t index, std::uint16_t program, bool chords_for_helices,
                   std::vector<Piece>& pieces);

/// Extent in the plane, mm, of the tip's path.
[[nodiscard]] plane::Box box_of(const Piece& piece);

struct NearestOnPiece {
    double distance = 0; ///< mm, in the plane
    double share = 0;    ///< in [0, 1] along the piece
};
[[nodiscard]] NearestOnPiece nearest(const Piece& piece, plane::Vec p);
[[nodiscard]] motion::Vec3 point_on(const Piece& piece, double share);
/// Length of the path, mm.
[[nodiscard]] double length_of(const Piece& piece);

/// The stretch of the piece at or below `z`, if there is one.
[[nodiscard]] std::optional<Piece> below(const Piece& piece, double z);
/// The stretch between two shares. REQUIRES: 0 <= first <= last <= 1.
[[nodiscard]] Piece stretch(const Piece& piece, double first, double last);

/// Chords of an arc within `error` mm; a line is its own chord.
[[nodiscard]] std::vector<Piece> chords(const Piece& piece, double error);

/// A tree of boxes over pieces in program order, each with its own radius. Because neighbours in a program are
/// neighbours in the plane, grouping eight by eight is all the building there is.
class PathTree {
  public:
    PathTree() = default;
    PathTree(std::vector<Piece> pieces, std::vector<double> radii);

    [[nodiscard]] const std::vector<Piece>& pieces() const { return pieces_; }
    [[nodiscard]] double radius(std::size_t piece) const { return radii_[piece]; }
    [[nodiscard]] bool empty() const { return pieces_.empty(); }

    /// Calls f(index), in program order, for every piece whose box, grown by its radius, meets `box`.
    template <class F>
    void visit(const plane::Box& box, F&& f) const {
        if (!levels_.empty()) visit_node(levels_.size() - 1, 0, box, f);
    }

    struct Closest {
        double gap = 1e300; ///< distance to the piece minus its radius, mm
        std::size_t piece = 0;
        double share = 0;
    };
    /// The piece with the smallest gap at `p`, if it is below `within`. Ties go to the earliest.
    [[nodiscard]] std::optional<Closest> closest(plane::Vec p, double within = 1e300) const;
    /// The earliest piece that comes nearer to `p` than its radius plus `slack`, not before `from`.
    [[nodiscard]] std::optional<std::size_t> first_over(plane::Vec p, double slack, std::size_t from = 0) const;

  private:
    struct Node {
        plane::Box box;
        double radius = 0;
    };
    static constexpr std::size_t kFan = 8;

    template <class F>
    void visit_node(std::size_t level, std::size_t node, const plane::Box& box, F& f) const {
        const Node& n = levels_[level][node];
        if (!overlap(grown(n.box, n.radius), box)) return;
        const std::size_t first = node * kFan;
        if (level > 0) {
            for (std::size_t i = first; i < first + kFan && i < levels_[level - 1].size(); ++i)
                visit_node(level - 1, i, box, f);
            return;
        }
        for (std::size_t i = first; i < first + kFan && i < pieces_.size(); ++i)
            if (overlap(grown(box_of(pieces_[i]), radii_[i]), box)) f(i);
    }
    void search(std::size_t level, std::size_t node, plane::Vec p, Closest& best) const;
    [[nodiscard]] std::optional<std::size_t> first_in(std::size_t level, std::size_t node, plane::Vec p, double slack,
                                                      std::size_t from) const;

    std::vector<Piece> pieces_;
    std::vector<double> radii_;
    std::vector<std::vector<Node>> levels_; ///< [0] holds groups of pieces, the last one a single root
};

} // namespace kerfwright::proof
