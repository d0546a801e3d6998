#include "freed.hpp"

#include "edges.hpp"
#include "findings.hpp"
#include "raster.hpp"

#include "base/parallel.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kStillAttached = 0.01; ///< mm: a thinner film does not hold
constexpr double kMostPoints = 4e6;
constexpr double kOverlap = 8;   ///< mm along a part that a contour's end may run again
constexpr double kRub = 0.01;    ///< mm beside the cutter that counts as touching
constexpr double kSmallest = 10; ///< mm²: smaller crumbs are chips

constexpr std::uint32_t kNever = ~std::uint32_t{0}; ///< not cut through
constexpr std::uint32_t kNoStock = kNever - 1;      ///< there was nothing

/// Sets of points that hang together, with what is known of each.
class Sets {
  public:
    explicit Sets(std::size_t count) : parent_(count), size_(count, 1), anchored_(count, 0), cut_(count, kNever) {
        std::iota(parent_.begin(), parent_.end(), std::uint32_t{0});
    }
    [[nodiscard]] std::uint32_t root(std::uint32_t i) {
        while (parent_[i] != i)
            i = parent_[i] = parent_[parent_[i]];
        return i;
    }
    void join(std::uint32_t a, std::uint32_t b) {
        a = root(a);
        b = root(b);
        if (a == b) return;
        if (size_[a] < size_[b] || (size_[a] == size_[b] && b < a)) std::swap(a, b);
        parent_[b] = a;
        size_[a] += size_[b];
        anchored_[a] |= anchored_[b];
        cut_[a] = std::min(cut_[a], cut_[b]);
    }
    void anchor(std::uint32_t i) { anchored_[root(i)] = 1; }
    void set_cut(std::uint32_t i, std::uint32_t piece) { cut_[i] = piece; }
    [[nodiscard]] bool anchored(std::uint32_t root) const { return anchored_[root] != 0; }
    [[nodiscard]] std::uint32_t size(std::uint32_t root) const { return size_[root]; }
    [[nodiscard]] std::uint32_t cut(std::uint32_t root) const { return cut_[root]; }

  private:
    std::vector<std::uint32_t> parent_, size_;
    std::vector<std::uint8_t> anchored_;
    std::vector<std::uint32_t> cut_; ///< earliest piece that cuts one of its points
};

/// The sheet's points, and the piece of path that cuts each of them through.
struct Field {
    Grid grid;
    std::vector<std::uint32_t> through; ///< by row and column: index of a piece, kNever or kNoStock
    [[nodiscard]] std::size_t index(int column, int row) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.columns) +
               static_cast<std::size_t>(column);
    }
    [[nodiscard]] Vec at(std::size_t i) const {
        const auto columns = static_cast<std::size_t>(grid.columns);
        return {grid.x(static_cast<int>(i % columns)), grid.y(static_cast<int>(i / columns))};
    }
    /// Calls f(j) for the neighbours of point i.
    template <class F>
    void neighbours(std::size_t i, F&& f) const {
        const auto columns = static_cast<std::size_t>(grid.columns);
        const std::size_t column = i % columns;
        if (column > 0) f(i - 1);
        if (column + 1 < columns) f(i + 1);
        if (i >= columns) f(i - columns);
        if (i + columns < through.size()) f(i + columns);
    }
};

Field field_of(const SetupToProve& setup, const Sequence& sequence, const PathTree& through, int threads) {
    double smallest = 3;
    for (const Run& run : sequence.runs)
        smallest = std::min(smallest, 2 * run.body.radius());
    const plane::Shape outline{setup.stock.outline};
    Field field{grid_over(plane::bounds(outline), std::max(0.25, smallest / 3), kMostPoints), {}};
    const RowSpans spans(outline, field.grid);
    const int columns = field.grid.columns;
    field.through.resize(static_cast<std::size_t>(columns) * static_cast<std::size_t>(field.grid.rows));
    parallel_for(static_cast<std::size_t>(field.grid.rows), threads, [&](std::size_t row) {
        std::vector<std::uint8_t> mask(static_cast<std::size_t>(columns));
        spans.fill(static_cast<int>(row), 0, columns, mask.data());
        for (int column = 0; column < columns; ++column) {
            const std::size_t i = field.index(column, static_cast<int>(row));
            field.through[i] = kNoStock;
            if (!mask[static_cast<std::size_t>(column)]) continue;
            const auto first = through.first_over(field.at(i), 0);
            field.through[i] = first ? static_cast<std::uint32_t>(*first) : kNever;
        }
    });
    return field;
}

/// Marks what is held: points under clamps, else the largest piece left in the end.
void anchor(const SetupToProve& setup, const Field& field, Sets& sets) {
    bool any = false;
    for (const shop::Clamp& clamp : setup.clamps)
        for (std::size_t i = 0; i < field.through.size(); ++i) {
            const Vec p = field.at(i);
            if (field.through[i] != kNever || p.x < clamp.at.x || p.y < clamp.at.y || p.x > clamp.at.x + clamp.size.x ||
                p.y > clamp.at.y + clamp.size.y)
                continue;
            sets.anchor(static_cast<std::uint32_t>(i));
            any = true;
        }
    if (any) return;
    std::uint32_t largest = kNever;
    for (std::size_t i = 0; i < field.through.size(); ++i)
        if (field.through[i] == kNever) {
            const std::uint32_t root = sets.root(static_cast<std::uint32_t>(i));
            if (largest == kNever || sets.size(root) > sets.size(largest)) largest = root;
        }
    if (largest != kNever) sets.anchor(largest);
}

/// Points that stand for parts: one well inside each.
std::vector<std::size_t> part_points(const SetupToProve& setup, const Field& field) {
    std::vector<std::size_t> points;
    for (const AskedPart& part : setup.parts) {
        const Vec p = plane::inner_point(part.outline);
        const int column = static_cast<int>(std::floor((p.x - field.grid.low.x) / field.grid.cell));
        const int row = static_cast<int>(std::floor((p.y - field.grid.low.y) / field.grid.cell));
        points.push_back(
            field.index(std::clamp(column, 0, field.grid.columns - 1), std::clamp(row, 0, field.grid.rows - 1)));
    }
    return points;
}

/// Points of pieces that are told already.
std::vector<std::size_t> points_of(const std::vector<FreePiece>& pieces, const Field& field) {
    std::vector<std::size_t> points;
    for (const FreePiece& piece : pieces)
        points.push_back(field.index(static_cast<int>(std::floor((piece.at.x - field.grid.low.x) / field.grid.cell)),
                                     static_cast<int>(std::floor((piece.at.y - field.grid.low.y) / field.grid.cell))));
    return points;
}

/// Backwards in time: the points that one piece of path takes away come back, and join what they had parted.
class Backwards {
  public:
    /// Pieces that hold one of `known` are told already.
    Backwards(const SetupToProve& setup, const Field& field, const PathTree& through,
              const std::vector<FreePiece>& known)
        : field_(field), through_(through), sets_(field.through.size()), part_points_(part_points(setup, field)),
          known_(points_of(known, field)) {
        for (std::size_t i = 0; i < field.through.size(); ++i)
            if (field.through[i] == kNever) join_around(i, kNever);
        anchor(setup, field, sets_);
    }

    [[nodiscard]] std::vector<FreePiece> pieces() {
        std::vector<std::uint32_t> order;
        for (std::size_t i = 0; i < field_.through.size(); ++i)
            if (field_.through[i] < kNoStock) order.push_back(static_cast<std::uint32_t>(i));
        std::sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
            return std::pair(field_.through[b], a) < std::pair(field_.through[a], b);
        });
        for (std::size_t first = 0; first < order.size();) {
            std::size_t last = first;
            while (last < order.size() && field_.through[order[last]] == field_.through[order[first]])
                ++last;
            bring_back({order.data() + first, order.data() + last});
            first = last;
        }
        std::reverse(found_.begin(), found_.end());
        return std::move(found_);
    }

  private:
    struct Range {
        const std::uint32_t *first, *last;
        [[nodiscard]] const std::uint32_t* begin() const { return first; }
        [[nodiscard]] const std::uint32_t* end() const { return last; }
    };

    /// Joins a point to those neighbours that are cut at `time` or later, or never.
    void join_around(std::size_t i, std::uint32_t time) {
        field_.neighbours(i, [&](std::size_t j) {
            if (field_.through[j] == kNever || (field_.through[j] != kNoStock && field_.through[j] >= time))
                sets_.join(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j));
        });
    }

    void bring_back(Range points) {
        const std::uint32_t time = field_.through[*points.begin()];
        std::vector<std::uint32_t> around; // the sets that border on these points, before they are joined
        for (const std::uint32_t i : points)
            field_.neighbours(i, [&](std::size_t j) {
                if (field_.through[j] == kNever || (field_.through[j] != kNoStock && field_.through[j] > time))
                    around.push_back(sets_.root(static_cast<std::uint32_t>(j)));
            });
        std::sort(around.begin(), around.end());
        around.erase(std::unique(around.begin(), around.end()), around.end());
        std::vector<FreePiece> apart;
        std::vector<std::uint32_t> roots;
        for (const std::uint32_t root : around)
            if (!sets_.anchored(root) && sets_.size(root) * area_of_point() >= kSmallest && !is_known(root)) {
                apart.push_back(piece_of(root, time));
                roots.push_back(root);
            }
        for (const std::uint32_t i : points) {
            sets_.set_cut(i, time);
            join_around(i, time);
        }
        for (std::size_t k = apart.size(); k-- > 0;)
            if (sets_.anchored(sets_.root(roots[k]))) found_.push_back(apart[k]);
    }

    [[nodiscard]] double area_of_point() const { return field_.grid.cell * field_.grid.cell; }

    [[nodiscard]] bool is_known(std::uint32_t root) {
        return std::any_of(known_.begin(), known_.end(),
                           [&](std::size_t i) { return sets_.root(static_cast<std::uint32_t>(i)) == root; });
    }

    FreePiece piece_of(std::uint32_t root, std::uint32_t time) {
        FreePiece piece;
        piece.move = through_.pieces()[time].move;
        piece.at = field_.at(root);
        piece.area = sets_.size(root) * area_of_point();
        for (std::size_t part = 0; part < part_points_.size(); ++part)
            if (field_.through[part_points_[part]] != kNoStock &&
                sets_.root(static_cast<std::uint32_t>(part_points_[part])) == root)
                piece.part = part;
        if (sets_.cut(root) != kNever) {
            piece.cut_piece = through_.pieces()[sets_.cut(root)];
            piece.cut = piece.cut_piece.move;
        }
        return piece;
    }

    const Field& field_;
    const PathTree& through_;
    Sets sets_;
    std::vector<std::size_t> part_points_;
    std::vector<std::size_t> known_;
    std::vector<FreePiece> found_;
};

/// Pieces parted by what cuts lower than `level` above the underside, but for those in `known`.
std::vector<FreePiece> parted(const SetupToProve& setup, const Sequence& sequence, double level, HeldBy held,
                              const std::vector<FreePiece>& known, int threads) {
    const double limit = setup.stock.bottom + level;
    const PathTree through = path_at_level(sequence, {limit, limit, false, true});
    if (through.empty()) return {};
    const Field field = field_of(setup, sequence, through, threads);
    std::vector<FreePiece> pieces = Backwards(setup, field, through, known).pieces();
    for (FreePiece& piece : pieces)
        piece.held = held;
    return pieces;
}

HeldBy held_from_below(const SetupToProve& setup) {
    if (setup.holds.count(shop::Hold::vacuum)) return HeldBy::vacuum;
    return setup.holds.count(shop::Hold::tape) ? HeldBy::tape : HeldBy::nothing;
}

} // namespace

std::vector<FreePiece> free_pieces(const SetupToProve& setup, const Sequence& sequence, int threads) {
    double skin = 0, tab = 0;
    for (const AskedPart& part : setup.parts) {
        skin = std::max(skin, part.skin);
        for (const AskedTab& one : part.tabs)
            tab = std::max(tab, one.thickness);
    }
    std::vector<FreePiece> pieces = parted(setup, sequence, kStillAttached, held_from_below(setup), {}, threads);
    for (const auto& [height, held] : {std::pair(skin, HeldBy::skin), std::pair(tab, HeldBy::tabs)}) {
        if (height <= 0) continue;
        const std::vector<FreePiece> more =
            parted(setup, sequence, height + setup.tolerances.floor, held, pieces, threads);
        pieces.insert(pieces.end(), more.begin(), more.end());
    }
    std::stable_sort(pieces.begin(), pieces.end(),
                     [](const FreePiece& a, const FreePiece& b) { return a.move < b.move; });
    return pieces;
}

namespace {

std::string name_of(const SetupToProve& setup, const FreePiece& piece) {
    return piece.part != FreePiece::kNoPart ? setup.parts[piece.part].id
                                            : fmt::format("a loose scrap of {:.0f} mm2", piece.area);
}

Finding freed_finding(const SetupToProve& setup, const Sequence& sequence, const FreePiece& free, const Piece& by,
                      const char* what) {
    Finding finding = finding_at(sequence, FindingKind::freed_part_hit, by, 0.5);
    const motion::Move& freed_by = sequence.moves[free.move];
    finding.text = fmt::format("{} {}, which line {} of {} has cut free and nothing holds", what, name_of(setup, free),
                               freed_by.line, sequence.run_of_move(free.move).file);
    return finding;
}

/// Moves after the freeing one that run along the part's edge, beyond the overlap at the end of a contour.
void rubbing(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting, const FreePiece& free,
             std::vector<Finding>& findings) {
    const AskedPart& part = setup.parts[free.part];
    const plane::EdgeIndex edges(plane::Shape{part.outline});
    double way = 0;
    bool told = false;
    cutting.visit(plane::bounds(part.outline), [&](std::size_t i) {
        const Piece& piece = cutting.pieces()[i];
        if (piece.move <= free.move || told) return;
        const motion::Vec3 middle = point_on(piece, 0.5);
        if (!edges.nearest({middle.x, middle.y}, cutting.radius(i) + kRub)) return;
        const double rise = piece.to.z - piece.from.z;
        const double length = length_of(piece);
        way += std::sqrt(std::max(0.0, length * length - rise * rise));
        if (way <= kOverlap) return;
        Finding finding = freed_finding(setup, sequence, free, piece, "runs along");
        finding.value = way;
        finding.bound = kOverlap;
        findings.push_back(std::move(finding));
        told = true;
    });
}

} // namespace

std::vector<Finding> freed_part_findings(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting,
                                         const std::vector<FreePiece>& pieces) {
    std::vector<Finding> findings;
    for (const FreePiece& free : pieces) {
        if (free.held != HeldBy::nothing) continue;
        if (free.cut) {
            findings.push_back(freed_finding(setup, sequence, free, free.cut_piece, "cuts into"));
            continue;
        }
        if (free.part != FreePiece::kNoPart) rubbing(setup, sequence, cutting, free, findings);
    }
    return findings;
}

} // namespace kerfwright::proof
