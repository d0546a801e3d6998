#include "fit/windows.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace kerfwright::fit {
namespace {

using plane::Point;

constexpr std::int64_t kMargin = 2003; ///< grid units, 20 µm

struct Frame {
    Point low, high;
};

Frame frame_of(const plane::Polygon& polygon) {
    Frame frame{polygon.outer.front(), polygon.outer.front()};
    for (const Point p : polygon.outer) {
        frame.low = {std::min(frame.low.x, p.x), std::min(frame.low.y, p.y)};
        frame.high = {std::max(frame.high.x, p.x), std::max(frame.high.y, p.y)};
    }
    return {{frame.low.x - kMargin, frame.low.y - kMargin}, {frame.high.x + kMargin, frame.high.y + kMargin}};
}

bool meet(const Frame& a, const Frame& b) {
    return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y;
}

/// Joins frames that meet until none do; each keeps the indices of what it holds.
struct Cluster {
    Frame frame;
    std::vector<std::size_t> held;
};
std::vector<Cluster> clustered(const plane::Shape& small) {
    std::vector<Cluster> clusters;
    for (std::size_t k = 0; k < small.size(); ++k)
        if (small[k].outer.size() >= 3) clusters.push_back({frame_of(small[k]), {k}});
    for (bool again = true; again;) {
        again = false;
        std::sort(clusters.begin(), clusters.end(), [](const Cluster& a, const Cluster& b) {
            return a.frame.low < b.frame.low || (a.frame.low == b.frame.low && a.held.front() < b.held.front());
        });
        std::vector<Cluster> next;
        std::vector<std::size_t> open; // clusters of `next` that reach to the present x
        for (Cluster& cluster : clusters) {
            std::erase_if(open, [&](std::size_t o) { return next[o].frame.high.x < cluster.frame.low.x; });
            const auto met = std::find_if(open.begin(), open.end(),
                                          [&](std::size_t o) { return meet(next[o].frame, cluster.frame); });
            if (met == open.end()) {
                open.push_back(next.size());
                next.push_back(std::move(cluster));
                continue;
            }
            Cluster& into = next[*met];
            into.frame.low = {std::min(into.frame.low.x, cluster.frame.low.x),
                              std::min(into.frame.low.y, cluster.frame.low.y)};
            into.frame.high = {std::max(into.frame.high.x, cluster.frame.high.x),
                               std::max(into.frame.high.y, cluster.frame.high.y)};
            into.held.insert(into.held.end(), cluster.held.begin(), cluster.held.end());
            again = true;
        }
        clusters = std::move(next);
    }
    return clusters;
}

/// Finds the windows that a box meets, through columns of equal width.
class Columns {
  public:
    explicit Columns(const std::vector<Window>& windows) : windows_(windows) {
        low_ = windows.front().low.x;
        std::int64_t high = windows.front().high.x;
        for (const Window& window : windows) {
            low_ = std::min(low_, window.low.x);
            high = std::max(high, window.high.x);
        }
        const auto columns = static_cast<std::int64_t>(std::min<std::size_t>(4 * windows.size(), 4096));
        width_ = (high - low_) / columns + 1;
        lists_.resize(static_cast<std::size_t>(columns) + 1);
        for (std::size_t w = 0; w < windows.size(); ++w)
            for (std::size_t c = column(windows[w].low.x); c <= column(windows[w].high.x); ++c)
                lists_[c].push_back(w);
    }
    template <class Call>
    void meeting(Point a, Point b, Call call) const {
        const Frame edge{{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
        const std::int64_t last = low_ + width_ * static_cast<std::int64_t>(lists_.size()) - 1;
        if (edge.high.x < low_ || edge.low.x > last) return;
        const std::size_t first_column = column(std::max(edge.low.x, low_));
        for (std::size_t c = first_column; c <= column(std::min(edge.high.x, last)); ++c)
            for (const std::size_t w : lists_[c]) {
                if (c != std::max(first_column, column(windows_[w].low.x))) continue; // seen in an earlier column
                if (meet({windows_[w].low, windows_[w].high}, edge)) call(w);
            }
    }

  private:
    [[nodiscard]] std::size_t column(std::int64_t x) const { return static_cast<std::size_t>((x - low_) / width_); }
    const std::vector<Window>& windows_;
    std::int64_t low_ = 0, width_ = 1;
    std::vector<std::vector<std::size_t>> lists_;
};

/// Where the edge from a to b runs through a window, as shares of its length.
struct Pass {
    std::size_t window;
    double enters, leaves; ///< below 0: begins inside; above 1: ends inside
    int side_in, side_out; ///< 0 bottom, 1 right, 2 top, 3 left
};

bool strictly_inside(const Window& w, Point p) {
    return p.x > w.low.x && p.x < w.high.x && p.y > w.low.y && p.y < w.high.y;
}

bool on_border(const Window& w, Point p) {
    const bool x_edge = (p.x == w.low.x || p.x == w.high.x) && p.y >= w.low.y && p.y <= w.high.y;
    const bool y_edge = (p.y == w.low.y || p.y == w.high.y) && p.x >= w.low.x && p.x <= w.high.x;
    return x_edge || y_edge;
}

std::optional<Pass> pass_through(const Window& window, std::size_t index, Point a, Point b) {
    Pass pass{index, -1e300, 1e300, 0, 0};
    const double dx = static_cast<double>(b.x - a.x), dy = static_cast<double>(b.y - a.y);
    const auto clip = [&](double delta, double to_low, double to_high, int low_side, int high_side) {
        if (delta == 0) return to_low < 0 && to_high > 0;
        double t_in = to_low / delta, t_out = to_high / delta;
        int in = low_side, out = high_side;
        if (t_in > t_out) {
            std::swap(t_in, t_out);
            std::swap(in, out);
        }
        if (t_in > pass.enters) pass.enters = t_in, pass.side_in = in;
        if (t_out < pass.leaves) pass.leaves = t_out, pass.side_out = out;
        return true;
    };
    if (!clip(dx, static_cast<double>(window.low.x - a.x), static_cast<double>(window.high.x - a.x), 3, 1))
        return std::nullopt;
    if (!clip(dy, static_cast<double>(window.low.y - a.y), static_cast<double>(window.high.y - a.y), 0, 2))
        return std::nullopt;
    if (pass.enters >= pass.leaves || pass.enters >= 1 || pass.leaves <= 0) return std::nullopt;
    return pass;
}

Point point_on_side(const Window& window, int side, Point a, Point b, double t) {
    const std::int64_t x = a.x + std::llround(t * static_cast<double>(b.x - a.x));
    const std::int64_t y = a.y + std::llround(t * static_cast<double>(b.y - a.y));
    const Point p{std::clamp(x, window.low.x, window.high.x), std::clamp(y, window.low.y, window.high.y)};
    switch (side) {
    case 0:
        return {p.x, window.low.y};
    case 1:
        return {window.high.x, p.y};
    case 2:
        return {p.x, window.high.y};
    default:
        return {window.low.x, p.y};
    }
}

std::int64_t along_border(const Window& w, Point p) {
    const std::int64_t width = w.high.x - w.low.x, height = w.high.y - w.low.y;
    if (p.y == w.low.y) return p.x - w.low.x;
    if (p.x == w.high.x) return width + p.y - w.low.y;
    if (p.y == w.high.y) return width + height + w.high.x - p.x;
    return 2 * width + height + w.high.y - p.y;
}

bool is_corner(const Window& w, Point p) {
    return (p.x == w.low.x || p.x == w.high.x) && (p.y == w.low.y || p.y == w.high.y);
}

/// Opens one ring: chains outside go to `cut.outside`, chains inside to their windows.
class Opening {
  public:
    Opening(Windows& cut, const Columns& columns) : cut_(cut), columns_(columns) {}

    bool open(const plane::Ring& ring) {
        events_.clear();
        const std::size_t n = ring.size();
        std::optional<std::size_t> home;
        for (std::size_t k = 0; k < n; ++k) {
            passes_.clear();
            const Point a = ring[k];
            const Point b = ring[(k + 1) % n];
            bool degenerate = false;
            columns_.meeting(a, b, [&](std::size_t w) {
                degenerate = degenerate || on_border(cut_.windows[w], a);
                if (auto pass = pass_through(cut_.windows[w], w, a, b)) passes_.push_back(*pass);
                if (strictly_inside(cut_.windows[w], a)) home = w;
            });
            if (degenerate) return false;
            std::sort(passes_.begin(), passes_.end(), [](const Pass& x, const Pass& y) { return x.enters < y.enters; });
            for (const Pass& pass : passes_) {
                const Window& window = cut_.windows[pass.window];
                if (!strictly_inside(window, a))
                    add(k, pass.window, true, point_on_side(window, pass.side_in, a, b, pass.enters));
                if (!strictly_inside(window, b))
                    add(k, pass.window, false, point_on_side(window, pass.side_out, a, b, pass.leaves));
            }
        }
        if (events_.empty()) {
            (home ? cut_.windows[*home].whole : cut_.untouched).push_back(ring);
            return true;
        }
        return split(ring);
    }

  private:
    struct Event {
        std::size_t edge, crossing, window;
        bool inward;
    };

    void add(std::size_t edge, std::size_t window, bool inward, Point at) {
        events_.push_back({edge, cut_.crossings.size(), window, inward});
        cut_.windows[window].ids.push_back(cut_.crossings.size());
        cut_.crossings.push_back({at, inward, along_border(cut_.windows[window], at)});
        bad_ = bad_ || is_corner(cut_.windows[window], at);
    }

    bool split(const plane::Ring& ring) {
        if (bad_) return false;
        const std::size_t n = ring.size();
        for (std::size_t e = 0; e < events_.size(); ++e) {
            const Event& from = events_[e];
            const Event& to = events_[(e + 1) % events_.size()];
            if (from.inward == to.inward || (from.inward && from.window != to.window)) return false;
            Chain chain{from.crossing, to.crossing, {}};
            const bool wraps = e + 1 == events_.size();
            for (std::size_t k = from.edge + 1; k <= to.edge + (wraps ? n : 0); ++k)
                chain.between.push_back(ring[k % n]);
            (from.inward ? cut_.windows[from.window].chains : cut_.outside).push_back(std::move(chain));
        }
        return true;
    }

    Windows& cut_;
    const Columns& columns_;
    std::vector<Pass> passes_;
    std::vector<Event> events_;
    bool bad_ = false;
};

/// For windows without crossings: whether their lower left corner is inside, by counting edges above it.
void look_inside(Windows& cut, const std::vector<plane::Ring>& rings) {
    std::vector<std::size_t> asked;
    for (std::size_t w = 0; w < cut.windows.size(); ++w)
        if (cut.windows[w].ids.empty()) asked.push_back(w);
    if (asked.empty()) return;
    const auto x_of = [&](std::size_t w) { return cut.windows[w].low.x; };
    std::sort(asked.begin(), asked.end(), [&](std::size_t a, std::size_t b) { return x_of(a) < x_of(b); });
    for (const plane::Ring& ring : rings)
        for (std::size_t k = 0; k < ring.size(); ++k) {
            Point a = ring[k];
            Point b = ring[(k + 1) % ring.size()];
            if (a.x > b.x) std::swap(a, b);
            auto it = std::lower_bound(asked.begin(), asked.end(), a.x,
                                       [&](std::size_t w, std::int64_t x) { return x_of(w) < x; });
            for (; it != asked.end() && x_of(*it) < b.x; ++it) {
                const Point p = cut.windows[*it].low;
                const bool above = (b.x - a.x) * (p.y - a.y) < (b.y - a.y) * (p.x - a.x);
                if (above) cut.windows[*it].all_inside = !cut.windows[*it].all_inside;
            }
        }
}

} // namespace

std::optional<Windows> cut_windows(const plane::Shape& large, const plane::Shape& small) {
    Windows cut;
    for (const Cluster& cluster : clustered(small)) {
        Window window{cluster.frame.low, cluster.frame.high, {}, {}, {}, {}, {}, false};
        for (const std::size_t k : cluster.held)
            window.small.push_back(small[k]);
        cut.windows.push_back(std::move(window));
    }
    const std::vector<plane::Ring> rings = plane::rings_of(large);
    if (cut.windows.empty()) {
        cut.untouched = rings;
        return cut;
    }
    const Columns columns(cut.windows);
    Opening opening(cut, columns);
    for (const plane::Ring& ring : rings)
        if (!opening.open(ring)) return std::nullopt;
    look_inside(cut, rings);
    for (Window& window : cut.windows) {
        std::sort(window.ids.begin(), window.ids.end(),
                  [&](std::size_t a, std::size_t b) { return cut.crossings[a].along < cut.crossings[b].along; });
        for (const std::size_t id : window.ids)
            window.crossings.push_back(cut.crossings[id]);
        for (std::size_t k = 0; k + 1 < window.crossings.size(); ++k) {
            // Solid to the left: going around counter-clockwise, a ring leaves where the next one enters.
            if (window.crossings[k].along == window.crossings[k + 1].along) return std::nullopt;
            if (window.crossings[k].inward == window.crossings[k + 1].inward) return std::nullopt;
        }
        if (window.crossings.size() % 2 != 0) return std::nullopt;
    }
    return cut;
}

std::vector<plane::Ring> local_rings(const Window& window) {
    std::vector<plane::Ring> rings = window.whole;
    const Point corners[4] = {window.low, {window.high.x, window.low.y}, window.high, {window.low.x, window.high.y}};
    if (window.ids.empty()) {
        if (window.all_inside) rings.push_back({corners[0], corners[1], corners[2], corners[3]});
        return rings;
    }
    std::map<std::size_t, std::size_t> chain_from; // crossing id -> chain
    std::map<std::size_t, std::size_t> rank;       // crossing id -> place around the border
    for (std::size_t c = 0; c < window.chains.size(); ++c)
        chain_from[window.chains[c].from] = c;
    for (std::size_t k = 0; k < window.ids.size(); ++k)
        rank[window.ids[k]] = k;
    std::vector<bool> used(window.chains.size(), false);
    for (std::size_t start = 0; start < window.chains.size(); ++start) {
        if (used[start]) continue;
        plane::Ring ring;
        for (std::size_t c = start; !used[c];) {
            used[c] = true;
            const Chain& chain = window.chains[c];
            const std::size_t leaves = rank[chain.to];
            const std::size_t next = (leaves + 1) % window.ids.size();
            ring.push_back(window.crossings[rank[chain.from]].at);
            ring.insert(ring.end(), chain.between.begin(), chain.between.end());
            ring.push_back(window.crossings[leaves].at);
            const std::int64_t from = window.crossings[leaves].along;
            const std::int64_t to = window.crossings[next].along;
            for (int lap = 0; lap < 2; ++lap)
                for (const Point corner : corners) {
                    const std::int64_t at = along_border(window, corner);
                    const bool between = from < to ? lap == 0 && at > from && at < to : lap == 0 ? at > from : at < to;
                    if (between) ring.push_back(corner);
                }
            c = chain_from[window.ids[next]];
        }
        rings.push_back(std::move(ring));
    }
    return rings;
}

bool take_back(Window& window, const plane::Shape& result) {
    std::map<Point, std::size_t> id_at;
    for (std::size_t k = 0; k < window.ids.size(); ++k)
        id_at[window.crossings[k].at] = k;
    const auto same_side = [&](Point a, Point b) {
        return (a.x == b.x && (a.x == window.low.x || a.x == window.high.x)) ||
               (a.y == b.y && (a.y == window.low.y || a.y == window.high.y));
    };
    window.whole.clear();
    window.chains.clear();
    for (const plane::Ring& ring : plane::rings_of(result)) {
        const std::size_t n = ring.size();
        std::size_t start = n;
        for (std::size_t k = 0; k < n && start == n; ++k)
            if (same_side(ring[k], ring[(k + 1) % n])) start = k + 1;
        if (start == n) {
            for (const Point p : ring)
                if (on_border(window, p)) return false;
            window.whole.push_back(ring);
            continue;
        }
        // From the end of a border edge, chains alternate with stretches of the border.
        std::optional<Chain> chain;
        for (std::size_t k = 0; k < n; ++k) {
            const Point a = ring[(start + k) % n];
            const Point b = ring[(start + k + 1) % n];
            if (same_side(a, b)) continue;
            if (!chain) {
                const auto at = id_at.find(a);
                if (at == id_at.end() || !window.crossings[at->second].inward) return false;
                chain = Chain{window.ids[at->second], 0, {}};
            }
            if (!on_border(window, b)) {
                chain->between.push_back(b);
                continue;
            }
            const auto at = id_at.find(b);
            if (at == id_at.end() || window.crossings[at->second].inward) return false;
            chain->to = window.ids[at->second];
            window.chains.push_back(std::move(*chain));
            chain.reset();
        }
        if (chain) return false;
    }
    if (window.ids.empty()) {
        // A border that lies inside comes back as a ring of its own, which is not one of the shape's.
        return true;
    }
    return window.chains.size() * 2 == window.ids.size();
}

namespace {

/// Takes out crossings that lie on the straight way between their neighbours.
plane::Ring without_crossings(const std::vector<std::pair<Point, bool>>& points) {
    plane::Ring ring;
    const std::size_t n = points.size();
    for (std::size_t k = 0; k < n; ++k) {
        const auto [p, crossing] = points[k];
        if (crossing && n > 3) {
            const Point a = ring.empty() ? points[(k + n - 1) % n].first : ring.back();
            const Point b = points[(k + 1) % n].first;
            const auto turn = std::abs(static_cast<double>((p.x - a.x) * (b.y - p.y) - (p.y - a.y) * (b.x - p.x)));
            const double length = std::hypot(static_cast<double>(b.x - a.x), static_cast<double>(b.y - a.y));
            const double ahead = static_cast<double>(p.x - a.x) * static_cast<double>(b.x - p.x) +
                                 static_cast<double>(p.y - a.y) * static_cast<double>(b.y - p.y);
            if (ahead >= 0 && turn <= 1.5 * length) continue;
        }
        if (ring.empty() || ring.back() != p) ring.push_back(p);
    }
    while (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    return ring;
}

bool is_inside(const plane::Ring& outer, const plane::Ring& ring) {
    for (const Point p : ring) {
        const plane::Side side = plane::side_of(outer, p);
        if (side != plane::Side::edge) return side == plane::Side::inside;
    }
    return false;
}

} // namespace

std::optional<plane::Shape> nested(std::vector<plane::Ring> rings) {
    plane::Shape shape;
    std::vector<plane::Ring> holes;
    for (plane::Ring& ring : rings) {
        if (ring.size() < 3) continue;
        if (plane::signed_area(ring) > 0)
            shape.push_back({std::move(ring), {}});
        else
            holes.push_back(std::move(ring));
    }
    std::vector<double> area;
    for (const plane::Polygon& polygon : shape)
        area.push_back(plane::signed_area(polygon.outer));
    for (plane::Ring& hole : holes) {
        std::optional<std::size_t> home;
        if (shape.size() == 1)
            home = 0;
        else
            for (std::size_t k = 0; k < shape.size(); ++k)
                if ((!home || area[k] < area[*home]) && is_inside(shape[k].outer, hole)) home = k;
        if (!home) return std::nullopt;
        shape[*home].holes.push_back(std::move(hole));
    }
    return shape;
}

std::optional<plane::Shape> joined(const Windows& windows) {
    std::vector<plane::Ring> rings = windows.untouched;
    std::vector<const Chain*> inside(windows.crossings.size(), nullptr);
    std::vector<const Chain*> outside(windows.crossings.size(), nullptr);
    for (const Window& window : windows.windows) {
        rings.insert(rings.end(), window.whole.begin(), window.whole.end());
        for (const Chain& chain : window.chains)
            inside[chain.from] = &chain;
    }
    for (const Chain& chain : windows.outside)
        outside[chain.from] = &chain;
    std::vector<bool> used(windows.crossings.size(), false);
    for (const Chain& first : windows.outside) {
        if (used[first.from]) continue;
        std::vector<std::pair<Point, bool>> points;
        const Chain* chain = &first;
        bool is_outside = true;
        do {
            if (used[chain->from]) return std::nullopt;
            used[chain->from] = true;
            points.emplace_back(windows.crossings[chain->from].at, true);
            for (const Point p : chain->between)
                points.emplace_back(p, false);
            chain = is_outside ? inside[chain->to] : outside[chain->to];
            is_outside = !is_outside;
            if (chain == nullptr) return std::nullopt;
        } while (chain != &first);
        rings.push_back(without_crossings(points));
    }
    return nested(std::move(rings));
}

} // namespace kerfwright::fit
