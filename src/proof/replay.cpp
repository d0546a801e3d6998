#include "proof/replay.hpp"

#include "prove.hpp"
#include "raster.hpp"
#include "sweep.hpp"
#include "timeline.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::proof {

using motion::Move;
using motion::MoveKind;

namespace {

constexpr double kPathError = 0.05; ///< mm between an arc and its chords
constexpr int kMostChords = 1000;   ///< of one arc

/// Lowers the heights of a grid; the smallest of all heights does not depend on the order of moves.
struct Lower {
    std::vector<float>& z;
    int columns;
    double bottom;

    void run(int row, int first, int last, Height h) {
        const auto to = static_cast<float>(std::max(0.0, height_mm(h) - bottom));
        float* cells = z.data() + static_cast<std::ptrdiff_t>(row) * columns;
        for (int i = first; i < last; ++i)
            cells[i] = std::min(cells[i], to);
    }
    void at(int row, int column, Height h) { run(row, column, column + 1, h); }
};

PathPoint point_of(const Move& move, int program, double t, const motion::Vec3& at, double bottom) {
    return {t, at.x, at.y, at.z - bottom, program, move.line, move.kind == MoveKind::rapid};
}

/// Chords that keep within kPathError of a move.
int chords_of(const Move& move) {
    if (move.kind != MoveKind::arc) return 1;
    const double radius = motion::radius_of(move);
    const double step = radius > kPathError ? 2 * std::acos(1 - kPathError / radius) : 1.6;
    return std::clamp(static_cast<int>(std::ceil(motion::sweep_of(move) / step)), 1, kMostChords);
}

/// Leaves out points within `near` mm of the last one kept, where program and kind of the way stay the same.
std::vector<PathPoint> thinned(const std::vector<PathPoint>& points, double near) {
    std::vector<PathPoint> kept;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const PathPoint& p = points[i];
        const bool turns =
            i + 1 == points.size() || points[i + 1].rapid != p.rapid || points[i + 1].program != p.program;
        if (!turns && !kept.empty() &&
            motion::length({p.x - kept.back().x, p.y - kept.back().y, p.z - kept.back().z}) < near)
            continue;
        kept.push_back(p);
    }
    return kept;
}

/// The last resort: every k-th point, and the last.
std::vector<PathPoint> every(const std::vector<PathPoint>& points, std::size_t most) {
    const std::size_t step = (points.size() + most - 2) / (most - 1);
    std::vector<PathPoint> kept;
    for (std::size_t i = 0; i + 1 < points.size(); i += step)
        kept.push_back(points[i]);
    kept.push_back(points.back());
    return kept;
}

} // namespace

struct Replay::Inside {
    Stock stock;
    Sequence sequence;
    Timeline timeline;

    /// The pieces that are done at time t, the last one up to where the cutter is. Pieces of one move have the same
    /// share of its time, near enough for a picture.
    template <class F>
    void each_done(double t, F&& f) const {
        const std::vector<Piece>& pieces = sequence.pieces;
        std::size_t i = 0;
        for (; i < pieces.size() && timeline.start[pieces[i].move + 1] <= t; ++i)
            f(pieces[i]);
        if (i == pieces.size() || timeline.start[pieces[i].move] >= t) return;
        const std::size_t first = i;
        const std::uint32_t move = pieces[first].move;
        while (i < pieces.size() && pieces[i].move == move)
            ++i;
        const double begin = timeline.start[move], end = timeline.start[move + 1];
        double left = (t - begin) / (end - begin) * static_cast<double>(i - first);
        for (std::size_t k = first; k < i && left > 0; ++k, left -= 1)
            f(left >= 1 ? pieces[k] : stretch(pieces[k], 0, left));
    }
};

Replay::Replay(const SetupToProve& setup) {
    auto inside = std::make_shared<Inside>();
    std::vector<Finding> findings;
    inside->stock = setup.stock;
    inside->sequence = sequence_of(setup, findings);
    inside->timeline = timeline_of(inside->sequence, setup.machine);
    inside_ = std::move(inside);
}

double Replay::duration() const {
    return inside_->timeline.start.back();
}

std::vector<double> Replay::program_starts() const {
    std::vector<double> starts;
    const std::vector<Run>& runs = inside_->sequence.runs;
    double at = 0;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (i == 0 || runs[i].text != runs[i - 1].text) starts.push_back(at);
        at += inside_->timeline.run_time[i];
    }
    return starts;
}

Surface Replay::surface_at(double t, int cells) const {
    const Stock& stock = inside_->stock;
    const Sequence& sequence = inside_->sequence;
    const plane::Shape outline{stock.outline};
    const plane::Box box = plane::bounds(outline);
    const double side = std::max({box.width(), box.height(), 1.0});
    const Grid grid = grid_over(box, side / std::clamp(cells, 2, 1024), 2e6);

    Surface surface{grid.x(0), grid.y(0), grid.cell, grid.columns, grid.rows, {}};
    surface.z.resize(static_cast<std::size_t>(grid.columns) * static_cast<std::size_t>(grid.rows));
    const RowSpans spans(outline, grid);
    std::vector<std::uint8_t> mask(static_cast<std::size_t>(grid.columns));
    for (int row = 0; row < grid.rows; ++row) {
        spans.fill(row, 0, grid.columns, mask.data());
        for (int column = 0; column < grid.columns; ++column)
            if (mask[static_cast<std::size_t>(column)])
                surface.z[static_cast<std::size_t>(row * grid.columns + column)] =
                    static_cast<float>(stock.top - stock.bottom);
    }

    std::vector<CutterBody> bodies;
    for (const Run& run : sequence.runs)
        bodies.push_back(run.body.thinner(std::min(0.0, run.body.radius() - grid.cell * std::numbers::sqrt2 / 2)));
    const TileFrame frame{{grid.x(0), grid.y(0)}, grid.cell, grid.columns, grid.rows};
    Lower lower{surface.z, grid.columns, stock.bottom};
    inside_->each_done(t, [&](const Piece& piece) {
        if (piece.lowest() < stock.top) sweep(piece, bodies[piece.program], frame, lower);
    });
    return surface;
}

std::vector<PathPoint> Replay::path(std::size_t most) const {
    const Sequence& sequence = inside_->sequence;
    const double bottom = inside_->stock.bottom;
    std::vector<PathPoint> points;
    for (std::size_t i = 0; i < sequence.moves.size(); ++i) {
        const Move& move = sequence.moves[i];
        const int program = static_cast<int>(sequence.run_of_move(i).text);
        const double begin = inside_->timeline.start[i], end = inside_->timeline.start[i + 1];
        if (points.empty() || points.back().program != program)
            points.push_back(point_of(move, program, begin, move.from, bottom));
        const int count = chords_of(move);
        for (int k = 1; k <= count; ++k) {
            const double share = static_cast<double>(k) / count;
            points.push_back(point_of(move, program, begin + (end - begin) * share,
                                      k == count ? move.to : motion::point_at(move, share), bottom));
        }
    }
    most = std::max<std::size_t>(most, 2);
    for (double near = kPathError / 2; points.size() > most && near < 100; near *= 2)
        points = thinned(points, near);
    return points.size() > most ? every(points, most) : points;
}

} // namespace kerfwright::proof
