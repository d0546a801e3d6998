#include "drawing/partition.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::drawing {
namespace {

using plane::Box;
using plane::Point;
using plane::Ring;
using plane::Vec;

constexpr std::size_t kMostVertices = 8'000'000;
constexpr double kLargestSnap = 5; ///< mm

std::optional<Problem> check_options(const std::string& file, const ReadOptions& options) {
    if (options.snap >= 0 && options.snap <= kLargestSnap) return std::nullopt;
    return Problem{file, 0, 0, fmt::format("snap = {} mm is no distance between borders", options.snap),
                   fmt::format("give 0 to {} mm, for example 0.05", kLargestSnap)};
}

/// An outline that was left open can be no region; the reader has said where.
std::optional<Problem> check_open(const Sketch& sketch, const std::string& file) {
    for (const Note& note : sketch.notes)
        if (note.kind == Note::Kind::open_outline)
            return Problem{file, 0, 0, note.text, "close the outline in the drawing, or take it out"};
    return std::nullopt;
}

void shift(Ring& ring, Point by) {
    for (Point& p : ring)
        p = {p.x + by.x, p.y + by.y};
}

Point low_corner(const std::vector<DrawnRing>& rings) {
    Point low{plane::kRange, plane::kRange};
    for (const DrawnRing& ring : rings)
        for (const Point p : ring.points)
            low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    return low;
}

/// Rings with their low corner at the origin.
Result<Drawn> drawn_from(Sketch& sketch, const std::vector<NamedOutlines>& named, const std::string& file) {
    Drawn drawn;
    drawn.outlines.resize(sketch.outlines.size());
    for (std::size_t r = 0; r < named.size(); ++r) {
        drawn.names.push_back(named[r].name);
        for (const std::size_t i : named[r].outlines)
            drawn.outlines[i] = {static_cast<int>(r), sketch.outlines[i].even_odd, sketch.outlines[i].line};
    }
    std::size_t vertices = 0;
    Box box;
    for (std::size_t i = 0; i < sketch.outlines.size(); ++i)
        for (Ring& ring : sketch.outlines[i].rings) {
            ring.erase(std::unique(ring.begin(), ring.end()), ring.end());
            while (ring.size() > 1 && ring.front() == ring.back())
                ring.pop_back();
            if (ring.size() < 3) continue;
            vertices += ring.size();
            plane::extend(box, plane::bounds(ring));
            drawn.rings.push_back({std::move(ring), static_cast<int>(i), 1});
        }
    if (drawn.rings.empty())
        return Problem{file, 0, 0, "there is no closed outline in the drawing", "draw each region as a closed outline"};
    if (vertices > kMostVertices)
        return Problem{file, 0, 0,
                       fmt::format("the drawing has {} vertices, more than {} can be taken", vertices, kMostVertices),
                       "simplify the drawing"};
    if (std::max(box.width(), box.height()) >= plane::kRangeMm)
        return Problem{file, 0, 0, fmt::format("the set would be {:.0f} × {:.0f} mm large", box.width(), box.height()),
                       fmt::format("give a width or a scale that keeps it below {:.0f} mm", plane::kRangeMm)};
    const Point low = low_corner(drawn.rings);
    for (DrawnRing& ring : drawn.rings)
        shift(ring.points, {-low.x, -low.y});
    return drawn;
}

std::vector<RingSegment> segments_of(const std::vector<DrawnRing>& rings) {
    std::vector<RingSegment> segments;
    for (std::size_t r = 0; r < rings.size(); ++r) {
        const Ring& ring = rings[r].points;
        for (std::size_t i = 0; i < ring.size() && ring.size() > 2; ++i)
            segments.push_back({ring[i], ring[(i + 1) % ring.size()], static_cast<int>(r)});
    }
    return segments;
}

void note_moved(const std::vector<MovedVertices>& moved, const Drawn& drawn, std::vector<Note>& notes) {
    for (const MovedVertices& sum : moved) {
        if (sum.farthest < kWorthNoting) continue;
        const std::string& name =
            drawn.names[static_cast<std::size_t>(drawn.outlines[static_cast<std::size_t>(sum.outline)].region)];
        notes.push_back(
            {Note::Kind::vertices_moved,
             fmt::format("{} {} of \"{}\" moved onto neighbours, by up to {:.3f} mm, there near ({:.2f}, {:.2f}) mm",
                         sum.count, sum.count == 1 ? "vertex" : "vertices", name, sum.farthest, sum.at.x, sum.at.y),
             {name},
             sum.at,
             sum.farthest});
    }
}

/// To the finished frame: lower left corner of what is left at the origin.
void settle(Drawing& drawing) {
    Point low{plane::kRange, plane::kRange};
    Point high{0, 0};
    for (const Region& region : drawing.regions)
        for (const plane::Polygon& polygon : region.shape)
            for (const Point p : polygon.outer) {
                low = {std::min(low.x, p.x), std::min(low.y, p.y)};
                high = {std::max(high.x, p.x), std::max(high.y, p.y)};
            }
    for (Region& region : drawing.regions)
        for (plane::Polygon& polygon : region.shape) {
            shift(polygon.outer, {-low.x, -low.y});
            for (Ring& hole : polygon.holes)
                shift(hole, {-low.x, -low.y});
        }
    for (Note& note : drawing.notes)
        note.at = note.at - plane::to_mm(low);
    drawing.width = plane::to_mm({high.x - low.x, 0}).x;
    drawing.height = plane::to_mm({0, high.y - low.y}).y;
}

Problem crowded(const std::string& file, const Drawn& drawn) {
    return {file, 0, 0, fmt::format("the vertices lie closer than snap = {} mm nearly everywhere", drawn.snap),
            "give the set its finished width, or a smaller snap"};
}

Problem tangled(const std::string& file, std::string what) {
    return {file, 0, 0, std::move(what), "this is no drawing of regions side by side: check scale and layers"};
}

} // namespace

Result<Drawing> make_partition(Sketch sketch, const std::string& file, const ReadOptions& options) {
    if (auto problem = check_options(file, options)) return *problem;
    if (auto problem = check_open(sketch, file)) return *problem;
    Drawing drawing;
    auto named = name_regions(sketch, file, options, drawing.notes);
    if (!named) return named.problem();
    auto drawn = drawn_from(sketch, named.value(), file);
    if (!drawn) return drawn.problem();
    Drawn& all = drawn.value();
    all.snap = options.snap;
    const std::int64_t snap = std::llround(options.snap / plane::kGrid);
    const auto moved = merge_vertices(all.rings, snap);
    if (!moved) return crowded(file, all);
    note_moved(*moved, all, drawing.notes);
    for (DrawnRing& ring : all.rings)
        ring.sign = plane::signed_area(ring.points) < 0 ? -1 : 1;

    std::vector<RingSegment> segments = segments_of(all.rings);
    const auto links = bridges(all.rings, snap);
    if (!links) return crowded(file, all);
    segments.insert(segments.end(), links->begin(), links->end());
    const auto pieces = noded(std::move(segments));
    if (!pieces) return tangled(file, "the outlines cross each other in too many places");
    const Arrangement faces(*pieces);
    if (const auto at = faces.too_deep())
        return tangled(file, fmt::format("more than {} outlines lie on top of each other near ({:.2f}, {:.2f}) mm",
                                         kDeepestCover, plane::to_mm(*at).x, plane::to_mm(*at).y));
    auto owner = find_owners(faces, all, file, drawing.notes);
    if (!owner) return owner.problem();
    std::vector<plane::Shape> shapes = trace_regions(faces, owner.value(), all);
    for (std::size_t r = 0; r < shapes.size(); ++r) {
        const Outline& first = sketch.outlines[named.value()[r].outlines.front()];
        if (!shapes[r].empty()) {
            drawing.regions.push_back({named.value()[r].name, first.fill, std::move(shapes[r]), first.line});
            continue;
        }
        drawing.notes.push_back({Note::Kind::ignored,
                                 fmt::format("nothing is left of \"{}\": it is smaller than snap or covered by others",
                                             named.value()[r].name),
                                 {named.value()[r].name},
                                 {},
                                 0});
    }
    if (drawing.regions.empty())
        return Problem{file, 0, 0, "every outline of the drawing is smaller than snap", "check the width or the scale"};
    settle(drawing);
    drawing.notes.insert(drawing.notes.begin(), sketch.notes.begin(), sketch.notes.end());
    std::sort(drawing.regions.begin(), drawing.regions.end(),
              [](const Region& a, const Region& b) { return a.name < b.name; });
    note_widths(drawing.regions, drawing.notes);
    drawing.seams = find_seams(drawing.regions);
    note_near_misses(drawing, options.snap, drawing.notes);
    return drawing;
}

} // namespace kerfwright::drawing
