#pragma once
// Judges moves by their geometry alone: exact distances along the cutter's way, and no code of toolpath/.

#include "motion/moves.hpp"
#include "plane/nearest.hpp"
#include "toolpath/toolpath.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <ostream>
#include <vector>

namespace kerfwright::pathcheck {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;
using plane::Vec;

inline std::vector<Move> moves_of(const toolpath::CutterRun& run) {
    std::vector<Move> moves;
    for (const auto& step : run.steps)
        moves.insert(moves.end(), step.moves.begin(), step.moves.end());
    return moves;
}

/// Points of a move no further apart than `step` mm, both ends included.
inline std::vector<Vec3> points_of(const Move& move, double step) {
    const int parts = std::max(1, static_cast<int>(std::ceil(length(move) / step)));
    std::vector<Vec3> points{move.from};
    for (int k = 1; k < parts; ++k)
        points.push_back(point_at(move, static_cast<double>(k) / parts));
    points.push_back(move.to);
    return points;
}

/// The cutter centre's way, as far as it runs at or below z, as segments to measure from.
inline plane::EdgeIndex way_at(const std::vector<Move>& moves, double z, double step = 0.05) {
    std::vector<plane::Ring> segments;
    for (const Move& move : moves) {
        if (move.kind != MoveKind::line && move.kind != MoveKind::arc) continue;
        const auto points = points_of(move, step);
        for (std::size_t i = 1; i < points.size(); ++i)
            if (std::max(points[i - 1].z, points[i].z) <= z + 1e-6)
                segments.push_back(
                    {plane::to_grid({points[i - 1].x, points[i - 1].y}), plane::to_grid({points[i].x, points[i].y})});
    }
    return plane::EdgeIndex(std::move(segments));
}

struct Range {
    double low = 1e300, high = -1e300;
    void take(double value) {
        low = std::min(low, value);
        high = std::max(high, value);
    }
};

/// Distance from the way at z to points of the rings, less the radius: how the edge comes out. Negative is into the
/// part.
inline Range edge_deviation(const std::vector<Move>& moves, const std::vector<plane::Ring>& rings, double radius,
                            double z, const std::function<bool(Vec)>& counts = nullptr) {
    const auto way = way_at(moves, z);
    Range range;
    for (const plane::Ring& ring : rings)
        for (const Vec p : plane::sampled(ring, 0.1)) {
            if (counts && !counts(p)) continue;
            const auto nearest = way.nearest(p);
            range.take(nearest ? nearest->distance - radius : 1e9);
        }
    return range;
}

/// Smallest distance of the cutter's edge from a shape whose inside must not be touched; negative is into it.
struct Clearance {
    double least = 1e300;
    Vec3 at;
    std::size_t move = 0;
};
inline std::ostream& operator<<(std::ostream& out, const Clearance& c) {
    return out << c.least << " at " << c.at.x << " " << c.at.y << " " << c.at.z << " in move " << c.move;
}
inline Clearance clearance_of(const std::vector<Move>& moves, const plane::Shape& part, double radius, double below_z,
                              double step = 0.05) {
    const plane::EdgeIndex edges(part);
    Clearance found;
    for (std::size_t i = 0; i < moves.size(); ++i) {
        bool first = true;
        for (const Vec3 p : points_of(moves[i], step)) {
            if (p.z > below_z) continue;
            const auto nearest = edges.nearest({p.x, p.y});
            // Which side: once for each move, since none gets to the other side without meeting the edge.
            const bool inside = first && nearest->distance > 0 && contains(part, plane::to_grid({p.x, p.y}));
            first = false;
            const double clear = (inside ? -nearest->distance : nearest->distance) - radius;
            if (clear < found.least) found = {clear, p, i};
        }
    }
    return found;
}
inline double least_clearance(const std::vector<Move>& moves, const plane::Shape& part, double radius, double below_z) {
    return clearance_of(moves, part, radius, below_z).least;
}

/// Steepest way down of all feed moves with a way across, degrees; `plunges` counts feeds straight down below `z`.
struct Descent {
    double steepest = 0;
    int plunges = 0;
};
inline Descent descent_of(const std::vector<Move>& moves, double z) {
    Descent descent;
    for (const Move& move : moves) {
        const double drop = move.from.z - move.to.z;
        if (move.kind == MoveKind::rapid || drop <= 1e-6) continue;
        const double way = length(move);
        const double across = std::sqrt(std::max(0.0, way * way - drop * drop));
        if (across < 1e-3) {
            if (move.to.z < z - 1e-6) ++descent.plunges;
            continue;
        }
        descent.steepest = std::max(descent.steepest, std::atan2(drop, across) * 180 / std::numbers::pi);
    }
    return descent;
}

inline bool chained(const std::vector<Move>& moves, Vec3 start) {
    for (const Move& move : moves) {
        if (!(move.from == start)) return false;
        start = move.to;
    }
    return true;
}

} // namespace kerfwright::pathcheck
