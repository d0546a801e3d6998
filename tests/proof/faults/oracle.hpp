#pragma once
// What a program really does, found out slowly: it is read by a few lines of code, the cutter is stamped along every
// move in small steps, and the outcome is compared with what was asked. Shares nothing with src/: no reader, no moves,
// no geometry. It knows only the jobs of kit.hpp (boxes with round corners) and the words their programs use.

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

namespace oracle {

struct Box { ///< with round corners; r = 0 for clamps
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0, r = 0;
};

struct World {
    double width = 120, height = 90, top = 6, bottom = 0; ///< sheet
    Box part;                                             ///< outline that must stay (outside) or the pocket (inside)
    bool pocket = false;
    double floor = 0; ///< program Z asked in the slot or on the pocket's floor
    double skin = 0;
    bool held_below = true; ///< tape or vacuum
    struct Clamp {
        Box box;
        double top = 0;
    };
    std::vector<Clamp> clamps;
    double radius = 3, flute = 20, protrusion = 30, nut_radius = 14;
    bool centre_cutting = true;
    double n_min = 6000, n_max = 24000, feed_max = 1200, section_max = 12,
           depth_max = 2; ///< of the plan: mm/min, mm², mm
    double travel_x = 600, travel_y = 600, travel_z = 90, bed_allowance = 0.3, inset = 25;
    double clearance = 5;
};

/// Everything bad that happened, as how bad it was; the bounds that part bad from good are in `verdict`.
struct Outcome {
    bool refused = false; ///< a controller stops at the text
    bool unended = false;
    bool odd_units = false;
    double rapid = 0;                     ///< mm of material in a rapid's way
    double clamp = 0;                     ///< mm into a clamp
    double stack = 0;                     ///< mm of material against shank or nut
    double bed = 0;                       ///< mm below the stock
    double beyond_table = 0;              ///< mm
    double still = 0;                     ///< mm³ cut without a turning spindle
    double wrong_speed = 0;               ///< share out of range, while cutting
    double no_feed = 0;                   ///< moves
    double fast = 0;                      ///< mm cut at more than the feed
    double heavy = 0;                     ///< mm of way with more than the planned section
    double deep = 0;                      ///< mm of way deeper than planned: may be too heavy however narrow
    double too_heavy = 0;                 ///< mm of way with so much that no doubt is left
    double plunge = 0;                    ///< mm³ taken straight down by a cutter that cannot
    double into = 0;                      ///< mm into the asked edge
    double standing = 0;                  ///< mm left outside of it
    double floor_low = 0, floor_high = 0; ///< mm
    double skin_low = 0;                  ///< mm of skin that is missing
    double inside = 0;                    ///< mm cut from the top of what must stay
    double freed = 0;                     ///< mm along a part that is free
};

/// Outside distance to a box with round corners, negative inside.
inline double distance(const Box& b, double x, double y) {
    const double cx = (b.x0 + b.x1) / 2, cy = (b.y0 + b.y1) / 2;
    const double dx = std::abs(x - cx) - (b.x1 - b.x0) / 2 + b.r;
    const double dy = std::abs(y - cy) - (b.y1 - b.y0) / 2 + b.r;
    const double out = std::hypot(std::max(dx, 0.0), std::max(dy, 0.0));
    return out + std::min(std::max(dx, dy), 0.0) - b.r;
}

class Simulation {
  public:
    explicit Simulation(const World& world) : w_(world) {
        nx_ = static_cast<int>(w_.width / kCell);
        ny_ = static_cast<int>(w_.height / kCell);
        height_.assign(static_cast<std::size_t>(nx_ * ny_), w_.top);
        place_edge();
        buckets_.resize(kBuckets * kBuckets);
        for (std::size_t i = 0; i < edge_.size(); ++i)
            buckets_[static_cast<std::size_t>(bucket(edge_[i].y) * kBuckets + bucket(edge_[i].x))].push_back(i);
        z_ = w_.top;
        for (const World::Clamp& clamp : w_.clamps)
            z_ = std::max(z_, clamp.top);
        z_ += w_.clearance;
    }

    Outcome run(const std::string& text) {
        std::size_t start = 0;
        while (start < text.size() && !ended_) {
            const std::size_t end = std::min(text.find('\n', start), text.size());
            line(text.substr(start, end - start));
            start = end + 1;
        }
        out_.unended = !ended_;
        compare();
        return out_;
    }

  private:
    static constexpr double kCell = 0.4, kStep = 0.1, kBucket = 8;
    static constexpr int kBuckets = 18;
    struct Spot {
        double x, y, nx, ny, into, standing, skin_z;
    };

    void place_edge() { // points along the asked edge
        const Box& b = w_.part;
        const double around = 2 * (b.x1 - b.x0 + b.y1 - b.y0);
        const int count = static_cast<int>(around / 0.25);
        for (int i = 0; i < count; ++i) {
            // walk the sharp box, then pull to the round one along the gradient of its distance
            double s = around * i / count, x = b.x0, y = b.y0;
            const double sides[] = {b.x1 - b.x0, b.y1 - b.y0, b.x1 - b.x0, b.y1 - b.y0};
            int side = 0;
            while (s > sides[side])
                s -= sides[side++];
            if (side == 0) x += s;
            if (side == 1) {
                x = b.x1;
                y += s;
            }
            if (side == 2) {
                x = b.x1 - s;
                y = b.y1;
            }
            if (side == 3) y = b.y1 - s;
            double gx = 0, gy = 0;
            for (int k = 0; k < 30; ++k) {
                const double d = distance(b, x, y);
                gx = (distance(b, x + 1e-6, y) - distance(b, x - 1e-6, y)) / 2e-6;
                gy = (distance(b, x, y + 1e-6) - distance(b, x, y - 1e-6)) / 2e-6;
                const double norm = std::max(0.5, std::hypot(gx, gy));
                x -= d * gx / norm;
                y -= d * gy / norm;
            }
            edge_.push_back({x, y, gx, gy, 1e9, 1e9, 1e9});
        }
    }

    void line(const std::string& raw) {
        std::map<char, double> words;
        std::vector<double> g, m;
        std::string clean;
        int depth = 0;
        for (char c : raw) {
            if (c == ';' && depth == 0) break;
            if (c == '(') {
                if (depth++ > 0) return refuse();
                continue;
            }
            if (c == ')') {
                if (--depth < 0) return refuse();
                continue;
            }
            if (depth == 0 && c != ' ' && c != '\t' && c != '\r') clean += static_cast<char>(std::toupper(c));
        }
        if (depth != 0) return refuse();
        if (clean == "%") { // opens the text, and ends it the second time
            ended_ = ended_ || percent_;
            percent_ = true;
            return;
        }
        for (std::size_t i = 0; i < clean.size();) {
            const char letter = clean[i++];
            if (letter < 'A' || letter > 'Z') return refuse();
            std::size_t used = i;
            while (used < clean.size() &&
                   (std::isdigit(clean[used]) || clean[used] == '.' || clean[used] == '-' || clean[used] == '+'))
                ++used;
            const std::string number = clean.substr(i, used - i);
            char* rest = nullptr;
            const double value = std::strtod(number.c_str(), &rest);
            if (number.empty() || *rest) return refuse();
            i = used;
            if (letter == 'G')
                g.push_back(value);
            else if (letter == 'M')
                m.push_back(value);
            else if (!words.emplace(letter, value).second)
                return refuse();
        }
        block(words, g, m);
    }

    void refuse() { out_.refused = true; }

    void block(std::map<char, double> words, const std::vector<double>& g, const std::vector<double>& m) {
        int motion_words = 0, group3 = 0, units_words = 0, planes = 0;
        for (const double code : g) {
            if (code == 0 || code == 1 || code == 2 || code == 3) {
                motion_ = static_cast<int>(code);
                ++motion_words;
            } else if (code == 20 || code == 21) {
                inch_ = code == 20;
                out_.odd_units |= inch_;
                ++units_words;
            } else if (code == 90 || code == 91) {
                incremental_ = code == 91;
                ++group3;
            } else if (code == 17 || code == 18 || code == 19) {
                plane_ = static_cast<int>(code);
                ++planes;
            } else if (code == 94 || code == 40 || code == 49 || code == 54) {
            } else if (code == 80)
                motion_ = motion_words ? motion_ : -1;
            else
                return refuse();
        }
        const bool moves = words.count('X') || words.count('Y') || words.count('Z');
        if (motion_words > 0 && !moves) return refuse();
        if (motion_words > 1 || group3 > 1 || units_words > 1 || planes > 1) return refuse();
        const double unit = inch_ ? 25.4 : 1;
        if (words.count('F')) feed_ = words['F'] * unit;
        if (words.count('S')) {
            if (words['S'] < 0) return refuse();
            speed_ = words['S'];
        }
        bool end = false;
        for (const double code : m) {
            if (code == 3)
                turning_ = 1;
            else if (code == 4)
                turning_ = -1;
            else if (code == 5)
                turning_ = 0;
            else if (code == 2 || code == 30)
                end = true;
            else if (code == 8 || code == 9 || code == 7) {
            } else
                return refuse();
        }
        const bool axis = words.count('X') || words.count('Y') || words.count('Z');
        const bool centre = words.count('I') || words.count('J') || words.count('K');
        if (axis) {
            double to[3] = {x_, y_, z_};
            const char* names = "XYZ";
            for (int a = 0; a < 3; ++a)
                if (words.count(names[a])) {
                    const double v = words[names[a]] * unit;
                    to[a] = incremental_ ? to[a] + v : v;
                }
            go(to[0], to[1], to[2], words, unit);
        } else if (centre) {
            refuse();
        }
        if (end) ended_ = true;
    }

    void go(double x, double y, double z, std::map<char, double>& words, double unit) {
        if (motion_ < 0) return refuse();
        const bool centre = words.count('I') || words.count('J') || words.count('K');
        if (motion_ < 2 && centre) return refuse();
        if (motion_ >= 1 && feed_ <= 0) {
            out_.no_feed += 1;
        }
        if (motion_ < 2) {
            const double length = std::hypot(x - x_, y - y_, z - z_);
            const int steps = std::max(1, static_cast<int>(std::ceil(length / kStep)));
            const double x0 = x_, y0 = y_, z0 = z_;
            start_of_move(x, y, z);
            for (int i = 1; i <= steps; ++i) {
                const double t = static_cast<double>(i) / steps;
                stamp(x0 + (x - x0) * t, y0 + (y - y0) * t, z0 + (z - z0) * t, length / steps);
            }
        } else {
            arc(x, y, z, words, unit);
        }
        if (out_.refused) return;
        x_ = x;
        y_ = y;
        z_ = z;
    }

    void arc(double x, double y, double z, std::map<char, double>& words, double unit) {
        // u, v in the plane, right-handed about the normal
        const int u = plane_ == 17   ? 0
                      : plane_ == 18 ? 2
                                     : 1,
                  v = plane_ == 17   ? 1
                      : plane_ == 18 ? 0
                                     : 2,
                  n = 3 - u - v;
        const double from[3] = {x_, y_, z_}, to[3] = {x, y, z};
        const char offsets[] = "IJK";
        if (words.count(offsets[n])) return refuse();
        if (!words.count("XYZ"[u]) && !words.count("XYZ"[v])) return refuse();
        double c[3];
        const bool clockwise = motion_ == 2;
        if (words.count('R')) {
            if (words.count('I') || words.count('J') || words.count('K')) return refuse();
            double r = words['R'] * unit;
            const double du = to[u] - from[u], dv = to[v] - from[v], chord = std::hypot(du, dv);
            if (chord == 0 || chord > 2 * std::abs(r) * (1 + 1e-9)) return refuse();
            const double h = std::sqrt(std::max(0.0, r * r - chord * chord / 4)) * ((r > 0) == clockwise ? -1 : 1);
            c[u] = (from[u] + to[u]) / 2 - h * dv / chord;
            c[v] = (from[v] + to[v]) / 2 + h * du / chord;
        } else {
            if (!words.count(offsets[u]) && !words.count(offsets[v])) return refuse();
            c[u] = from[u] + (words.count(offsets[u]) ? words[offsets[u]] * unit : 0);
            c[v] = from[v] + (words.count(offsets[v]) ? words[offsets[v]] * unit : 0);
            const double r0 = std::hypot(from[u] - c[u], from[v] - c[v]), r1 = std::hypot(to[u] - c[u], to[v] - c[v]);
            if (std::abs(r0 - r1) > 0.00201) return refuse();
        }
        const double r = std::hypot(from[u] - c[u], from[v] - c[v]);
        const double a0 = std::atan2(from[v] - c[v], from[u] - c[u]);
        double sweep = std::atan2(to[v] - c[v], to[u] - c[u]) - a0;
        if (clockwise) {
            while (sweep >= -1e-12)
                sweep -= 2 * M_PI;
            while (sweep < -2 * M_PI - 1e-12)
                sweep += 2 * M_PI;
        } else {
            while (sweep <= 1e-12)
                sweep += 2 * M_PI;
            while (sweep > 2 * M_PI + 1e-12)
                sweep -= 2 * M_PI;
        }
        const double length = std::hypot(r * sweep, to[n] - from[n]);
        const int steps = std::max(1, static_cast<int>(std::ceil(length / kStep)));
        start_of_move(x, y, z);
        for (int i = 1; i <= steps; ++i) {
            const double t = static_cast<double>(i) / steps;
            double p[3];
            p[u] = c[u] + r * std::cos(a0 + sweep * t);
            p[v] = c[v] + r * std::sin(a0 + sweep * t);
            p[n] = from[n] + (to[n] - from[n]) * t;
            stamp(p[0], p[1], p[2], length / steps);
        }
    }

    void start_of_move(double x, double y, double z) {
        straight_down_ = std::hypot(x - x_, y - y_) < 1e-9 && z < z_;
        if (motion_ == 0) gathered_way_ = gathered_volume_ = 0;
    }

    void stamp(double x, double y, double z, double way) {
        look(x, y, z, way);
        last_x_ = x;
        last_y_ = y;
    }

    void look(double x, double y, double z, double way) {
        const bool rapid = motion_ == 0;
        out_.bed = std::max(out_.bed, w_.bottom - z);
        low_[0] = std::min(low_[0], x);
        high_[0] = std::max(high_[0], x);
        low_[1] = std::min(low_[1], y);
        high_[1] = std::max(high_[1], y);
        low_[2] = std::min(low_[2], z);
        high_[2] = std::max(high_[2], z);
        out_.beyond_table =
            std::max({out_.beyond_table, -w_.inset - x, -w_.inset - y, x - w_.travel_x, y - w_.travel_y});
        for (const World::Clamp& clamp : w_.clamps) {
            const double gap = distance(clamp.box, x, y);
            if (z < clamp.top) out_.clamp = std::max(out_.clamp, std::min(w_.radius - gap, clamp.top - z));
            if (z + w_.protrusion < clamp.top)
                out_.clamp = std::max(out_.clamp, std::min(w_.nut_radius - gap, clamp.top - z - w_.protrusion));
        }
        if (z + w_.protrusion < w_.top) {
            const int reach = static_cast<int>(w_.nut_radius / kCell);
            each_cell(x, y, w_.nut_radius - 0.3, reach, [&](double& h, double, double, double) {
                out_.stack = std::max(out_.stack, h - z - w_.protrusion);
            });
        }
        if (z >= w_.top) return;
        double removed = 0, deepest = 0;
        // how far beside the way a cell lies: only the middle of the way counts as hit, its rim may be a touch
        const double ux = x - last_x_, uy = y - last_y_, step = std::hypot(ux, uy);
        const auto beside = [&](double cx, double cy, double d) {
            return step > 1e-9 ? std::abs(ux * (cy - y) - uy * (cx - x)) / step : d;
        };
        each_cell(x, y, w_.radius, static_cast<int>(w_.radius / kCell) + 1,
                  [&](double& h, double d, double cx, double cy) {
                      if (h <= z) return;
                      const bool middle = beside(cx, cy, d) < w_.radius - 0.2;
                      if (rapid && middle) out_.rapid = std::max(out_.rapid, h - z);
                      if (h > z + w_.flute && middle) out_.stack = std::max(out_.stack, h - z - w_.flute);
                      if (middle) deepest = std::max(deepest, h - std::max(z, w_.bottom));
                      removed += (h - std::max(z, w_.bottom)) * kCell * kCell;
                      h = std::max(z, w_.bottom - 1);
                  });
        if (removed > 0) {
            if (!rapid && turning_ != 1) out_.still += removed;
            if (!rapid && turning_ == 1 && speed_ <= 0) out_.still += removed;
            if (turning_ != 0 && speed_ > 0)
                out_.wrong_speed = std::max({out_.wrong_speed, speed_ / w_.n_max - 1, 1 - speed_ / w_.n_min});
            if (!rapid && straight_down_ && !w_.centre_cutting) out_.plunge += removed;
            if (!rapid && !straight_down_ && deepest > 1.1 * w_.depth_max) out_.deep += way;
            if (!rapid && feed_ > w_.feed_max * 1.15) out_.fast += way;
        }
        if (!rapid && !straight_down_) weigh(removed, way);
        const double near = w_.radius + 2; // no more than a bucket
        each_spot(x, y, [&](Spot& spot) {
            const double square = (spot.x - x) * (spot.x - x) + (spot.y - y) * (spot.y - y);
            if (square > near * near) return;
            const double gap = std::sqrt(square) - w_.radius;
            if (z < w_.top - 0.05) spot.into = std::min(spot.into, gap);
            if (!rapid && z <= w_.floor + 0.05) spot.standing = std::min(spot.standing, gap);
            if (gap < 0.02) spot.skin_z = std::min(spot.skin_z, z);
        });
        if (!w_.held_below && free_ && distance(w_.part, x, y) < w_.radius + 0.005) out_.freed += way;
        if (!w_.pocket && !w_.held_below && z <= w_.bottom + 0.005) {
            free_ = true;
            for (const Spot& spot : edge_)
                free_ &= spot.skin_z <= w_.bottom + 0.005;
        }
    }

    /// Sections are looked at over 6 mm of way: the cells are coarse.
    void weigh(double volume, double way) {
        gathered_volume_ += volume;
        gathered_way_ += way;
        if (gathered_way_ < 6) return;
        const double section = gathered_volume_ / gathered_way_;
        if (section > 1.3 * w_.section_max) out_.heavy += gathered_way_;
        if (section > 1.6 * w_.section_max && feed_ > 0.9 * w_.feed_max) out_.too_heavy += gathered_way_;
        gathered_volume_ = gathered_way_ = 0;
    }

    [[nodiscard]] static int bucket(double v) { return std::clamp(static_cast<int>(v / kBucket) + 1, 0, kBuckets - 1); }

    template <class F>
    void each_spot(double x, double y, F&& f) {
        const int bx = bucket(x), by = bucket(y);
        for (int j = std::max(0, by - 1); j <= std::min(kBuckets - 1, by + 1); ++j)
            for (int i = std::max(0, bx - 1); i <= std::min(kBuckets - 1, bx + 1); ++i)
                for (const std::size_t spot : buckets_[static_cast<std::size_t>(j * kBuckets + i)])
                    f(edge_[spot]);
    }

    template <class F>
    void each_cell(double x, double y, double radius, int reach, F&& f) {
        const int col = static_cast<int>(std::floor(x / kCell)), row = static_cast<int>(std::floor(y / kCell));
        for (int j = std::max(0, row - reach - 1); j <= std::min(ny_ - 1, row + reach + 1); ++j)
            for (int i = std::max(0, col - reach - 1); i <= std::min(nx_ - 1, col + reach + 1); ++i) {
                const double cx = (i + 0.5) * kCell, cy = (j + 0.5) * kCell;
                const double square = (cx - x) * (cx - x) + (cy - y) * (cy - y);
                if (square <= radius * radius)
                    f(height_[static_cast<std::size_t>(j * nx_ + i)], std::sqrt(square), cx, cy);
            }
    }

    void compare() {
        for (int a = 0; a < 3; ++a) {
            const double travel = a == 0 ? w_.travel_x : a == 1 ? w_.travel_y : w_.travel_z;
            out_.beyond_table = std::max(out_.beyond_table, high_[a] - low_[a] - travel);
        }
        for (const Spot& spot : edge_) {
            out_.into = std::max(out_.into, -spot.into);
            out_.standing = std::max(out_.standing, std::min(spot.standing, 10.0));
            if (w_.skin > 0) out_.skin_low = std::max(out_.skin_low, w_.bottom + w_.skin - spot.skin_z);
        }
        for (int j = 0; j < ny_; ++j)
            for (int i = 0; i < nx_; ++i) {
                const double x = (i + 0.5) * kCell, y = (j + 0.5) * kCell;
                const double d = distance(w_.part, x, y), h = height_[static_cast<std::size_t>(j * nx_ + i)];
                const bool must_stay = w_.pocket ? d > 0.6 : d < -0.6;
                if (must_stay) out_.inside = std::max(out_.inside, w_.top - h);
                if (w_.pocket && d < -0.6) {
                    out_.floor_low = std::max(out_.floor_low, w_.floor - h);
                    out_.floor_high = std::max(out_.floor_high, h - w_.floor);
                }
            }
    }

    const World& w_;
    int nx_ = 0, ny_ = 0;
    std::vector<double> height_;
    std::vector<Spot> edge_;
    std::vector<std::vector<std::size_t>> buckets_; ///< spots by place
    Outcome out_;
    double x_ = 0, y_ = 0, z_ = 0, feed_ = 0, speed_ = 0;
    double low_[3] = {1e9, 1e9, 1e9}, high_[3] = {-1e9, -1e9, -1e9};
    int motion_ = 1, plane_ = 17, turning_ = 0;
    double last_x_ = 0, last_y_ = 0;
    bool inch_ = false, incremental_ = false, ended_ = false, straight_down_ = false, free_ = false, percent_ = false;
    double gathered_way_ = 0, gathered_volume_ = 0;
};

enum class Verdict { harmless, unclear, harmful };

/// Unclear: so near a bound that steps and cells of the oracle cannot tell.
inline Verdict verdict(const Outcome& o, const World& w, std::string* why = nullptr) {
    Verdict worst = Verdict::harmless;
    const auto judge = [&](const char* name, double value, double clean, double harm) {
        if (value <= clean) return;
        const Verdict v = value >= harm ? Verdict::harmful : Verdict::unclear;
        if (v > worst) {
            worst = v;
            if (why) *why = name;
        }
    };
    judge("refused", o.refused, 0, 1);
    judge("unended", o.unended, 0, 1);
    judge("units", o.odd_units, 0, 1);
    judge("rapid", o.rapid, 0, 0.1);
    judge("clamp", o.clamp, 0, 0.01);
    judge("stack", o.stack, 0, 0.1);
    judge("bed", o.bed, w.bed_allowance, w.bed_allowance + 0.002);
    judge("table", o.beyond_table, 0, 0.01);
    judge("spindle", o.still, 0, 1);
    judge("speed", o.wrong_speed, 0, 0.001);
    judge("no feed", o.no_feed, 0, 1);
    judge("fast", o.fast, 3, 7);
    judge("heavy", o.heavy, 2, 1e9);
    judge("deep", o.deep, 4, 1e9);
    judge("too heavy", o.too_heavy, 3, 12);
    judge("plunge", o.plunge, 0, 2);
    judge("edge", o.into, 0.025, 0.04);
    judge("standing", o.standing, 0.04, 0.06);
    judge("too deep", o.floor_low, 0.04, 0.06);
    judge("floor standing", o.floor_high, 0.04, 0.06);
    judge("skin", o.skin_low, 0.04, 0.06);
    judge("inside", o.inside, 0.04, 0.06);
    judge("freed", o.freed, 5, 12);
    return worst;
}

} // namespace oracle
