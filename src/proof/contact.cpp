#include "contact.hpp"

#include "findings.hpp"

#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::proof {

using plane::Box;
using plane::Vec;

namespace {

constexpr double kTouch = 1e-3; ///< mm: less is no contact

struct BoxNear {
    double distance = 1e300;
    double share = 0; ///< along the line
};

double to_box(const Box& box, Vec p) {
    const double dx = std::max({box.low.x - p.x, 0.0, p.x - box.high.x});
    const double dy = std::max({box.low.y - p.y, 0.0, p.y - box.high.y});
    return std::hypot(dx, dy);
}

/// Distance of a line piece to a box in the plane: convex along the line, so it is found by halving (golden section).
BoxNear line_to_box(const Piece& line, const Box& box) {
    const auto gap = [&](double share) {
        const motion::Vec3 p = point_on(line, share);
        return to_box(box, {p.x, p.y});
    };
    BoxNear near{gap(0), 0};
    if (const double end = gap(1); end < near.distance) near = {end, 1};
    constexpr double golden = 0.6180339887498949;
    double low = 0, high = 1;
    double a = high - golden, b = low + golden;
    double at_a = gap(a), at_b = gap(b);
    for (int i = 0; i < 60 && near.distance > 0; ++i) {
        const bool left = at_a <= at_b;
        near = std::min(near, left ? BoxNear{at_a, a} : BoxNear{at_b, b},
                        [](const BoxNear& x, const BoxNear& y) { return x.distance < y.distance; });
        if (left) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = gap(a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = gap(b);
        }
    }
    return near;
}

/// The nearest place of a piece to a box.
std::pair<BoxNear, Piece> piece_to_box(const Piece& piece, const Box& box) {
    std::pair<BoxNear, Piece> best{{}, piece};
    for (const Piece& line : chords(piece, kChordError))
        if (const BoxNear near = line_to_box(line, box); near.distance < best.first.distance) best = {near, line};
    return best;
}

/// A rotating cylinder whose lower face is `from` above the tip.
struct Turning {
    std::string name;
    double radius = 0, from = 0;
};

std::vector<Turning> turning_parts(const Run& run) {
    std::vector<Turning> parts{{"cutter", run.body.radius(), 0}};
    for (const StackPart& part : run.stack)
        parts.push_back({part.name, part.radius, part.from});
    return parts;
}

struct ClampBox {
    Box box;
    double top = 0;
};

bool check_piece(const Sequence& sequence, const Piece& piece, const ClampBox& clamp, bool boxed,
                 std::vector<Finding>& findings) {
    const Run& run = sequence.run(piece);
    for (const Turning& part : turning_parts(run)) {
        const auto low = below(piece, clamp.top - part.from - kTouch);
        if (!low) continue;
        const double radius =
            part.from == 0 && !run.body.flat() ? run.body.radius_at(clamp.top - low->lowest()) : part.radius;
        std::pair<BoxNear, Piece> near{{}, piece};
        if (boxed && piece.rapid) {
            const Box way = box_of(piece);
            const double dx = std::max({way.low.x - clamp.box.high.x, 0.0, clamp.box.low.x - way.high.x});
            const double dy = std::max({way.low.y - clamp.box.high.y, 0.0, clamp.box.low.y - way.high.y});
            near.first = {std::hypot(dx, dy), 1};
        } else {
            near = piece_to_box(*low, clamp.box);
        }
        if (near.first.distance >= radius - kTouch) continue;
        Finding finding = finding_at(sequence, FindingKind::clamp_contact, near.second, near.first.share);
        finding.value = near.first.distance - radius;
        finding.bound = 0;
        finding.text = fmt::format("the {} goes {} mm into the clamp at X{} Y{}, whose top is at Z{}", part.name,
                                   mm(-finding.value), mm(clamp.box.low.x), mm(clamp.box.low.y), mm(clamp.top));
        findings.push_back(std::move(finding));
        return true;
    }
    return false;
}

} // namespace

std::vector<Finding> clamp_findings(const SetupToProve& setup, const Sequence& sequence) {
    std::vector<Finding> findings;
    if (setup.clamps.empty()) return findings;
    double reach = 0;
    for (const Run& run : sequence.runs)
        for (const Turning& part : turning_parts(run))
            reach = std::max(reach, part.radius);
    const PathTree tree(sequence.pieces, std::vector<double>(sequence.pieces.size(), reach));
    for (const shop::Clamp& clamp : setup.clamps) {
        ClampBox box;
        extend(box.box, clamp.at);
        extend(box.box, clamp.at + clamp.size);
        box.top = setup.stock.top + clamp.height;
        tree.visit(box.box, [&](std::size_t i) {
            check_piece(sequence, tree.pieces()[i], box, !setup.straight_rapids, findings);
        });
    }
    return findings;
}

namespace {

struct Extreme {
    double value = 0;
    std::size_t piece = 0;
};

Finding travel_finding(const Sequence& sequence, std::size_t piece, double value, double bound, std::string text) {
    Finding finding = finding_at(sequence, FindingKind::table_limit, sequence.pieces[piece], 1);
    finding.value = value;
    finding.bound = bound;
    finding.text = std::move(text);
    return finding;
}

/// Low and high ends of a piece along an axis (0, 1, 2).
std::pair<double, double> extent(const Piece& piece, const Box& box, int axis) {
    if (axis == 2) return {piece.lowest(), piece.highest()};
    return axis == 0 ? std::pair(box.low.x, box.high.x) : std::pair(box.low.y, box.high.y);
}

} // namespace

std::vector<Finding> table_findings(const SetupToProve& setup, const Sequence& sequence) {
    constexpr const char* names[] = {"X", "Y", "Z"};
    std::vector<Finding> findings;
    Extreme low[3] = {{1e300, 0}, {1e300, 0}, {1e300, 0}};
    Extreme high[3] = {{-1e300, 0}, {-1e300, 0}, {-1e300, 0}};
    bool outside[3] = {};
    for (std::size_t i = 0; i < sequence.pieces.size(); ++i) {
        const Piece& piece = sequence.pieces[i];
        const Box box = box_of(piece);
        for (int axis = 0; axis < 3; ++axis) {
            const auto [from, to] = extent(piece, box, axis);
            if (from < low[axis].value) low[axis] = {from, i};
            if (to > high[axis].value) high[axis] = {to, i};
            const double travel = setup.machine.axes[static_cast<std::size_t>(axis)].travel;
            if (axis < 2 && (from < -kZeroInset || to > travel)) {
                outside[axis] = true;
                const bool below_zero = from < -kZeroInset;
                const double value = below_zero ? from : to;
                const double bound = below_zero ? -kZeroInset : travel;
                findings.push_back(travel_finding(sequence, i, value, bound,
                                                  fmt::format("goes to {}{}, and the table ends at {}{}", names[axis],
                                                              mm(value), names[axis], mm(bound))));
            }
        }
    }
    for (int axis = 0; axis < 3 && !sequence.pieces.empty(); ++axis) {
        const double travel = setup.machine.axes[static_cast<std::size_t>(axis)].travel;
        const double span = high[axis].value - low[axis].value;
        if (outside[axis] || span <= travel + 1e-9) continue;
        const bool by_high = std::abs(high[axis].value) > std::abs(low[axis].value);
        findings.push_back(travel_finding(sequence, by_high ? high[axis].piece : low[axis].piece, span, travel,
                                          fmt::format("the programs need {} mm along {}, and the machine has {} mm",
                                                      mm(span), names[axis], mm(travel))));
    }
    return findings;
}

std::vector<Finding> bed_findings(const SetupToProve& setup, const Sequence& sequence) {
    std::vector<Finding> findings;
    const double allowed = setup.machine.bed_allowance;
    for (const Piece& piece : sequence.pieces) {
        const double depth = setup.stock.bottom - piece.lowest();
        if (depth <= allowed + kTouch) continue;
        Finding finding = finding_at(sequence, FindingKind::bed_cut, piece, piece.to.z <= piece.from.z ? 1 : 0);
        finding.value = depth;
        finding.bound = allowed;
        finding.text = fmt::format("goes {} mm into the bed; {} mm are allowed", mm(depth), mm(allowed));
        findings.push_back(std::move(finding));
    }
    return findings;
}

} // namespace kerfwright::proof
