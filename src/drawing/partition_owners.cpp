#include "drawing/partition.hpp"
#include "plane/offset.hpp"

#include <fmt/format.h>

#include <algorithm>
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
        move_slivers();
        return std::move(owner_);
    }

  private:
    [[nodiscard]] const Face& face(int f) const { return faces_.faces()[static_cast<std::size_t>(f)]; }
    [[nodiscard]] int count() const { return static_cast<int>(faces_.faces().size()); }
    int& owner(int f) { return owner_[static_cast<std::size_t>(f)]; }
    [[nodiscard]] const std::string& name(int region) const { return drawn_.names[static_cast<std::size_t>(region)]; }
    [[nodiscard]] int region_of(int outline) const { return drawn_.outlines[static_cast<std::size_t>(outline)].region; }

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

    /// Not thicker than snap anywhere?
    [[nodiscard]] bool is_thin(const Group& group) const {
        double area = 0;
        double perimeter = 0;
        for (const int f : group) {
            area += face(f).area;
            perimeter += face(f).perimeter;
        }
        // The largest disc in a region has at least the radius area / perimeter (Bonnesen).
        if (group.size() == 1 && area > drawn_.snap / 2 * perimeter) return false;
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
                if (w.turns != drawn_.rings[static_cast<std::size_t>(w.ring)].sign) loops[w.ring].push_back(f);
        for (const auto& [ring, members] : loops) {
            const DrawnOutline& outline =
                drawn_.outlines[static_cast<std::size_t>(drawn_.rings[static_cast<std::size_t>(ring)].outline)];
            double largest = 0;
            Vec at;
            for (const Group& group : groups_of(members)) {
                const Shape shape = shape_of(group);
                const double size = thickness(shape);
                const Vec here = middle_of(group);
                if (size > drawn_.snap)
                    return Problem{
                        file_, outline.line, 0,
                        fmt::format(
                            "the outline of \"{}\" crosses itself near ({:.2f}, {:.2f}) mm, with a loop {:.2f} mm wide",
                            name(outline.region), here.x, here.y, size),
                        "redraw the outline there so that it encloses one area"};
                if (size > largest) {
                    largest = size;
                    at = here;
                }
            }
            if (largest >= kWorthNoting)
                notes_.push_back(
                    {Note::Kind::self_crossing,
                     fmt::format(
                         "the outline of \"{}\" crosses itself in loops up to {:.3f} mm wide; they are taken out",
                         name(outline.region), largest),
                     {name(outline.region)},
                     at,
                     largest});
        }
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
                turns[drawn_.rings[static_cast<std::size_t>(w.ring)].outline] += w.turns;
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
                if (!lies_in(top, y))
                    rivals.insert(region_of(y));
                else if (area_[static_cast<std::size_t>(y)] < 2 * area_[static_cast<std::size_t>(top)] &&
                         lies_in(y, top))
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
            double area = 0;
            double largest = 0;
            Vec at;
            const auto groups = groups_of(members);
            for (const Group& group : groups) {
                const double size = thickness(shape_of(group));
                const Vec here = middle_of(group);
                if (size > drawn_.snap * kRoundingSlack)
                    return Problem{file_, line_of(pair.second), 0,
                                   fmt::format("regions \"{}\" and \"{}\" overlap by {:.3g} mm near ({:.2f}, {:.2f}) "
                                               "mm, more than snap = {} mm",
                                               name(pair.first), name(pair.second), size, here.x, here.y, drawn_.snap),
                                   "move their borders together, or raise snap if the overlap is not meant"};
                for (const int f : group)
                    area += face(f).area;
                if (size > largest) {
                    largest = size;
                    at = here;
                }
            }
            if (largest >= kWorthNoting)
                notes_.push_back(
                    {Note::Kind::overlap_removed,
                     fmt::format(
                         "\"{}\" and \"{}\" overlap by up to {:.3f} mm ({:.3g} mm² in {} places); \"{}\" keeps it",
                         name(pair.first), name(pair.second), largest, area, groups.size(), name(pair.first)),
                     {name(pair.first), name(pair.second)},
                     at,
                     largest});
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

    /// Something that was closed between two regions.
    struct Closed {
        double area = 0, largest = 0;
        int places = 0;
        Vec at;
    };

    void close_gaps() {
        std::map<std::pair<int, int>, Closed> closed;
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
                Closed& sum = closed[{first, last}];
                const double size = 2 * face(f).area / std::max(face(f).perimeter, 1e-9);
                sum.area += face(f).area;
                ++sum.places;
                if (size > sum.largest) {
                    sum.largest = size;
                    sum.at = middle_of({f});
                }
            }
            if (given.empty()) break;
            for (const auto& [f, region] : given)
                owner(f) = region;
            open = std::move(rest);
        }
        for (const auto& [pair, sum] : closed)
            note_gap(pair.first, pair.second, sum);
    }

    void note_gap(int first, int last, const Closed& sum) {
        if (sum.largest < kWorthNoting) return;
        const bool inside = first == last;
        notes_.push_back(
            {inside ? Note::Kind::part_joined : Note::Kind::gap_closed,
             inside ? fmt::format("slits in \"{}\" of about {:.3f} mm or less ({:.3g} mm²) are closed", name(first),
                                  sum.largest, sum.area)
                    : fmt::format("the gap of about {:.3f} mm or less between \"{}\" and \"{}\" ({:.3g} mm²) is closed",
                                  sum.largest, name(first), name(last), sum.area),
             inside ? std::vector<std::string>{name(first)} : std::vector<std::string>{name(first), name(last)}, sum.at,
             sum.largest});
    }

    /// Parts of a region that are nothing but slivers go to the neighbour with whom they share most border.
    void move_slivers() {
        std::map<int, std::vector<int>> members;
        for (int f = 1; f < count(); ++f)
            if (owner(f) != kNobody) members[owner(f)].push_back(f);
        std::vector<std::pair<int, int>> moves;
        for (const auto& [region, own] : members) {
            for (const Group& group : groups_of(own)) {
                if (!is_thin(group)) continue;
                const auto lengths = neighbours_of(group, region);
                const auto longest = std::max_element(lengths.begin(), lengths.end(),
                                                      [](const auto& a, const auto& b) { return a.second < b.second; });
                const int heir = longest == lengths.end() ? kNobody : longest->first;
                double area = 0;
                for (const int f : group) {
                    moves.emplace_back(f, heir);
                    area += face(f).area;
                }
                if (area < kWorthNoting * kWorthNoting) continue;
                const Vec at = middle_of(group);
                notes_.push_back({Note::Kind::sliver_removed,
                                  fmt::format("a part of \"{}\" near ({:.2f}, {:.2f}) mm, {:.3g} mm² and nowhere wider "
                                              "than {} mm, goes to {}",
                                              name(region), at.x, at.y, area, drawn_.snap,
                                              heir == kNobody ? std::string("nobody") : '"' + name(heir) + '"'),
                                  {name(region)},
                                  at,
                                  area});
            }
        }
        for (const auto& [f, heir] : moves)
            owner(f) = heir;
    }

    static constexpr double kWorthNoting = 0.001;  ///< mm: below that it is rounding
    static constexpr double kRoundingSlack = 1.02; ///< thickness() is good to 1 %

    const Arrangement& faces_;
    const Drawn& drawn_;
    const std::string& file_;
    std::vector<Note>& notes_;
    std::vector<int> owner_;
    std::vector<std::vector<int>> over_, under_;
    std::vector<double> area_;
    std::map<std::pair<int, int>, bool> lies_in_;
    std::map<std::pair<int, int>, std::vector<int>> overlaps_;
};

} // namespace

Result<std::vector<int>> find_owners(const Arrangement& faces, const Drawn& drawn, const std::string& file,
                                     std::vector<Note>& notes) {
    return OwnerFinder(faces, drawn, file, notes).run();
}

bool thinner(const Shape& shape, double width) {
    const plane::Box box = plane::bounds(shape);
    if (shape.empty() || std::min(box.width(), box.height()) <= width) return true;
    return plane::offset(shape, -width / 2).empty();
}

double thickness(const Shape& shape) {
    if (shape.empty()) return 0;
    const plane::Box box = plane::bounds(shape);
    double low = 0;
    double high = std::min(box.width(), box.height());
    for (const plane::Polygon& polygon : shape) // a disc in each part bounds the answer from below
        low = std::max(low, 2 * plane::area(polygon) / plane::perimeter(polygon));
    while (high - low > 0.01 * high && high > 2 * plane::kGrid) {
        const double middle = (low + high) / 2;
        if (plane::offset(shape, -middle / 2).empty())
            high = middle;
        else
            low = middle;
    }
    return low;
}

} // namespace kerfwright::drawing
