#include "layout/raster.hpp"

#include <algorithm>
#include <cmath>

namespace kerfwright::layout {
namespace {

// Contacts with the border between two cells count for both.
constexpr double kTouch = 1e-9;

int cell_of(double v, double cell) {
    return static_cast<int>(std::floor(v / cell));
}

/// Spans of cells touched by the even-odd inside of the rings, for columns 0 to columns - 1; `origin` is the corner of
/// cell (0, 0). Rows are not bounded. A cell is touched when an edge passes through it or its column's middle line is
/// inside there.
std::vector<Span> touched(const std::vector<Outline>& rings, plane::Vec origin, double cell, int columns) {
    std::vector<Span> spans;
    std::vector<std::vector<double>> crossings(static_cast<std::size_t>(std::max(columns, 0)));
    for (const Outline& ring : rings) {
        for (std::size_t i = 0; i < ring.size(); ++i) {
            plane::Vec a = ring[i] - origin;
            plane::Vec b = ring[(i + 1) % ring.size()] - origin;
            if (b.x < a.x) std::swap(a, b);
            const int first = std::max(0, cell_of(a.x - kTouch, cell));
            const int last = std::min(columns - 1, cell_of(b.x + kTouch, cell));
            const double slope = b.x > a.x ? (b.y - a.y) / (b.x - a.x) : 0;
            for (int c = first; c <= last; ++c) {
                double from = a.y;
                double to = b.y;
                if (b.x > a.x) {
                    if (a.x < c * cell) from = a.y + (c * cell - a.x) * slope;
                    if (b.x > (c + 1) * cell) to = a.y + ((c + 1) * cell - a.x) * slope;
                }
                spans.push_back(
                    {c, cell_of(std::min(from, to) - kTouch, cell), cell_of(std::max(from, to) + kTouch, cell)});
                const double middle = (c + 0.5) * cell;
                if (a.x <= middle && middle < b.x)
                    crossings[static_cast<std::size_t>(c)].push_back(a.y + (middle - a.x) * slope);
            }
        }
    }
    for (int c = 0; c < columns; ++c) {
        auto& ys = crossings[static_cast<std::size_t>(c)];
        std::sort(ys.begin(), ys.end());
        for (std::size_t k = 0; k + 1 < ys.size(); k += 2)
            spans.push_back({c, cell_of(ys[k], cell), cell_of(ys[k + 1], cell)});
    }
    std::sort(spans.begin(), spans.end(), [](const Span& a, const Span& b) {
        return a.column != b.column ? a.column < b.column : a.low != b.low ? a.low < b.low : a.high < b.high;
    });
    std::vector<Span> merged;
    for (const Span& span : spans) {
        if (!merged.empty() && merged.back().column == span.column && span.low <= merged.back().high + 1)
            merged.back().high = std::max(merged.back().high, span.high);
        else
            merged.push_back(span);
    }
    return merged;
}

} // namespace

Stencil make_stencil(const Outline& turned, double cell) {
    // A hair inside its first cell, so that it does not touch the cells before.
    constexpr double kHair = 1e-6;
    const plane::Box box = bounds(turned);
    Stencil stencil;
    stencil.corner = box.low - plane::Vec{kHair, kHair};
    stencil.columns = cell_of(box.high.x - stencil.corner.x + kTouch, cell) + 1;
    stencil.spans = touched({turned}, stencil.corner, cell, stencil.columns);
    for (const Span& span : stencil.spans)
        stencil.rows = std::max(stencil.rows, span.high + 1);
    std::stable_sort(stencil.spans.begin(), stencil.spans.end(),
                     [](const Span& a, const Span& b) { return a.high - a.low > b.high - b.low; });
    return stencil;
}

Raster::Raster(plane::Box area, double cell)
    : area_(area), cell_(cell), columns_(std::max(1, cell_of(area.width(), cell))),
      rows_(std::max(1, cell_of(area.height(), cell))) {
    const std::size_t cells = static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_ + 1);
    taken_.assign(cells, 0);
    next_.assign(cells, rows_);
    last_.assign(cells, 0);
}

plane::Vec Raster::corner(int column, int row) const {
    return area_.low + plane::Vec{column * cell_, row * cell_};
}

void Raster::take_spans(const std::vector<Span>& spans) {
    for (std::size_t i = 0; i < spans.size(); ++i) {
        const int low = std::max(0, spans[i].low);
        const int high = std::min(rows_ - 1, spans[i].high);
        for (int row = low; row <= high; ++row)
            taken_[at(spans[i].column, row)] = 1;
        if (i + 1 == spans.size() || spans[i + 1].column != spans[i].column) reindex(spans[i].column);
    }
}

void Raster::reindex(int column) {
    int next = rows_;
    int last = rows_;
    for (int row = rows_ - 1; row >= 0; --row) {
        const std::size_t here = at(column, row);
        if (taken_[here] == 0) {
            next_[here] = next;
            continue;
        }
        if (row == rows_ - 1 || taken_[here + 1] == 0) last = row;
        next = row;
        next_[here] = row;
        last_[here] = last;
    }
}

void Raster::take(const std::vector<Outline>& rings) {
    take_spans(touched(rings, area_.low, cell_, columns_));
}

void Raster::take_outside(const std::vector<Outline>& rings) {
    const plane::Box far = plane::grown(area_, 10 * cell_);
    std::vector<Outline> all = rings;
    all.push_back({far.low, {far.high.x, far.low.y}, far.high, {far.low.x, far.high.y}});
    take(all);
}

int Raster::lowest(const Stencil& stencil, int column) const {
    if (column < 0 || column + stencil.columns > columns_) return -1;
    int row = 0;
    while (row + stencil.rows <= rows_) {
        int jump = row;
        for (const Span& span : stencil.spans) {
            const int hit = next_[at(column + span.column, row + span.low)];
            if (hit > row + span.high) continue;
            jump = last_[at(column + span.column, hit)] + 1 - span.low;
            break;
        }
        if (jump == row) return row;
        row = jump;
    }
    return -1;
}

} // namespace kerfwright::layout
