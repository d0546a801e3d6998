#include "path.hpp"

#include "plane/nearest.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::proof {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;
using plane::Box;
using plane::Vec;

namespace {

constexpr double kTurn = 2 * std::numbers::pi;

Vec flat(Vec3 v) {
    return {v.x, v.y};
}

Vec3 mix(Vec3 a, Vec3 b, double share) {
    return a + (b - a) * share;
}

/// Number of chords that keep within `error` of an arc.
int chord_count(double radius, double sweep, double error) {
    const double step = radius > error ? 2 * std::acos(1 - error / radius) : std::numbers::pi / 2;
    return std::clamp(static_cast<int>(std::ceil(std::abs(sweep) / step)), 1, 100'000);
}

void append_chords_of_move(const Move& move, Piece piece, std::vector<Piece>& pieces) {
    const int count =
        pieces.size() < kMostPieces ? chord_count(motion::radius_of(move), motion::sweep_of(move), kChordError) : 4;
    Vec3 at = move.from;
    for (int i = 1; i <= count; ++i) {
        piece.from = at;
        piece.to = i == count ? move.to : motion::point_at(move, static_cast<double>(i) / count);
        at = piece.to;
        pieces.push_back(piece);
    }
}

} // namespace

void append_pieces(const Move& move, std::uint32_t index, std::uint16_t program, bool chords_for_helices,
                   std::vector<Piece>& pieces) {
    if (move.kind == MoveKind::dwell || move.kind == MoveKind::stop) return;
    Piece piece;
    piece.from = move.from;
    piece.to = move.to;
    piece.move = index;
    piece.program = program;
    piece.rapid = move.kind == MoveKind::rapid;
    if (move.kind != MoveKind::arc) {
        if (!(move.from == move.to)) pieces.push_back(piece);
        return;
    }
    const bool helix = move.from.z != move.to.z;
    if (move.normal != motion::Normal::z || (helix && chords_for_helices)) {
        append_chords_of_move(move, piece, pieces);
        return;
    }
    piece.centre = flat(move.centre);
    const Vec arm = flat(move.from) - piece.centre;
    piece.radius = plane::length(arm);
    piece.start = std::atan2(arm.y, arm.x);
    piece.sweep = move.clockwise ? -motion::sweep_of(move) : motion::sweep_of(move);
    if (piece.radius < 1e-9) { // a point: keep what Z does
        piece.radius = 0;
        piece.sweep = 0;
    }
    pieces.push_back(piece);
}

Vec3 point_on(const Piece& piece, double share) {
    if (!piece.is_arc()) return mix(piece.from, piece.to, share);
    if (share <= 0) return piece.from;
    if (share >= 1) return piece.to;
    const double angle = piece.start + piece.sweep * share;
    return {piece.centre.x + piece.radius * std::cos(angle), piece.centre.y + piece.radius * std::sin(angle),
            piece.from.z + (piece.to.z - piece.from.z) * share};
}

double length_of(const Piece& piece) {
    const double rise = piece.to.z - piece.from.z;
    const double run =
        piece.is_arc() ? piece.radius * std::abs(piece.sweep) : plane::distance(flat(piece.from), flat(piece.to));
    return std::hypot(run, rise);
}

namespace {

/// Share along the arc of the direction `angle`, in [0, turn/|sweep|); above 1 it is off the arc.
double share_of_angle(const Piece& arc, double angle) {
    double ahead = arc.sweep >= 0 ? angle - arc.start : arc.start - angle;
    ahead = std::fmod(ahead, kTurn);
    if (ahead < 0) ahead += kTurn;
    return ahead / std::abs(arc.sweep);
}

} // namespace

Box box_of(const Piece& piece) {
    Box box;
    extend(box, flat(piece.from));
    extend(box, flat(piece.to));
    if (!piece.is_arc()) return box;
    for (int quarter = 0; quarter < 4; ++quarter) {
        if (share_of_angle(piece, quarter * kTurn / 4) > 1) continue;
        const Vec side[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
        extend(box, piece.centre + side[quarter] * piece.radius);
    }
    return box;
}

NearestOnPiece nearest(const Piece& piece, Vec p) {
    const Vec a = flat(piece.from);
    const Vec b = flat(piece.to);
    if (!piece.is_arc()) {
        const Vec along = b - a;
        const double square = dot(along, along);
        const double share = square > 0 ? std::clamp(dot(p - a, along) / square, 0.0, 1.0) : 0;
        return {plane::distance(p, a + along * share), share};
    }
    const Vec arm = p - piece.centre;
    const double out = plane::length(arm);
    const double share = share_of_angle(piece, std::atan2(arm.y, arm.x));
    if (share <= 1) return {std::abs(out - piece.radius), share};
    const double to_start = plane::distance(p, a);
    const double to_end = plane::distance(p, b);
    return to_start <= to_end ? NearestOnPiece{to_start, 0} : NearestOnPiece{to_end, 1};
}

Piece stretch(const Piece& piece, double first, double last) {
    Piece part = piece;
    part.from = point_on(piece, first);
    part.to = point_on(piece, last);
    part.start = piece.start + piece.sweep * first;
    part.sweep = piece.sweep * (last - first);
    if (piece.is_arc() && std::abs(part.sweep) < 1e-12) part.radius = 0;
    return part;
}

std::optional<Piece> below(const Piece& piece, double z) {
    if (piece.highest() <= z) return piece;
    if (piece.lowest() > z) return std::nullopt;
    const double share = std::clamp((z - piece.from.z) / (piece.to.z - piece.from.z), 0.0, 1.0);
    return piece.from.z > piece.to.z ? stretch(piece, share, 1) : stretch(piece, 0, share);
}

std::vector<Piece> chords(const Piece& piece, double error) {
    if (!piece.is_arc()) return {piece};
    const int count = chord_count(piece.radius, piece.sweep, error);
    std::vector<Piece> lines;
    lines.reserve(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        Piece line = piece;
        line.radius = 0;
        line.from = point_on(piece, static_cast<double>(i) / count);
        line.to = point_on(piece, static_cast<double>(i + 1) / count);
        lines.push_back(line);
    }
    return lines;
}

PathTree::PathTree(std::vector<Piece> pieces, std::vector<double> radii)
    : pieces_(std::move(pieces)), radii_(std::move(radii)) {
    if (pieces_.empty()) return;
    std::vector<Node> groups((pieces_.size() + kFan - 1) / kFan);
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
        extend(groups[i / kFan].box, box_of(pieces_[i]));
        groups[i / kFan].radius = std::max(groups[i / kFan].radius, radii_[i]);
    }
    levels_.push_back(std::move(groups));
    while (levels_.back().size() > 1) {
        const std::vector<Node>& under = levels_.back();
        std::vector<Node> nodes((under.size() + kFan - 1) / kFan);
        for (std::size_t i = 0; i < under.size(); ++i) {
            extend(nodes[i / kFan].box, under[i].box);
            nodes[i / kFan].radius = std::max(nodes[i / kFan].radius, under[i].radius);
        }
        levels_.push_back(std::move(nodes));
    }
}

namespace {

double distance_to_box(const Box& box, Vec p) {
    const double dx = std::max({box.low.x - p.x, 0.0, p.x - box.high.x});
    const double dy = std::max({box.low.y - p.y, 0.0, p.y - box.high.y});
    return std::hypot(dx, dy);
}

} // namespace

std::optional<PathTree::Closest> PathTree::closest(Vec p, double within) const {
    if (levels_.empty()) return std::nullopt;
    Closest best;
    best.gap = within;
    best.piece = pieces_.size();
    search(levels_.size() - 1, 0, p, best);
    if (best.piece == pieces_.size()) return std::nullopt;
    return best;
}

void PathTree::search(std::size_t level, std::size_t node, Vec p, Closest& best) const {
    const std::size_t first = node * kFan;
    if (level == 0) {
        for (std::size_t i = first; i < first + kFan && i < pieces_.size(); ++i) {
            const NearestOnPiece near = nearest(pieces_[i], p);
            const double gap = near.distance - radii_[i];
            if (gap < best.gap || (gap == best.gap && i < best.piece)) best = {gap, i, near.share};
        }
        return;
    }
    std::pair<double, std::size_t> order[kFan];
    std::size_t count = 0;
    for (std::size_t i = first; i < first + kFan && i < levels_[level - 1].size(); ++i) {
        const Node& child = levels_[level - 1][i];
        order[count++] = {distance_to_box(child.box, p) - child.radius, i};
    }
    std::sort(order, order + count);
    for (std::size_t i = 0; i < count && order[i].first <= best.gap; ++i)
        search(level - 1, order[i].second, p, best);
}

std::optional<std::size_t> PathTree::first_over(Vec p, double slack, std::size_t from) const {
    if (levels_.empty()) return std::nullopt;
    return first_in(levels_.size() - 1, 0, p, slack, from);
}

std::optional<std::size_t> PathTree::first_in(std::size_t level, std::size_t node, Vec p, double slack,
                                              std::size_t from) const {
    const Node& n = levels_[level][node];
    if (distance_to_box(n.box, p) > n.radius + slack) return std::nullopt;
    const std::size_t first = node * kFan;
    if (level == 0) {
        for (std::size_t i = std::max(first, from); i < first + kFan && i < pieces_.size(); ++i)
            if (nearest(pieces_[i], p).distance <= radii_[i] + slack) return i;
        return std::nullopt;
    }
    std::size_t span = 1; // pieces under one child
    for (std::size_t l = 0; l < level; ++l)
        span *= kFan;
    for (std::size_t i = first; i < first + kFan && i < levels_[level - 1].size(); ++i) {
        if ((i + 1) * span <= from) continue;
        if (const auto found = first_in(level - 1, i, p, slack, from)) return found;
    }
    return std::nullopt;
}

} // namespace kerfwright::proof
