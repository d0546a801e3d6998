#include "toolpath/path_moves.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace kerfwright::toolpath {

using motion::Move;
using motion::MoveKind;
using motion::Vec3;
using plane::Vec;

namespace {

constexpr double kNoMove = 1e-4;         // mm; shorter moves are below what any controller resolves
constexpr double kShortArc = 0.01;       // mm; shorter arcs are lines, since their sense would hang on the last digit
constexpr double kChordDeviation = 1e-3; // mm, where arcs must be lines

bool differ(Vec3 a, Vec3 b) {
    return std::abs(a.x - b.x) + std::abs(a.y - b.y) + std::abs(a.z - b.z) > kNoMove;
}

double feed_on(const Span& span, const Feeds& feeds) {
    constexpr double kSlowest = 0.4;
    if (span.sweep == 0 || feeds.wall == Wall::none || (span.sweep > 0) != (feeds.wall == Wall::right))
        return feeds.cut;
    const double rho = distance(span.from, span.centre);
    return feeds.cut * std::max(kSlowest, rho / (rho + feeds.radius));
}

} // namespace

Pen::Pen(const SheetFrame& frame, const shop::Abilities& abilities, double spindle)
    : frame_(frame), abilities_(abilities), spindle_(spindle), at_{0, 0, frame.clearance} {}

void Pen::add(MoveKind kind, Vec3 to, double feed) {
    if (!differ(at_, to)) return;
    Move move;
    move.kind = kind;
    move.from = at_;
    move.to = to;
    move.feed = feed;
    move.spindle = spindle_;
    moves_.push_back(move);
    at_ = to;
}

void Pen::raise() {
    add(MoveKind::rapid, {at_.x, at_.y, frame_.clearance}, 0);
}

void Pen::go_over(Vec p) {
    raise();
    add(MoveKind::rapid, {p.x, p.y, frame_.clearance}, 0);
}

void Pen::go_over_low(Vec p) {
    add(MoveKind::rapid, {at_.x, at_.y, frame_.near_top}, 0);
    add(MoveKind::rapid, {p.x, p.y, frame_.near_top}, 0);
}

void Pen::lower(double z, double feed) {
    if (frame_.near_top < at_.z) add(MoveKind::rapid, {at_.x, at_.y, std::max(z, frame_.near_top)}, 0);
    add(MoveKind::line, {at_.x, at_.y, z}, feed);
}

void Pen::line(Vec to, double z, double feed) {
    add(MoveKind::line, {to.x, to.y, z}, feed);
}

void Pen::chords(const Span& span, double z, double feed) {
    const double radius = distance(span.from, span.centre);
    const double step = 2 * std::acos(std::max(0.0, 1 - kChordDeviation / std::max(radius, 2 * kChordDeviation)));
    const int parts = std::max(1, static_cast<int>(std::ceil(std::abs(span.sweep) / step)));
    const double z0 = at_.z;
    for (int k = 1; k <= parts; ++k) {
        const double share = static_cast<double>(k) / parts;
        line(point_on(span, span.length * share), z0 + (z - z0) * share, feed);
    }
}

void Pen::span(const Span& span, double z, double feed) {
    if (span.sweep == 0) return line(span.to, z, feed);
    const bool level = std::abs(z - at_.z) < kNoMove / 2;
    if (!abilities_.arcs || (!level && !abilities_.helical_arcs)) return chords(span, z, feed);
    if (span.length < kShortArc) return line(span.to, z, feed);
    const Vec3 to{span.to.x, span.to.y, level ? at_.z : z};
    Move move;
    move.kind = MoveKind::arc;
    move.from = at_;
    move.to = to;
    move.centre = {span.centre.x, span.centre.y, at_.z};
    move.clockwise = span.sweep < 0;
    move.feed = feed;
    move.spindle = spindle_;
    moves_.push_back(move);
    at_ = to;
}

void Pen::follow(const Track& track, double from, double to, const Heights& heights, const Feeds& feeds) {
    std::vector<double> cuts{from};
    for (const Knot& knot : heights)
        if (knot.s > from + kNoMove && knot.s < to - kNoMove && knot.s > cuts.back() + kNoMove) cuts.push_back(knot.s);
    cuts.push_back(to);
    for (std::size_t i = 1; i < cuts.size(); ++i) {
        const double z0 = height_at(heights, cuts[i - 1]);
        const double z1 = height_at(heights, cuts[i]);
        const bool down = z1 < z0 - 1e-9;
        const double whole = cuts[i] - cuts[i - 1];
        double along = 0;
        for (const Span& part : track.between(cuts[i - 1], cuts[i])) {
            along += part.length;
            // A rest too short to be a move must not leave its bit of height to the level move after it.
            const double z = whole - along <= kNoMove ? z1 : z0 + (z1 - z0) * (along / whole);
            span(part, z, down ? feeds.down : feed_on(part, feeds));
        }
    }
}

std::vector<Move> Pen::taken() {
    return std::exchange(moves_, {});
}

} // namespace kerfwright::toolpath
