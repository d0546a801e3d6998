#include "layout/separate.hpp"

#include "plane/boolean.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace kerfwright::layout {
namespace {

constexpr double kFinest = 0.01; // mm and degrees

double hundredths(double v) {
    return std::round(v * 100) / 100;
}

/// As it would be written.
plane::Placement written(const Item& item, plane::Placement placement) {
    placement.angle_deg =
        item.part->keep_grain ? placement.angle_deg : hundredths(std::fmod(placement.angle_deg + 720, 360));
    return of_item(item, of_drawing(item, placement));
}

class Separation {
  public:
    Separation(std::vector<Lying>& parts, const Ground& ground, Random& random)
        : parts_(parts), ground_(ground), random_(random), count_(parts.size()), weights_(count_ * count_, 1),
          ground_weights_(count_, 1) {
        for (const Lying& lying : parts_)
            bodies_.push_back(moved(lying.item->body, lying.placement));
        for (const Lying& lying : parts_) {
            grown_.emplace_back();
            for (const Solid& solid : lying.item->grown)
                grown_.back().push_back(moved(solid, lying.placement));
        }
        refresh_all();
    }

    /// Sum of all overlaps, each pair once.
    [[nodiscard]] double overlap() const {
        double sum = std::accumulate(ground_overlaps_.begin(), ground_overlaps_.end(), 0.0);
        for (std::size_t i = 0; i < count_; ++i)
            for (std::size_t j = i + 1; j < count_; ++j)
                sum += overlaps_[i * count_ + j];
        return sum;
    }

    /// Placements judged so far.
    [[nodiscard]] long evaluations() const { return evaluations_; }

    /// Every part that overlaps something looks for a better place, in random order.
    void round() {
        std::vector<std::size_t> order;
        for (std::size_t i = 0; i < count_; ++i)
            if (troubled(i)) order.push_back(i);
        for (std::size_t i = order.size(); i > 1; --i)
            std::swap(order[i - 1], order[random_.below(i)]);
        for (const std::size_t i : order)
            if (troubled(i)) move(i);
        reweigh();
    }

  private:
    struct Pose {
        plane::Placement placement;
        double loss = 1e300;
    };

    [[nodiscard]] bool troubled(std::size_t i) const {
        if (ground_overlaps_[i] > 0) return true;
        for (std::size_t j = 0; j < count_; ++j)
            if (overlaps_[i * count_ + j] > 0) return true;
        return false;
    }

    /// How far the body sticks out of the ground's box, as an overlap.
    [[nodiscard]] static double overlap_with_rim(const plane::Box& box, const Solid& body) {
        const double out = std::max(0.0, box.low.x - body.box.low.x) + std::max(0.0, body.box.high.x - box.high.x) +
                           std::max(0.0, box.low.y - body.box.low.y) + std::max(0.0, body.box.high.y - box.high.y);
        return out > 0 ? std::sqrt((out + 0.01 * body.size) * body.size) * body.size : 0;
    }

    [[nodiscard]] double overlap_with_ground(std::size_t i, const Solid& body) const {
        const Ground::Layer& layer = ground_.layers[parts_[i].item->kerf_class];
        double sum = overlap_with_rim(layer.box, body);
        for (const Solid& taken : layer.taken)
            if (collide(body, taken)) sum += depth(body, taken);
        return sum;
    }

    [[nodiscard]] double overlap_with_part(std::size_t i, const Solid& body, std::size_t j) const {
        const Solid& other = grown_[j][parts_[i].item->kerf_class];
        return collide(body, other) ? depth(body, other) : 0;
    }

    /// Weighted overlap of part i at a placement; stops as soon as it is above `limit`. What inner circles can tell
    /// comes first: most poses fail there.
    [[nodiscard]] double loss(std::size_t i, const plane::Placement& placement, double limit) {
        ++evaluations_;
        const Solid& solid = parts_[i].item->body;
        move_circles(solid, placement, trial_);
        double sum = 0;
        doubtful_.clear();
        for (std::size_t j = 0; j < count_; ++j) {
            if (j == i) continue;
            const Solid& other = grown_[j][parts_[i].item->kerf_class];
            if (far_apart(trial_, other)) continue;
            if (surely_collide(trial_, other))
                sum += depth(trial_, other) * weights_[i * count_ + j];
            else
                doubtful_.push_back(j);
            if (sum > limit) return sum;
        }
        move_outline(solid, placement, trial_);
        sum += overlap_with_ground(i, trial_) * ground_weights_[i];
        for (const std::size_t j : doubtful_) {
            if (sum > limit) return sum;
            sum += overlap_with_part(i, trial_, j) * weights_[i * count_ + j];
        }
        return sum;
    }

    void move(std::size_t i) {
        constexpr int kAnywhere = 20;
        constexpr int kNearby = 12;
        constexpr std::size_t kRefined = 3;
        std::vector<Pose> best{tried(i, parts_[i].placement, 1e300)};
        const auto offer = [&](const plane::Placement& placement) {
            const double limit = best.size() < kRefined ? 1e300 : best.back().loss;
            const Pose pose = tried(i, placement, limit);
            if (pose.loss >= limit) return;
            best.insert(std::upper_bound(best.begin(), best.end(), pose,
                                         [](const Pose& a, const Pose& b) { return a.loss < b.loss; }),
                        pose);
            if (best.size() > kRefined) best.pop_back();
        };
        for (int k = 0; k < kAnywhere; ++k)
            offer(anywhere(i));
        for (int k = 0; k < kNearby; ++k)
            offer(nearby(i));
        Pose chosen = best.front();
        for (const Pose& pose : best) {
            const Pose end = descended(i, pose);
            if (end.loss < chosen.loss) chosen = end;
        }
        parts_[i].placement = chosen.placement;
        bodies_[i] = moved(parts_[i].item->body, chosen.placement);
        for (std::size_t k = 0; k < grown_[i].size(); ++k)
            grown_[i][k] = moved(parts_[i].item->grown[k], chosen.placement);
        refresh(i);
    }

    [[nodiscard]] Pose tried(std::size_t i, const plane::Placement& placement, double limit) {
        const plane::Placement rounded = written(*parts_[i].item, placement);
        return {rounded, loss(i, rounded, limit)};
    }

    [[nodiscard]] double random_angle(const Item& item, double near, double by) {
        if (!item.part->keep_grain) return near + random_.uniform(-by, by);
        const auto angles = grain_angles(*item.part, *ground_.sheet);
        return by >= 180 ? angles[random_.below(2)] : near;
    }

    [[nodiscard]] plane::Placement anywhere(std::size_t i) {
        const Item& item = *parts_[i].item;
        const double angle = random_angle(item, 0, 180);
        const plane::Box body = moved(item.body, {0, 0, angle}).box;
        const plane::Box& box = ground_.layers[item.kerf_class].box;
        const auto within = [&](double low, double high) {
            return high > low ? random_.uniform(low, high) : (low + high) / 2;
        };
        const double x = within(box.low.x - body.low.x, box.high.x - body.high.x);
        const double y = within(box.low.y - body.low.y, box.high.y - body.high.y);
        return {x, y, angle};
    }

    [[nodiscard]] plane::Placement nearby(std::size_t i) {
        const Lying& lying = parts_[i];
        const double by = 0.15 * bodies_[i].size;
        return {lying.placement.x + random_.normal() * by, lying.placement.y + random_.normal() * by,
                random_angle(*lying.item, lying.placement.angle_deg, 20)};
    }

    /// Adaptive descent along random directions of x, y and angle.
    [[nodiscard]] Pose descended(std::size_t i, Pose pose) {
        const bool turns = !parts_[i].item->part->keep_grain;
        plane::Vec step{0.1 * bodies_[i].size, 0.1 * bodies_[i].size};
        double turn = turns ? 5 : 0;
        while (pose.loss > 0 && std::max({step.x, step.y, turn}) > 2 * kFinest) {
            const std::uint64_t axis = random_.below(turns ? 4 : 3);
            const plane::Vec way = axis == 0   ? plane::Vec{step.x, 0}
                                   : axis == 1 ? plane::Vec{0, step.y}
                                   : axis == 2 ? plane::Vec{step.x, random_.below(2) == 0 ? step.y : -step.y}
                                               : plane::Vec{};
            const double by = axis == 3 ? turn : 0;
            bool gained = false;
            for (const double sign : {1.0, -1.0}) {
                const plane::Placement& p = pose.placement;
                const Pose next =
                    tried(i, {p.x + sign * way.x, p.y + sign * way.y, p.angle_deg + sign * by}, pose.loss);
                if (next.loss >= pose.loss) continue;
                pose = next;
                gained = true;
                break;
            }
            const double factor = gained ? 1.1 : 0.5;
            if (axis == 0 || axis == 2) step.x *= factor;
            if (axis == 1 || axis == 2) step.y *= factor;
            if (axis == 3) turn *= factor;
        }
        return pose;
    }

    void refresh(std::size_t i) {
        ground_overlaps_[i] = overlap_with_ground(i, bodies_[i]);
        for (std::size_t j = 0; j < count_; ++j)
            if (j != i) overlaps_[i * count_ + j] = overlaps_[j * count_ + i] = overlap_with_part(i, bodies_[i], j);
    }

    void refresh_all() {
        overlaps_.assign(count_ * count_, 0);
        ground_overlaps_.assign(count_, 0);
        for (std::size_t i = 0; i < count_; ++i)
            refresh(i);
    }

    /// Weights grow by 1.2 to 2 with the severity of an overlap, and fall back towards 1 where there is none.
    void reweigh() {
        double worst = 0;
        for (const double v : overlaps_)
            worst = std::max(worst, v);
        for (const double v : ground_overlaps_)
            worst = std::max(worst, v);
        if (worst <= 0) return;
        const auto next = [&](double weight, double v) {
            return v > 0 ? weight * (1.2 + 0.8 * v / worst) : std::max(1.0, weight * 0.95);
        };
        for (std::size_t k = 0; k < weights_.size(); ++k)
            weights_[k] = std::min(1e12, next(weights_[k], overlaps_[k]));
        for (std::size_t i = 0; i < count_; ++i)
            ground_weights_[i] = std::min(1e12, next(ground_weights_[i], ground_overlaps_[i]));
    }

    std::vector<Lying>& parts_;
    const Ground& ground_;
    Random& random_;
    std::size_t count_;
    std::vector<double> weights_, ground_weights_;
    std::vector<double> overlaps_, ground_overlaps_;
    std::vector<Solid> bodies_;
    std::vector<std::vector<Solid>> grown_;
    Solid trial_;
    std::vector<std::size_t> doubtful_;
    long evaluations_ = 0;
};

} // namespace

Ground make_ground(const shop::Sheet& sheet, const std::vector<double>& kerfs, const LayoutOptions& options) {
    Ground ground;
    ground.sheet = &sheet;
    for (const double kerf : kerfs) {
        Ground::Layer layer;
        const plane::Shape room = free_room(sheet, kerf, options);
        layer.box = plane::bounds(room);
        if (!room.empty()) {
            const plane::Polygon inner{plane::rectangle(layer.box.low, layer.box.high), {}};
            for (const plane::Polygon& taken : plane::subtract({inner}, room)) {
                Outline outline = to_outline(taken.outer);
                auto circles = inner_circles(outline);
                layer.taken.push_back(make_solid(std::move(outline), std::move(circles)));
            }
        }
        ground.layers.push_back(std::move(layer));
    }
    return ground;
}

void add_locked(Ground& ground, const Item& item, const plane::Placement& placement) {
    for (std::size_t k = 0; k < ground.layers.size(); ++k)
        ground.layers[k].taken.push_back(moved(item.grown[k], placement));
}

bool separate(std::vector<Lying>& parts, const Ground& ground, int patience, long& budget, Random& random) {
    const std::vector<Lying> before = parts;
    Separation separation(parts, ground, random);
    double least = separation.overlap();
    for (int idle = 0; least > 0 && idle < patience && separation.evaluations() < budget;) {
        separation.round();
        const double now = separation.overlap();
        idle = now < 0.98 * least ? 0 : idle + 1;
        least = std::min(least, now);
    }
    budget -= separation.evaluations();
    if (least > 0) parts = before;
    return least <= 0;
}

} // namespace kerfwright::layout
