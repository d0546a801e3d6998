#include "drawing/partition.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <utility>

namespace kerfwright::drawing {
namespace {

using plane::Shape;
using plane::Vec;

/// Faces that hang together.
using Group = std::vector<int>;

/// What was done to one region or between two, added up over its places.
struct Sum {
    double area = 0, largest = 0;
    int places = 0;
    Vec at; ///< of the largest
    void add(double more, double size, Vec where) {
        area += more;
        ++places;
        if (size <= largest) return;
        largest = size;
        at = where;
    }
    [[nodiscard]] std::string text() const {
        return fmt::format("{:.3g} mm² in {} {}, the largest near ({:.2f}, {:.2f}) mm", area, places,
                           places == 1 ? "place" : "places", at.x, at.y);
    }
};

class OwnerFinder {
  public:
    OwnerFinder(const Arrangement& faces, const Drawn& drawn, const std::string& file, std::vector<Note>& notes)
        : faces_(faces), drawn_(drawn), file_(file), notes_(notes) {}

    Result<std::vector<int>> run() {
        if (auto problem = check_self_crossings()) return *problem;
        find_outlines();
        if (auto problem = give_covered()) return *problem;
        if (auto problem = check_overlaps()) return *problem;
        close_gaps();
        give_strips();
        move_slivers();
        return std::move(owner_);
    }

  private:
    [[nodiscard]] const Face& face(int f) const { return faces_.faces()[static_cast<std::size_t>(f)]; }
    [[nodiscard]] int count() const { return static_cast<int>(faces_.faces().size()); }
    int& owner(int f) { return owner_[static_cast<std::size_t>(f)]; }
    [[nodiscard]] const std::string& name(int region) const { return drawn_.names[static_cast<std::size_t>(region)]; }
    [[nodiscard]] int region_of(int outline) const { return drawn_.outlines[static_cast<std::size_t>(outline)].region; }

    [[nodiscard]] const DrawnRing& ring(int index) const { return drawn_.rings[static_cast<std::size_t>(index)]; }

    // ---- groups of faces

    /// Groups of those `members` (sorted) that meet in edges.
    [[nodiscard]] std::vector<Group> groups_of(const std::vector<int>& members) {
        const auto is_member = [&](int f) { return std::binary_search(members.begin(), members.end(), f); };
        std::set<int> done;
        std::vector<Group> groups;
        for (const int start : members) {
            if (!done.insert(start).second) continue;
            Group group{start};
            for (std::size_t i = 0; i < group.size(); ++i)
                for (const std::size_t h : faces_.border_of(group[i])) {
                    const int there = faces_.face(h ^ 1);
                    if (is_member(there) && done.insert(there).second) group.push_back(there);
                }
            std::sort(group.begin(), group.end());
            groups.push_back(std::move(group));
        }
        return groups;
    }

    [[nodiscard]] Shape shape_of(const Group& group) const {
        std::vector<std::size_t> border;
        for (const int f : group) {
            const auto more = faces_.border_of(f);
            border.insert(border.end(), more.begin(), more.end());
        }
        return to_shape(faces_.trace(border, [&](int f) { return std::binary_search(group.begin(), group.end(), f); }));
    }

    [[nodiscard]] double area_of(const Group& group) const {
        double area = 0;
        for (const int f : group)
            area += face(f).area;
        return area;
    }

    /// Not thicker than snap anywhere?
    [[nodiscard]] bool is_thin(const Group& group) const {
        double area = 0;
        double perimeter = 0;
        for (const int f : group) {
            area += face(f).area;
            perimeter += face(f).perimeter;
        }
        // The largest disc in a region has at least the radius area / perimeter (Bonnesen). Edges between faces of the
        // group make the perimeter too long here, which is on the safe side.
        if (area > drawn_.snap / 2 * perimeter) return false;
        return thinner(shape_of(group), drawn_.snap);
    }

    /// Somewhere in the group: the mean of the corners of its largest face.
    [[nodiscard]] Vec middle_of(const Group& group) const {
        const int largest =
            *std::max_element(group.begin(), group.end(), [&](int f, int g) { return face(f).area < face(g).area; });
        Vec sum;
        const auto border = faces_.border_of(largest);
        for (const std::size_t h : border)
            sum = sum + plane::to_mm(faces_.point(faces_.from(h)));
        return sum * (1 / static_cast<double>(border.size()));
    }

    // ---- self-crossings

    /// A simple ring turns once around what it encloses; anything else is a loop.
    std::optional<Problem> check_self_crossings() {
        std::map<int, std::vector<int>> loops; // by ring
        for (int f = 1; f < count(); ++f)
            for (const Winding& w : face(f).cover)
                if (w.turns != ring(w.ring).sign) loops[w.ring].push_back(f);
        std::map<int, Sum> removed; // by region
        for (const auto& [index, members] : loops) {
            const DrawnOutline& outline = drawn_.outlines[static_cast<std::size_t>(ring(index).outline)];
            for (const Group& group : groups_of(members)) {
                const double size = thickness(shape_of(group));
                const Vec at = middle_of(group);
                if (size > drawn_.snap * kRoundingSlack)
                    return Problem{
                        file_, outline.line, 0,
                        fmt::format("the outline of \"{}\" crosses itself near ({:.2f}, {:.2f}) mm, with a loop "
                                    "{:.3g} mm wide",
                                    name(outline.region), at.x, at.y, size),
                        "redraw the outline there so that it encloses one area"};
                removed[outline.region].add(area_of(group), size, at);
            }
        }
        for (const auto& [region, sum] : removed)
            note(Note::Kind::self_crossing, sum, {region},
                 fmt::format(
                     "the outline of \"{}\" crosses itself in loops up to {:.3f} mm wide ({}); they are taken out",
                     name(region), sum.largest, sum.text()));
        return std::nullopt;
    }

    // ---- what covers what

    /// The outlines over each face, by their fill rules, and the faces under each outline.
    void find_outlines() {
        over_.resize(static_cast<std::size_t>(count()));
        under_.resize(drawn_.outlines.size());
        area_.assign(drawn_.outlines.size(), 0);
        for (int f = 1; f < count(); ++f) {
            std::map<int, int> turns;
            for (const Winding& w : face(f).cover)
                turns[ring(w.ring).outline] += w.turns;
            for (const auto& [outline, n] : turns) {
                const bool even_odd = drawn_.outlines[static_cast<std::size_t>(outline)].even_odd;
                if (even_odd ? n % 2 == 0 : n == 0) continue;
                over_[static_cast<std::size_t>(f)].push_back(outline);
                under_[static_cast<std::size_t>(outline)].push_back(f);
                area_[static_cast<std::size_t>(outline)] += face(f).area;
            }
        }
    }

    /// Does outline `x` lie in `y`, but for slivers?
    bool lies_in(int x, int y) {
        const auto [it, is_new] = lies_in_.emplace(std::pair(x, y), false);
        if (!is_new) return it->second;
        std::vector<int> rest;
        for (const int f : under_[static_cast<std::size_t>(x)]) {
            const auto& over = over_[static_cast<std::size_t>(f)];
            if (!std::binary_search(over.begin(), over.end(), y)) rest.push_back(f);
        }
        bool inside = true;
        for (const Group& group : groups_of(rest))
            inside = inside && is_thin(group);
        return it->second = inside;
    }

    std::optional<Problem> give_covered() {
        owner_.assign(static_cast<std::size_t>(count()), kNobody);
        for (int f = 1; f < count(); ++f) {
            const std::vector<int>& over = over_[static_cast<std::size_t>(f)];
            if (over.empty()) continue;
            // The smallest outline is the island; the others must lie around it.
            const int top = *std::min_element(over.begin(), over.end(), [&](int x, int y) {
                const double area_x = area_[static_cast<std::size_t>(x)];
                const double area_y = area_[static_cast<std::size_t>(y)];
                return area_x != area_y ? area_x < area_y : x < y;
            });
            owner(f) = region_of(top);
            std::set<int> rivals;
            for (const int y : over) {
                if (region_of(y) == region_of(top)) continue;
                if (!lies_in(top, y)) {
                    rivals.insert(region_of(y));
                    continue;
                }
                islands_.emplace(region_of(top), region_of(y));
                if (area_[static_cast<std::size_t>(y)] < 2 * area_[static_cast<std::size_t>(top)] && lies_in(y, top))
                    return same_place(top, y, f);
            }
            for (const int rival : rivals)
                overlaps_[std::minmax(region_of(top), rival)].push_back(f);
            if (!rivals.empty()) owner(f) = std::min(owner(f), *rivals.begin());
        }
        return std::nullopt;
    }

    [[nodiscard]] Problem same_place(int x, int y, int f) const {
        const auto [first, second] = std::minmax(x, y);
        const Vec at = middle_of({f});
        return {file_, drawn_.outlines[static_cast<std::size_t>(second)].line, 0,
                fmt::format("regions \"{}\" and \"{}\" lie on top of each other near ({:.2f}, {:.2f}) mm",
                            name(region_of(first)), name(region_of(second)), at.x, at.y),
                "delete one of them"};
    }

    std::optional<Problem> check_overlaps() {
        for (const auto& [pair, members] : overlaps_) {
            Sum sum;
            for (const Group& group : groups_of(members)) {
                const double size = thickness(shape_of(group));
                const Vec at = middle_of(group);
                if (size > drawn_.snap * kRoundingSlack)
                    return Problem{
                        file_, line_of(pair.second), 0,
                        fmt::format("regions \"{}\" and \"{}\" overlap by {:.3g} mm near ({:.2f}, {:.2f}) mm, more "
                                    "than snap = {} mm",
                                    name(pair.first), name(pair.second), size, at.x, at.y, drawn_.snap),
                        "move their borders together, or raise snap if the overlap is not meant"};
                sum.add(area_of(group), size, at);
            }
            note(Note::Kind::overlap_removed, sum, {pair.first, pair.second},
                 fmt::format("\"{0}\" and \"{1}\" overlap by up to {2:.3f} mm ({3}); \"{0}\" keeps it",
                             name(pair.first), name(pair.second), sum.largest, sum.text()));
        }
        return std::nullopt;
    }

    [[nodiscard]] int line_of(int region) const {
        for (const DrawnOutline& outline : drawn_.outlines)
            if (outline.region == region) return outline.line;
        return 0;
    }

    // ---- gaps and slivers

    /// Regions that a face borders on, with the length of the border; the open and bridges count as nobody.
    [[nodiscard]] std::map<int, double> neighbours_of(const Group& group, int itself) const {
        std::map<int, double> lengths;
        for (const int f : group)
            for (const std::size_t h : faces_.border_of(f)) {
                const int there = faces_.face(h ^ 1);
                if (std::binary_search(group.begin(), group.end(), there)) continue;
                const int region = owner_[static_cast<std::size_t>(there)];
                if (region != itself || region == kNobody) lengths[region] += faces_.edge_length(h);
            }
        return lengths;
    }

    /// Uncovered faces no thicker than snap go to the later one of their neighbours.
    void close_gaps() {
        std::map<std::pair<int, int>, Sum> closed;
        std::vector<int> open;
        for (int f = 1; f < count(); ++f)
            if (owner(f) == kNobody && is_thin({f})) open.push_back(f);
        while (!open.empty()) {
            std::vector<std::pair<int, int>> given;
            std::vector<int> rest;
            for (const int f : open) {
                auto lengths = neighbours_of({f}, kNobody);
                lengths.erase(kNobody);
                if (lengths.empty()) {
                    rest.push_back(f);
                    continue;
                }
                const int last = lengths.rbegin()->first;
                const int first = lengths.begin()->first;
                given.emplace_back(f, last);
                // A long face is about as wide as twice its area over its perimeter.
                const double size = 2 * face(f).area / std::max(face(f).perimeter, plane::kGrid);
                closed[{first, last}].add(face(f).area, size, middle_of({f}));
            }
            if (given.empty()) break;
            for (const auto& [f, region] : given)
                owner(f) = region;
            open = std::move(rest);
        }
        for (const auto& [pair, sum] : closed)
            note_gap(pair.first, pair.second, sum);
    }

    void note_gap(int first, int last, const Sum& sum) {
        if (first == last)
            note(Note::Kind::part_joined, sum, {first},
                 fmt::format("slits in \"{}\" of about {:.3f} mm or less ({}) are closed", name(first), sum.largest,
                             sum.text()));
        else
            note(Note::Kind::gap_closed, sum, {first, last},
                 fmt::format("the gap of about {:.3f} mm or less between \"{}\" and \"{}\" ({}) is closed", sum.largest,
                             name(first), name(last), sum.text()));
    }

    /// Strips of a region no thicker than snap, between an island in it and what lies on the other side, go to the
    /// island.
    void give_strips() {
        std::vector<std::pair<int, int>> moves;
        for (int f = 1; f < count(); ++f) {
            const int own = owner(f);
            if (own == kNobody) continue;
            bool cell = false;
            std::set<int> beside;
            for (const std::size_t h : faces_.border_of(f)) {
                const int there = owner(faces_.face(h ^ 1));
                if (!faces_.on_ring(h))
                    cell = true;
                else if (there != own)
                    beside.insert(there);
            }
            if (!cell || beside.size() < 2) continue;
            const auto island = std::find_if(beside.begin(), beside.end(), [&](int r) {
                return islands_.count({r, own}) > 0;
            });
            if (island != beside.end() && is_thin({f})) moves.emplace_back(f, *island);
        }
        std::map<std::pair<int, int>, Sum> given;
        for (const auto& [f, island] : moves) {
            given[{owner(f), island}].add(face(f).area, 2 * face(f).area / face(f).perimeter, middle_of({f}));
            owner(f) = island;
        }
        for (const auto& [pair, sum] : given)
            note(Note::Kind::sliver_removed, sum, {pair.first, pair.second},
                 fmt::format("a strip of \"{}\" of about {:.3f} mm or less beside \"{}\" ({}) goes to that",
                             name(pair.first), sum.largest, name(pair.second), sum.text()));
    }

    /// Parts of a region that are nothing but slivers go to the neighbour with whom they share most border, if that is
    /// more than slivers.
    void move_slivers() {
        std::map<int, std::vector<int>> members;
        for (int f = 1; f < count(); ++f)
            if (owner(f) != kNobody) members[owner(f)].push_back(f);
        std::vector<std::pair<int, Group>> slivers; // with their regions
        for (const auto& [region, own] : members)
            for (Group& group : groups_of(own))
                if (is_thin(group)) slivers.emplace_back(region, std::move(group));
        for (const auto& [region, group] : slivers)
            for (const int f : group)
                owner(f) = kNobody;
        std::vector<std::pair<int, int>> moves;
        std::map<std::pair<int, int>, Sum> moved;
        for (const auto& [region, group] : slivers) {
            const auto lengths = neighbours_of(group, region);
            const auto longest = std::max_element(lengths.begin(), lengths.end(),
                                                  [](const auto& a, const auto& b) { return a.second < b.second; });
            const int heir = longest == lengths.end() ? kNobody : longest->first;
            for (const int f : group)
                moves.emplace_back(f, heir);
            moved[{region, heir}].add(area_of(group), std::sqrt(area_of(group)), middle_of(group));
        }
        for (const auto& [f, heir] : moves)
            owner(f) = heir;
        for (const auto& [pair, sum] : moved) {
            const std::string to =
                pair.second == kNobody ? "left out" : fmt::format("given to \"{}\"", name(pair.second));
            note(Note::Kind::sliver_removed, sum, {pair.first},
                 fmt::format("parts of \"{}\" that are nowhere wider than {} mm ({}) are {}", name(pair.first),
                             drawn_.snap, sum.text(), to));
        }
    }

    // ---- notes

    void note(Note::Kind kind, const Sum& sum, const std::vector<int>& regions, std::string text) {
        if (sum.largest < kWorthNoting) return;
        Note made{kind, std::move(text), {}, sum.at, sum.largest};
        for (const int region : regions)
            made.regions.push_back(name(region));
        notes_.push_back(std::move(made));
    }

    static constexpr double kRoundingSlack = 1.002; ///< thickness() is good to 0.1 %

    const Arrangement& faces_;
    const Drawn& drawn_;
    const std::string& file_;
    std::vector<Note>& notes_;
    std::vector<int> owner_;
    std::vector<std::vector<int>> over_, under_;
    std::vector<double> area_;
    std::map<std::pair<int, int>, bool> lies_in_;
    std::map<std::pair<int, int>, std::vector<int>> overlaps_;
    std::set<std::pair<int, int>> islands_; ///< the first region has an outline in one of the second
};

} // namespace

Result<std::vector<int>> find_owners(const Arrangement& faces, const Drawn& drawn, const std::string& file,
                                     std::vector<Note>& notes) {
    return OwnerFinder(faces, drawn, file, notes).run();
}

} // namespace kerfwright::drawing
