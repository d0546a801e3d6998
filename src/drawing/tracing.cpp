#include "drawing/tracing.hpp"

#include "drawing/joining.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::drawing {
namespace {

using Kind = Note::Kind;

/// The drawing with every chain closed or set aside.
struct Closed {
    std::vector<std::vector<Chain>> chains; ///< for each item
    std::vector<Note> notes;                ///< places at the file's own size
    plane::Box box;
};

std::string where(const Tracing& item) {
    return item.outline.line > 0 ? fmt::format("{} (line {})", item.what, item.outline.line) : item.what;
}

/// A line back and forth has no area to fill.
bool has_area(const Chain& chain) {
    return chain.pieces.size() > 1 || (chain.pieces.size() == 1 && !std::holds_alternative<Line>(chain.pieces[0]));
}

Closed close_all(const std::vector<Tracing>& items, double snap, double factor) {
    Closed result;
    result.chains.resize(items.size());
    std::vector<OpenChain> open;
    const auto gap_note = [&](std::size_t item, double gap, Vec at, const char* how) {
        const double size = gap * factor;
        if (size <= kFlatness) return;
        result.notes.push_back({Kind::gap_closed,
                                fmt::format("{}: a gap of {:.3g} mm was closed{}", where(items[item]), size, how),
                                {items[item].outline.id},
                                at,
                                size});
    };
    for (std::size_t i = 0; i < items.size(); ++i) {
        for (const Chain& chain : items[i].chains) {
            const bool painted = items[i].painted && has_area(chain);
            if (!chain.closed && !painted) {
                open.push_back({chain, i, items[i].outline.layer});
                continue;
            }
            if (!chain.closed)
                gap_note(i, distance(chain.start, end_of(chain)), chain.start,
                         " by a straight line, as its fill shows it");
            result.chains[i].push_back(chain);
            result.chains[i].back().closed = true;
        }
    }
    Joining joining = join(std::move(open), snap);
    for (JoinedChain& joined : joining.closed) {
        gap_note(joined.item, joined.widest_gap, joined.at, "");
        result.chains[joined.item].push_back(std::move(joined.chain));
    }
    for (const LooseChain& loose : joining.loose) {
        const Tracing& item = items[loose.item];
        const std::string why =
            loose.meeting > 2
                ? fmt::format(
                      "{} ends meet there, so it is not clear which belong together; draw each region as its own "
                      "closed outline",
                      loose.meeting)
                : fmt::format("no other end lies within {:.3g} mm; close it, or give a larger snap", snap * factor);
        result.notes.push_back(
            {Kind::open_outline, fmt::format("{} is open: {}", where(item), why), {item.outline.id}, loose.at, 0});
    }
    for (const auto& chains : result.chains)
        for (const Chain& chain : chains)
            extend(result.box, chain);
    return result;
}

/// Closes and scales. `snap` is in finished millimetres, and the finished scale depends on what is closed: the box of
/// everything gives a first guess, one repetition the answer.
Result<std::pair<Closed, Frame>> closed_in_frame(const std::vector<Tracing>& items, const std::string& file,
                                                 const ReadOptions& options) {
    plane::Box everything;
    for (const Tracing& item : items)
        for (const Chain& chain : item.chains)
            extend(everything, chain);
    double factor = options.scale;
    if (options.width > 0 && everything.width() > 0) factor = options.width / everything.width();
    if (!(factor > 0) || !std::isfinite(factor) || !(options.snap >= 0)) factor = 1;
    Closed closed = close_all(items, options.snap / factor, factor);
    auto frame = finished_frame(closed.box, file, options);
    if (frame && std::abs(frame.value().factor / factor - 1) > 1e-6) {
        factor = frame.value().factor;
        closed = close_all(items, options.snap / factor, factor);
        frame = finished_frame(closed.box, file, options);
    }
    if (frame) return std::pair{std::move(closed), frame.value()};
    Problem problem = frame.problem();
    const auto open = std::find_if(closed.notes.begin(), closed.notes.end(),
                                   [](const Note& n) { return n.kind == Kind::open_outline; });
    if (closed.box.empty() && open != closed.notes.end()) problem.what += fmt::format(": {}", open->text);
    return problem;
}

plane::Ring to_ring(const std::vector<Vec>& points, const Frame& frame) {
    plane::Ring ring;
    ring.reserve(points.size());
    for (const Vec p : points) {
        const plane::Point at = plane::to_grid(frame(p));
        if (ring.empty() || ring.back() != at) ring.push_back(at);
    }
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    return ring;
}

/// Answers which outline is the smallest around a point.
class Surroundings {
  public:
    explicit Surroundings(const std::vector<Outline>& outlines) : outlines_(outlines) {
        for (const Outline& outline : outlines) {
            plane::Box box;
            double area = 0;
            for (const plane::Ring& ring : outline.rings) {
                plane::extend(box, plane::bounds(ring));
                area += std::abs(plane::signed_area(ring));
            }
            boxes_.push_back(box);
            areas_.push_back(area);
        }
    }
    /// outlines.size() for none. Gives up on labels when they cost too much (bounds the time on hostile input).
    std::size_t smallest_around(Vec at) {
        std::size_t best = boxes_.size();
        for (std::size_t i = 0; i < boxes_.size() && work_ < 500'000'000; ++i) {
            ++work_;
            const plane::Box& box = boxes_[i];
            if (!(at.x >= box.low.x && at.y >= box.low.y && at.x <= box.high.x && at.y <= box.high.y)) continue;
            if (best < boxes_.size() && areas_[best] <= areas_[i]) continue;
            int around = 0;
            for (const plane::Ring& ring : outlines_[i].rings) {
                work_ += ring.size();
                if (plane::side_of(ring, plane::to_grid(at)) == plane::Side::inside) ++around;
            }
            if (around % 2 == 1) best = i;
        }
        return best;
    }

  private:
    const std::vector<Outline>& outlines_;
    std::vector<plane::Box> boxes_;
    std::vector<double> areas_;
    std::size_t work_ = 0;
};

/// Gives each label to the smallest outline around it.
void set_labels(Sketch& sketch, const std::vector<Label>& labels, const Frame& frame) {
    Surroundings surroundings(sketch.outlines);
    for (const Label& label : labels) {
        std::size_t around = surroundings.smallest_around(frame(label.at));
        if (around == sketch.outlines.size()) around = surroundings.smallest_around(frame(label.anchor));
        if (around == sketch.outlines.size()) {
            sketch.notes.push_back({Kind::ignored,
                                    fmt::format("text '{}' stands in no closed outline", label.text),
                                    {},
                                    frame(label.at),
                                    0});
            continue;
        }
        auto& properties = sketch.outlines[around].properties;
        const auto known =
            std::find_if(properties.begin(), properties.end(), [](const auto& p) { return p.first == "text"; });
        if (known == properties.end())
            properties.emplace_back("text", label.text);
        else
            known->second += ' ' + label.text;
    }
}

} // namespace

Result<Sketch> sketch(Tracings tracings, const std::string& file, const ReadOptions& options) {
    for (const Tracing& item : tracings.items)
        for (const Chain& chain : item.chains)
            if (!within(chain, kMostMm))
                return Problem{file, item.outline.line, 0,
                               item.what + " has coordinates that are not finite or beyond 1000 km",
                               "mend its coordinates or its transform"};
    auto placed = closed_in_frame(tracings.items, file, options);
    if (!placed) return placed.problem();
    auto& [closed, frame] = placed.value();

    Sketch result;
    std::size_t points = 0;
    for (std::size_t i = 0; i < tracings.items.size(); ++i) {
        Outline outline = std::move(tracings.items[i].outline);
        for (const Chain& chain : closed.chains[i]) {
            const auto flat = flattened(chain, kFlatness / frame.factor, kMostPoints - points);
            points += flat.size();
            if (points >= kMostPoints)
                return Problem{file, outline.line, 0, fmt::format("the drawing needs more than {} points", kMostPoints),
                               "simplify it, or make the finished set smaller"};
            plane::Ring ring = to_ring(flat, frame);
            if (ring.size() >= 3)
                outline.rings.push_back(std::move(ring));
            else
                result.notes.push_back({Kind::ignored,
                                        tracings.items[i].what + " encloses nothing and was left out",
                                        {outline.id},
                                        frame(chain.start),
                                        0});
        }
        if (!outline.rings.empty()) result.outlines.push_back(std::move(outline));
    }
    if (result.outlines.empty())
        return Problem{file, 0, 0, "the drawing has no closed outline with an area",
                       "draw each region as a closed outline"};
    for (auto* notes : {&tracings.notes, &closed.notes})
        for (Note& note : *notes) {
            note.at = frame(note.at);
            result.notes.push_back(std::move(note));
        }
    set_labels(result, tracings.labels, frame);
    return result;
}

} // namespace kerfwright::drawing
