#include "drawing/partition_faces.hpp"

#include <algorithm>
#include <numeric>
#include <optional>
#include <tuple>

namespace kerfwright::drawing {
namespace {

using plane::Point;
using plane::Ring;

// Clang and g++ both have it; the standard has not.
__extension__ using Wide = __int128;

/// Directions counter-clockwise from straight down (not included) to straight down (included).
bool before(Point d, Point e) {
    const auto half = [](Point v) { return v.x > 0 || (v.x == 0 && v.y > 0) ? 0 : 1; };
    if (half(d) != half(e)) return half(d) < half(e);
    return d.x * e.y - d.y * e.x > 0;
}

Point operator-(Point a, Point b) {
    return {a.x - b.x, a.y - b.y};
}

class DisjointSets {
  public:
    explicit DisjointSets(int count) : parent_(static_cast<std::size_t>(count)) {
        std::iota(parent_.begin(), parent_.end(), 0);
    }
    int find(int i) {
        while (parent_[static_cast<std::size_t>(i)] != i) {
            int& parent = parent_[static_cast<std::size_t>(i)];
            parent = parent_[static_cast<std::size_t>(parent)];
            i = parent;
        }
        return i;
    }
    void unite(int a, int b) {
        a = find(a);
        b = find(b);
        parent_[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
    }

  private:
    std::vector<int> parent_;
};

/// Where an edge passes a height that lies between grid lines, as a fraction.
struct Crossing {
    Wide numerator, denominator; ///< denominator > 0
};

Crossing at_half(Point low, Point high, std::int64_t y) { // at y + 1/2
    const Wide rise = 2 * Wide{high.y - low.y};
    return {Wide{low.x} * rise + Wide{high.x - low.x} * (2 * (y - low.y) + 1), rise};
}

} // namespace

Arrangement::Arrangement(const std::vector<RingSegment>& segments) {
    build_edges(segments);
    sort_around_vertices();
    link_cycles();
    find_components();
    cover_faces();
}

void Arrangement::build_edges(const std::vector<RingSegment>& segments) {
    points_.reserve(segments.size() * 2);
    for (const RingSegment& s : segments) {
        points_.push_back(s.a);
        points_.push_back(s.b);
    }
    std::sort(points_.begin(), points_.end());
    points_.erase(std::unique(points_.begin(), points_.end()), points_.end());
    const auto index = [&](Point p) {
        return static_cast<int>(std::lower_bound(points_.begin(), points_.end(), p) - points_.begin());
    };
    struct Record {
        int u, v, ring, turns;
    };
    std::vector<Record> records;
    records.reserve(segments.size());
    for (const RingSegment& s : segments) {
        const int a = index(s.a);
        const int b = index(s.b);
        records.push_back(a < b ? Record{a, b, s.ring, 1} : Record{b, a, s.ring, -1});
    }
    std::sort(records.begin(), records.end(), [](const Record& a, const Record& b) {
        return std::tie(a.u, a.v, a.ring, a.turns) < std::tie(b.u, b.v, b.ring, b.turns);
    });
    first_turn_.push_back(0);
    for (std::size_t i = 0; i < records.size();) {
        const Record& edge = records[i];
        bool bridge = false;
        const std::size_t first = turns_.size();
        std::size_t j = i;
        for (; j < records.size() && records[j].u == edge.u && records[j].v == edge.v; ++j) {
            if (records[j].ring == RingSegment::kBridge)
                bridge = true;
            else if (turns_.size() > first && turns_.back().ring == records[j].ring)
                turns_.back().turns += records[j].turns;
            else
                turns_.push_back({records[j].ring, records[j].turns});
        }
        // A ring that runs there and back encloses nothing.
        turns_.erase(std::remove_if(turns_.begin() + static_cast<std::ptrdiff_t>(first), turns_.end(),
                                    [](const Winding& w) { return w.turns == 0; }),
                     turns_.end());
        if (bridge || turns_.size() > first) {
            ends_.push_back(edge.u);
            ends_.push_back(edge.v);
            first_turn_.push_back(turns_.size());
        }
        i = j;
    }
}

void Arrangement::sort_around_vertices() {
    first_out_.assign(points_.size() + 1, 0);
    for (const int v : ends_)
        ++first_out_[static_cast<std::size_t>(v) + 1];
    std::partial_sum(first_out_.begin(), first_out_.end(), first_out_.begin());
    out_.resize(ends_.size());
    std::vector<std::size_t> fill(first_out_.begin(), first_out_.end() - 1);
    for (std::size_t h = 0; h < ends_.size(); ++h)
        out_[fill[static_cast<std::size_t>(ends_[h])]++] = h;
    out_place_.resize(ends_.size());
    for (std::size_t v = 0; v < points_.size(); ++v) {
        const auto first = out_.begin() + static_cast<std::ptrdiff_t>(first_out_[v]);
        const auto last = out_.begin() + static_cast<std::ptrdiff_t>(first_out_[v + 1]);
        std::sort(first, last, [&](std::size_t g, std::size_t h) {
            return before(point(to(g)) - points_[v], point(to(h)) - points_[v]);
        });
        for (std::size_t i = first_out_[v]; i < first_out_[v + 1]; ++i)
            out_place_[out_[i]] = i;
    }
}

void Arrangement::link_cycles() {
    next_.resize(ends_.size());
    for (std::size_t h = 0; h < ends_.size(); ++h) {
        // At its end turn as far right as possible: the next one clockwise from the way back.
        const auto v = static_cast<std::size_t>(to(h));
        const std::size_t place = out_place_[h ^ 1];
        next_[h] = out_[place == first_out_[v] ? first_out_[v + 1] - 1 : place - 1];
    }
    cycle_.assign(ends_.size(), -1);
    for (std::size_t h = 0; h < ends_.size(); ++h) {
        if (cycle_[h] >= 0) continue;
        for (std::size_t g = h; cycle_[g] < 0; g = next_[g])
            cycle_[g] = cycles_;
        ++cycles_;
    }
}

void Arrangement::find_components() {
    DisjointSets sets(static_cast<int>(points_.size()));
    for (std::size_t h = 0; h < ends_.size(); h += 2)
        sets.unite(from(h), to(h));
    component_.resize(points_.size());
    // Points are sorted and the smallest index wins: a component is named by its leftmost, then lowest point.
    for (std::size_t v = 0; v < points_.size(); ++v)
        component_[v] = sets.find(static_cast<int>(v));
}

std::size_t Arrangement::outer_half_edge(int vertex) const {
    // Everything lies to the right of the leftmost, lowest point: outside is left of its last way out.
    return out_[first_out_[static_cast<std::size_t>(vertex) + 1] - 1];
}

std::vector<Winding> Arrangement::across(std::size_t h, const std::vector<Winding>& left) const {
    // A ring that runs along h turns once more on its left than on its right.
    const int sense = h % 2 == 0 ? 1 : -1;
    std::vector<Winding> right;
    std::size_t i = 0;
    std::size_t k = first_turn_[h / 2];
    const std::size_t last = first_turn_[h / 2 + 1];
    while (i < left.size() || k < last) {
        if (k == last || (i < left.size() && left[i].ring < turns_[k].ring)) {
            right.push_back(left[i++]);
            continue;
        }
        Winding w{turns_[k].ring, -sense * turns_[k].turns};
        if (i < left.size() && left[i].ring == w.ring) w.turns += left[i++].turns;
        ++k;
        if (w.turns != 0) right.push_back(w);
    }
    return right;
}

/// Which half-edge of another component does one see from its leftmost point `p`, looking left just above it? Its face
/// is the one around the component.
std::optional<std::size_t> Arrangement::seen_from(Point p, const BoxTree& edges) const {
    std::optional<std::size_t> best;
    Crossing best_at{0, 1};
    edges.visit({{0, p.y}, {p.x, p.y + 1}}, [&](std::size_t e) {
        Point low = point(from(2 * e));
        Point high = point(to(2 * e));
        const bool upward = low.y < high.y;
        if (!upward) std::swap(low, high);
        if (low.y > p.y || high.y <= p.y) return;
        const Crossing at = at_half(low, high, p.y);
        if (2 * at.numerator >= (2 * Wide{p.x} - 1) * at.denominator) return;
        if (best && at.numerator * best_at.denominator <= best_at.numerator * at.denominator) return;
        best = 2 * e + (upward ? 1 : 0); // the way down has the east to its left
        best_at = at;
    });
    return best;
}

/// Covers of all cycles of one component, from one that is known.
void Arrangement::spread_cover(int start, Covers& covers) {
    covers.known[static_cast<std::size_t>(start)] = 1;
    std::vector<int> open{start};
    while (!open.empty() && !too_deep_) {
        const auto here = static_cast<std::size_t>(open.back());
        open.pop_back();
        std::size_t h = covers.first_edge[here];
        do {
            const auto there = static_cast<std::size_t>(cycle_[h ^ 1]);
            if (covers.known[there] == 0) {
                covers.of_cycle[there] = across(h, covers.of_cycle[here]);
                covers.known[there] = 1;
                if (covers.of_cycle[there].size() > kDeepestCover) too_deep_ = point(from(h));
                open.push_back(static_cast<int>(there));
            }
            h = next_[h];
        } while (h != covers.first_edge[here]);
    }
}

void Arrangement::cover_faces() {
    std::vector<GridSegment> edges;
    for (std::size_t h = 0; h < ends_.size(); h += 2)
        edges.push_back({point(from(h)), point(to(h))});
    const BoxTree tree(edges);
    Covers covers;
    covers.of_cycle.resize(static_cast<std::size_t>(cycles_));
    covers.known.resize(static_cast<std::size_t>(cycles_));
    covers.first_edge.resize(static_cast<std::size_t>(cycles_));
    for (std::size_t h = ends_.size(); h-- > 0;)
        covers.first_edge[static_cast<std::size_t>(cycle_[h])] = h;
    const int unbounded = cycles_;
    DisjointSets same_face(cycles_ + 1);
    // From left to right, so that what is seen to the left is known.
    for (std::size_t v = 0; v < points_.size(); ++v) {
        if (component_[v] != static_cast<int>(v) || first_out_[v] == first_out_[v + 1]) continue;
        const int start = cycle_[outer_half_edge(static_cast<int>(v))];
        const auto seen = seen_from(points_[v], tree);
        const int around = seen ? cycle_[*seen] : unbounded;
        if (seen) covers.of_cycle[static_cast<std::size_t>(start)] = covers.of_cycle[static_cast<std::size_t>(around)];
        same_face.unite(start, around);
        spread_cover(start, covers);
    }
    std::vector<int> number(static_cast<std::size_t>(cycles_) + 1, -1);
    number[static_cast<std::size_t>(same_face.find(unbounded))] = 0;
    faces_.emplace_back();
    for (int c = 0; c < cycles_; ++c) {
        int& n = number[static_cast<std::size_t>(same_face.find(c))];
        if (n < 0) {
            n = static_cast<int>(faces_.size());
            faces_.emplace_back();
            faces_.back().cover = std::move(covers.of_cycle[static_cast<std::size_t>(c)]);
        }
        cycle_face_.push_back(n);
    }
    measure_faces(covers);
}

void Arrangement::measure_faces(const Covers& covers) {
    face_.resize(ends_.size());
    for (std::size_t h = 0; h < ends_.size(); ++h)
        face_[h] = cycle_face_[static_cast<std::size_t>(cycle_[h])];
    first_of_face_.assign(faces_.size() + 1, 0);
    for (std::size_t h = 0; h < ends_.size(); ++h) {
        Face& face = faces_[static_cast<std::size_t>(face_[h])];
        const plane::Vec a = plane::to_mm(point(from(h)));
        const plane::Vec b = plane::to_mm(point(to(h)));
        const plane::Vec origin = plane::to_mm(point(from(covers.first_edge[static_cast<std::size_t>(cycle_[h])])));
        face.area += plane::cross(a - origin, b - origin) / 2;
        if (face_[h] != face_[h ^ 1]) face.perimeter += plane::distance(a, b);
        ++first_of_face_[static_cast<std::size_t>(face_[h]) + 1];
    }
    std::partial_sum(first_of_face_.begin(), first_of_face_.end(), first_of_face_.begin());
    of_face_.resize(ends_.size());
    std::vector<std::size_t> fill(first_of_face_.begin(), first_of_face_.end() - 1);
    for (std::size_t h = 0; h < ends_.size(); ++h)
        of_face_[fill[static_cast<std::size_t>(face_[h])]++] = h;
}

double Arrangement::edge_length(std::size_t h) const {
    return plane::distance(plane::to_mm(point(from(h))), plane::to_mm(point(to(h))));
}

std::span<const std::size_t> Arrangement::border_of(int face) const {
    const auto f = static_cast<std::size_t>(face);
    return {of_face_.data() + first_of_face_[f], first_of_face_[f + 1] - first_of_face_[f]};
}

} // namespace kerfwright::drawing
