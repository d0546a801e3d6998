#include "removal.hpp"

#include "base/parallel.hpp"

#include <array>
#include <atomic>
#include <cstring>
#include <map>

namespace kerfwright::proof {

using plane::Vec;

namespace {

constexpr double kMostCells = 4e8; ///< larger sheets get larger cells

struct Tile {
    TileFrame frame;
    int column0 = 0, row0 = 0; ///< of its first cell in the grid
    Height highest = 0;        ///< no cell is higher
    std::array<Height, kTile * kTile> heights;
};

/// Takes material away, and sums what was there.
struct Cut {
    Height* heights;
    Height top, bottom;
    std::int64_t removed = 0; ///< heights summed over cells
    std::int64_t squares = 0; ///< of heights in units of 2^kSquareShift, summed over cells

    static constexpr int kSquareShift = 7;

    void run(int row, int first, int last, Height z) {
        Height* h = heights + row * kTile;
        const Height to = std::clamp(z, bottom, top);
        const std::int64_t sum = taken_from(h, first, last, to); // no more than 64 cells of 300 mm
        if (sum > 0) add_squares(h, first, last, to);
        for (int i = first; i < last; ++i)
            h[i] = std::min(h[i], z);
        removed += sum;
    }
    void at(int row, int column, Height z) { run(row, column, column + 1, z); }

  private:
    [[nodiscard]] Height taken_from(const Height* h, int first, int last, Height to) const {
        Height sum = 0;
        for (int i = first; i < last; ++i) {
            const Height was = std::min(std::max(h[i], bottom), top);
            sum += was - std::min(was, to);
        }
        return sum;
    }
    void add_squares(const Height* h, int first, int last, Height to) {
        for (int i = first; i < last; ++i) {
            const Height was = std::min(std::max(h[i], bottom), top);
            const std::int64_t d = (was - std::min(was, to)) >> kSquareShift;
            squares += d * d;
        }
    }
};

/// Finds the highest material above the swept bottom. `sign` -1: heights are handed over mirrored.
struct Probe {
    const Height* heights;
    Height margin;
    Height sign = 1;
    Height worst = 0;
    int cell = -1;

    void run(int row, int first, int last, Height z) {
        const Height* h = heights + row * kTile;
        Height most = kNoMaterial;
        for (int i = first; i < last; ++i)
            most = std::max(most, h[i]);
        const Height limit = sign * z + margin;
        if (most <= limit || most - limit <= worst) return;
        worst = most - limit;
        for (int i = first; i < last; ++i)
            if (h[i] == most) {
                cell = row * kTile + i;
                break;
            }
    }
    void at(int row, int column, Height z) { run(row, column, column + 1, z); }
};

/// The worst contact of one move so far; ties go to the lowest cell, so that the order of tiles does not matter.
struct Worst {
    Height depth = 0;
    std::uint32_t cell = 0;
    std::int32_t part = -1;

    void take(Height d, std::uint32_t c, std::int32_t p) {
        if (d > depth || (d == depth && d > 0 && c < cell)) {
            depth = d;
            cell = c;
            part = p;
        }
    }
};

struct Tally {
    std::int64_t removed = 0;
    std::int64_t squares = 0;
};

struct Contacts {
    Worst hit, stack;
};

/// What one thread found, by piece. Few pieces touch what they should not.
struct Found {
    std::vector<Tally> tallies;
    std::map<std::size_t, Contacts> contacts;
};

/// What is the same for every tile.
struct Field {
    const RemovalTask& task;
    Grid grid;
    RowSpans stock;
    std::vector<RowSpans> zones;
    PathTree tree;
    Height top = 0, bottom = 0, start = 0;
    int tile_columns = 0, tile_rows = 0;
};

constexpr double kStretch = 4;         ///< mm
constexpr double kMostStretches = 4e6; ///< longer ones are taken where it would be more

/// How long the stretches of a run's feeds are, in its own measure (kStretch or the radius): 1 but for huge programs.
double stretch_scale(const Sequence& sequence, double top) {
    double count = 0;
    for (const Piece& piece : sequence.pieces)
        if (!piece.rapid && piece.lowest() < top)
            count += length_of(piece) / std::max(kStretch, sequence.run(piece).body.radius());
    return std::max(1.0, count / kMostStretches);
}

/// Pieces that come low enough for the cutter or what is above it, with how far they reach sideways.
PathTree low_pieces(const RemovalTask& task, double top) {
    const Sequence& sequence = *task.sequence;
    const double scale = task.by_stretches ? stretch_scale(sequence, top) : 1;
    std::vector<Piece> pieces;
    std::vector<double> radii;
    pieces.reserve(sequence.pieces.size());
    radii.reserve(sequence.pieces.size());
    for (const Piece& piece : sequence.pieces) {
        const Run& run = sequence.run(piece);
        if (piece.lowest() >= top) continue;
        double radius = run.body.radius();
        for (const StackPart& part : run.stack)
            if (piece.lowest() + part.from < top) radius = std::max(radius, part.radius);
        const double stretches =
            task.by_stretches && !piece.rapid ? length_of(piece) / (scale * std::max(kStretch, run.body.radius())) : 1;
        const int count = static_cast<int>(std::clamp(std::ceil(stretches), 1.0, 10'000.0));
        for (int i = 0; i < count; ++i) {
            pieces.push_back(count == 1
                                 ? piece
                                 : stretch(piece, static_cast<double>(i) / count, static_cast<double>(i + 1) / count));
            radii.push_back(radius);
        }
    }
    return {std::move(pieces), std::move(radii)};
}

Field field_of(const RemovalTask& task) {
    const Stock& stock = *task.stock;
    const plane::Shape outline{stock.outline};
    Field field{task, grid_over(plane::bounds(outline), task.cell, kMostCells), {}, {}, {}};
    field.stock = RowSpans(outline, field.grid);
    for (const Zone& zone : *task.zones)
        field.zones.emplace_back(zone.area, field.grid);
    field.top = to_height(stock.top);
    field.bottom = to_height(stock.bottom);
    field.start = to_height(stock.top + stock.thickness_spread);
    field.tree = low_pieces(task, stock.top + stock.thickness_spread);
    field.tile_columns = (field.grid.columns + kTile - 1) / kTile;
    field.tile_rows = (field.grid.rows + kTile - 1) / kTile;
    return field;
}

void set_up(const Field& field, std::size_t index, Tile& tile) {
    const Grid& grid = field.grid;
    tile.column0 = static_cast<int>(index % static_cast<std::size_t>(field.tile_columns)) * kTile;
    tile.row0 = static_cast<int>(index / static_cast<std::size_t>(field.tile_columns)) * kTile;
    tile.frame.first = {grid.x(tile.column0), grid.y(tile.row0)};
    tile.frame.cell = grid.cell;
    tile.frame.columns = std::min(kTile, grid.columns - tile.column0);
    tile.frame.rows = std::min(kTile, grid.rows - tile.row0);
    tile.highest = field.start;
    std::uint8_t mask[kTile];
    for (int row = 0; row < kTile; ++row) {
        field.stock.fill(row < tile.frame.rows ? tile.row0 + row : -1, tile.column0, kTile, mask);
        for (int column = 0; column < kTile; ++column)
            tile.heights[static_cast<std::size_t>(row * kTile + column)] =
                mask[column] && column < tile.frame.columns ? field.start : kNoMaterial;
    }
}

std::uint32_t grid_cell(const Field& field, const Tile& tile, int cell) {
    return static_cast<std::uint32_t>(tile.row0 + cell / kTile) * static_cast<std::uint32_t>(field.grid.columns) +
           static_cast<std::uint32_t>(tile.column0 + cell % kTile);
}

Vec place_of(const Grid& grid, std::uint32_t cell) {
    const auto columns = static_cast<std::uint32_t>(grid.columns);
    return {grid.x(static_cast<int>(cell % columns)), grid.y(static_cast<int>(cell / columns))};
}

/// The four sides of the box that a rapid may wander in, at its lowest height.
void sweep_box(const Piece& piece, const CutterBody& body, const Tile& tile, Probe& probe) {
    const plane::Box box = plane::grown(box_of(piece), body.radius());
    const Columns columns = columns_in(tile.frame, box.low.x, box.high.x);
    for (int row = 0; row < tile.frame.rows; ++row) {
        const double y = tile.frame.centre(0, row).y;
        if (y >= box.low.y && y <= box.high.y) probe.run(row, columns.first, columns.last, to_height(piece.lowest()));
    }
}

void probe_cutter(const Field& field, const Piece& piece, const Run& run, const Tile& tile, std::size_t index,
                  Found& found) {
    Probe probe{tile.heights.data(), to_height(field.task.height_margin)};
    const CutterBody body = run.body.thinner(field.task.side_margin);
    if (field.task.boxed[piece.move])
        sweep_box(piece, body, tile, probe);
    else
        sweep(piece, body, tile.frame, probe);
    if (probe.cell >= 0) found.contacts[index].hit.take(probe.worst, grid_cell(field, tile, probe.cell), -1);
}

Piece mirrored(Piece piece) {
    piece.from.z = -piece.from.z;
    piece.to.z = -piece.to.z;
    return piece;
}

/// A part no wider than the cutter follows it into its own cut, so the height at which it enters counts; a wider one
/// meets what stands beside the cut, at its lowest.
void probe_stack(const Field& field, const Piece& piece, const Run& run, const Tile& tile, std::size_t index,
                 Found& found) {
    for (std::size_t i = 0; i < run.stack.size(); ++i) {
        const StackPart& part = run.stack[i];
        if (to_height(piece.lowest() + part.from) >= tile.highest) break;
        shop::Cutter solid;
        solid.DC = 2 * part.radius;
        const CutterBody body = CutterBody(solid).thinner(field.task.side_margin);
        Probe probe{tile.heights.data(), to_height(field.task.height_margin + part.from)};
        if (part.radius <= run.body.radius() + field.task.side_margin) {
            probe.sign = -1;
            sweep(mirrored(piece), body, tile.frame, probe);
        } else {
            sweep(piece, body, tile.frame, probe);
        }
        if (probe.cell >= 0)
            found.contacts[index].stack.take(probe.worst, grid_cell(field, tile, probe.cell),
                                             static_cast<std::int32_t>(i));
    }
}

void run_moves(const Field& field, Tile& tile, Found& found) {
    const Sequence& sequence = *field.task.sequence;
    const double cell = field.grid.cell;
    plane::Box box;
    extend(box, tile.frame.first - Vec{cell, cell});
    extend(box, tile.frame.centre(tile.frame.columns, tile.frame.rows));
    int since_look = 0;
    field.tree.visit(box, [&](std::size_t index) {
        const Piece& piece = field.tree.pieces()[index];
        if (to_height(piece.lowest()) >= tile.highest) return;
        const Run& run = sequence.run(piece);
        probe_stack(field, piece, run, tile, index, found);
        if (field.task.ask_hit[piece.move]) probe_cutter(field, piece, run, tile, index, found);
        Cut cut{tile.heights.data(), field.top, field.bottom};
        sweep(piece, run.body, tile.frame, cut);
        found.tallies[index].removed += cut.removed;
        found.tallies[index].squares += cut.squares;
        if (++since_look == 64) {
            since_look = 0;
            tile.highest = *std::max_element(tile.heights.begin(), tile.heights.end());
        }
    });
}

/// Marks the cells of a zone whose eight neighbours belong to it too.
bool inner_cells(const RowSpans& area, const Tile& tile, std::array<std::uint8_t, kTile * kTile>& inner) {
    constexpr int wide = kTile + 2;
    std::array<std::uint8_t, wide * wide> mask;
    for (int row = 0; row < wide; ++row)
        area.fill(tile.row0 + row - 1, tile.column0 - 1, wide, mask.data() + row * wide);
    bool any = false;
    for (int row = 0; row < tile.frame.rows; ++row)
        for (int column = 0; column < tile.frame.columns; ++column) {
            std::uint8_t all = 1;
            for (int dy = 0; dy < 3; ++dy)
                for (int dx = 0; dx < 3; ++dx)
                    all &= mask[static_cast<std::size_t>((row + dy) * wide + column + dx)];
            inner[static_cast<std::size_t>(row * kTile + column)] = all;
            any |= all != 0;
        }
    return any;
}

void look_at_zone(const Field& field, std::size_t index, const Tile& tile, std::vector<ZoneSpot>& spots) {
    const Zone& zone = (*field.task.zones)[index];
    std::array<std::uint8_t, kTile * kTile> inner;
    if (!inner_cells(field.zones[index], tile, inner)) return;
    const Height low = to_height(zone.low);
    const Height high = to_height(zone.high);
    ZoneSpot missing{index, true, 1e9, {}, 0};
    ZoneSpot standing{index, false, -1e9, {}, 0};
    for (int row = 0; row < tile.frame.rows; ++row)
        for (int column = 0; column < tile.frame.columns; ++column) {
            const auto i = static_cast<std::size_t>(row * kTile + column);
            const Height h = tile.heights[i];
            if (!inner[i] || (h >= low && h <= high)) continue;
            ZoneSpot& spot = h < low ? missing : standing;
            const double z = height_mm(std::max(h, field.bottom));
            if (spot.cells++ == 0 || (spot.low ? z < spot.z : z > spot.z)) {
                spot.z = z;
                spot.at = tile.frame.centre(column, row);
            }
        }
    for (const ZoneSpot& spot : {missing, standing})
        if (spot.cells > 0) spots.push_back(spot);
}

void look_at_zones(const Field& field, const Tile& tile, std::vector<ZoneSpot>& spots) {
    plane::Box box;
    extend(box, tile.frame.first);
    extend(box, tile.frame.centre(tile.frame.columns, tile.frame.rows));
    for (std::size_t i = 0; i < field.zones.size(); ++i)
        if (overlap(field.zones[i].box(), box)) look_at_zone(field, i, tile, spots);
}

/// Mean of the depths of cut, each cell weighed by what it lost: cells that a neighbour's cut has left a film on do not
/// count.
double mean_depth(std::int64_t removed, std::int64_t squares) {
    const double unit = height_mm(std::int64_t{1} << Cut::kSquareShift);
    return static_cast<double>(squares) * unit * unit / height_mm(removed);
}

/// Adds up what the threads found, by piece and by move.
void sum_up(const Field& field, const std::vector<Found>& by_thread, Removal& removal) {
    const std::vector<Piece>& pieces = field.tree.pieces();
    const double cell_area = field.grid.cell * field.grid.cell;
    removal.moves.resize(field.task.sequence->moves.size());
    removal.taken.reserve(pieces.size());
    for (std::size_t first = 0; first < pieces.size();) {
        const std::uint32_t move = pieces[first].move;
        Worst hit, stack;
        double way = 0;
        MoveWork& work = removal.moves[move];
        for (; first < pieces.size() && pieces[first].move == move; ++first) {
            std::int64_t removed = 0, squares = 0;
            for (const Found& found : by_thread) {
                removed += found.tallies[first].removed;
                squares += found.tallies[first].squares;
                const auto touch = found.contacts.find(first);
                if (touch == found.contacts.end()) continue;
                const auto& [h, s] = touch->second;
                hit.take(h.depth, h.cell, h.part);
                stack.take(s.depth, s.cell, s.part);
            }
            const Piece& piece = pieces[first];
            const double depth = removed > 0 ? mean_depth(removed, squares) : 0;
            const double length = length_of(piece);
            removal.taken.push_back({move, piece.to, way, length, height_mm(removed) * cell_area, depth});
            way += length;
            work.volume += removal.taken.back().volume;
        }
        work.hit = height_mm(hit.depth);
        work.hit_at = place_of(field.grid, hit.cell);
        work.stack = height_mm(stack.depth);
        work.stack_at = place_of(field.grid, stack.cell);
        work.stack_part = stack.part;
    }
}

} // namespace

Removal remove_material(const RemovalTask& task) {
    const Field field = field_of(task);
    const auto tiles = static_cast<std::size_t>(field.tile_columns) * static_cast<std::size_t>(field.tile_rows);
    const int threads = thread_count(task.threads);
    std::vector<Found> found(static_cast<std::size_t>(threads), {std::vector<Tally>(field.tree.pieces().size()), {}});
    std::vector<std::vector<ZoneSpot>> spots(tiles);
    std::atomic<std::size_t> next{0};
    parallel_for(static_cast<std::size_t>(threads), threads, [&](std::size_t thread) {
        Tile tile;
        for (std::size_t index = next++; index < tiles; index = next++) {
            set_up(field, index, tile);
            run_moves(field, tile, found[thread]);
            look_at_zones(field, tile, spots[index]);
        }
    });
    Removal removal;
    removal.cell = field.grid.cell;
    sum_up(field, found, removal);
    for (const std::vector<ZoneSpot>& of_tile : spots)
        removal.spots.insert(removal.spots.end(), of_tile.begin(), of_tile.end());
    return removal;
}

} // namespace kerfwright::proof
