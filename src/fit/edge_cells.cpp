#include "fit/edge_cells.hpp"

#include "fit/disc_search.hpp"

namespace kerfwright::fit {

using plane::Vec;

std::vector<Side> sides_of(const std::vector<plane::Ring>& rings) {
    std::vector<Side> sides;
    for (const plane::Ring& ring : rings)
        for (std::size_t s = 0; s < ring.size(); ++s) {
            const Vec a = to_mm(ring[s]);
            const Vec b = to_mm(ring[s + 1 < ring.size() ? s + 1 : 0]);
            const double length = plane::distance(a, b);
            sides.push_back({a, b, length > 0 ? (b - a) * (1 / length) : Vec{1, 0}, length});
        }
    return sides;
}

EdgeCells::EdgeCells(const std::vector<Side>& sides, const plane::Box& box, double size) : low_(box.low) {
    constexpr double kMostCells = 4e6;
    if (sides.empty()) return;
    size_ = std::max({size, std::sqrt(std::max(1e-12, box.width() * box.height()) / kMostCells),
                      std::max(box.width(), box.height()) / 60000});
    columns_ = static_cast<int>(box.width() / size_) + 1;
    rows_ = static_cast<int>(box.height() / size_) + 1;
    start_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
    // Counted first, then placed.
    for (const Side& side : sides)
        visit(side, [&](std::size_t cell) { ++start_[cell + 1]; });
    for (std::size_t c = 1; c < start_.size(); ++c)
        start_[c] += start_[c - 1];
    held_.resize(start_.back());
    std::vector<std::uint32_t> next(start_.begin(), start_.end() - 1);
    for (std::uint32_t s = 0; s < sides.size(); ++s)
        visit(sides[s], [&](std::size_t cell) { held_[next[cell]++] = s; });
}

/// Calls with every cell that the side comes near; may call twice for the same cell.
template <class Call>
void EdgeCells::visit(const Side& side, Call call) const {
    const int pieces = std::max(1, static_cast<int>(std::ceil(side.length / (2 * size_))));
    int last_x0 = 1, last_x1 = 0, last_y0 = 1, last_y1 = 0;
    for (int k = 0; k < pieces; ++k) {
        const Vec a = side.from + side.along * (side.length * k / pieces);
        const Vec b = side.from + side.along * (side.length * (k + 1) / pieces);
        const int x0 = column(std::min(a.x, b.x)), x1 = column(std::max(a.x, b.x));
        const int y0 = row(std::min(a.y, b.y)), y1 = row(std::max(a.y, b.y));
        for (int y = y0; y <= y1; ++y)
            for (int x = x0; x <= x1; ++x)
                if (x < last_x0 || x > last_x1 || y < last_y0 || y > last_y1) call(cell(x, y));
        last_x0 = x0, last_x1 = x1, last_y0 = y0, last_y1 = y1;
    }
}

namespace {

plane::Box box_of(const std::vector<Side>& sides) {
    plane::Box box;
    for (const Side& side : sides)
        extend(box, side.from);
    return box;
}

/// About as many cells as can be looked through in the time that the sides take.
double cell_size(const std::vector<Side>& sides, const plane::Box& box) {
    if (sides.empty()) return 1;
    double length = 0;
    for (const Side& side : sides)
        length += side.length;
    const auto count = static_cast<double>(sides.size());
    return std::max({length / count, std::sqrt(box.width() * box.height() / (8 * count)), 1e-4});
}

} // namespace

NearEdges::NearEdges(std::vector<plane::Ring> rings)
    : rings_(std::move(rings)), sides_(sides_of(rings_)), box_(box_of(sides_)),
      cells_(sides_, box_, cell_size(sides_, box_)) {
    for (std::uint32_t r = 0; r < rings_.size(); ++r)
        for (std::uint32_t s = 0; s < rings_[r].size(); ++s)
            place_.push_back({r, s});
}

std::optional<plane::Nearest> NearEdges::nearest(Vec p, double within) const {
    if (sides_.empty()) return std::nullopt;
    const double away = std::hypot(std::max({box_.low.x - p.x, 0.0, p.x - box_.high.x}),
                                   std::max({box_.low.y - p.y, 0.0, p.y - box_.high.y}));
    if (away > within) return std::nullopt;
    const double farthest = away + box_.width() + box_.height();
    for (double reach = away + cells_.size() / 2;; reach *= 2) {
        reach = std::min(reach, within);
        double best = reach * reach * (1 + 1e-12);
        std::uint32_t found = 0;
        bool any = false;
        cells_.near(grown(plane::Box{p, p}, reach), [&](std::uint32_t s) {
            const Side& side = sides_[s];
            const Vec to = p - side.from;
            const Vec off = to - side.along * std::clamp(dot(to, side.along), 0.0, side.length);
            const double square = dot(off, off);
            if (square < best || (square == best && (!any || s < found))) {
                best = square;
                found = s;
                any = true;
            }
            return false;
        });
        if (any) {
            const Vec at = plane::nearest_on_segment(p, sides_[found].from, sides_[found].to);
            if (const double d = plane::distance(p, at); d <= within)
                return plane::Nearest{d, at, place_[found].ring, place_[found].segment};
            return std::nullopt;
        }
        if (reach >= within || reach > farthest) return std::nullopt;
    }
}

bool NearEdges::any_meets(const plane::Box& box) const {
    return cells_.near(box, [&](std::uint32_t s) {
        plane::Box side{sides_[s].from, sides_[s].from};
        extend(side, sides_[s].to);
        return overlap(side, box);
    });
}

double signed_distance(const NearEdges& index, Vec p) {
    const auto near = index.nearest(p);
    return near ? signed_distance(index.rings(), *near, p) : 1e300;
}

} // namespace kerfwright::fit
