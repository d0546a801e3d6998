#include "toolpath/layers.hpp"

#include "plane/boolean.hpp"
#include "toolpath/centres.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>

namespace kerfwright::toolpath {

using plane::Shape;

namespace {

constexpr double kSameDepth = 1e-4; // mm

/// A depth at which a layer may end, and the area of the floors that lie there; none for a mere step on the way down.
struct Depth {
    double depth = 0;
    double area = 0;
};

/// The depths of the floors and, between them, whole cuts above the deepest one.
std::vector<Depth> depths_of(const PocketFeature& feature, double ap) {
    std::vector<Depth> depths;
    for (const PocketFloor& floor : feature.floors)
        if (!floor.area.empty()) depths.push_back({floor.depth, plane::area(floor.area)});
    const auto shallower = [](const Depth& a, const Depth& b) { return a.depth < b.depth; };
    const auto join = [&] {
        std::stable_sort(depths.begin(), depths.end(), shallower);
        std::vector<Depth> joint;
        for (const Depth& one : depths)
            if (joint.empty() || one.depth - joint.back().depth >= kSameDepth)
                joint.push_back(one);
            else
                joint.back().area += one.area;
        depths = std::move(joint);
    };
    join();
    if (depths.size() < 2) return depths;
    constexpr int kMostSteps = 100;
    const double shallowest = depths.front().depth, deepest = depths.back().depth;
    for (int k = 1; k < kMostSteps && deepest - k * ap > shallowest; ++k)
        depths.push_back({deepest - k * ap, 0});
    join();
    return depths;
}

/// For each depth: does its layer clear all that is deeper? The cheapest choice, by shortest path: area cleared, times
/// passes; a floor on its own costs more than its area, since its cutter turns more often.
std::vector<char> through_layers(const std::vector<Depth>& depths, double ap) {
    constexpr double kAlone = 1.3;
    const std::size_t count = depths.size();
    std::vector<double> deeper(count + 1, 0); // area at or below
    for (std::size_t i = count; i-- > 0;)
        deeper[i] = deeper[i + 1] + depths[i].area;
    const auto passes = [&](double from, double to) { return std::max(1.0, std::ceil((to - from) / ap - 1e-6)); };
    std::vector<double> cost(count, 1e300); // with a layer at i that clears all
    std::vector<std::size_t> before(count, count);
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t j = 0; j <= i; ++j) { // j - 1 is the one before it; 0: none
            const double top = j == 0 ? 0 : depths[j - 1].depth;
            double sum = (j == 0 ? 0 : cost[j - 1]) + deeper[i] * passes(top, depths[i].depth);
            for (std::size_t k = j; k < i; ++k)
                sum += kAlone * depths[k].area * passes(top, depths[k].depth);
            if (sum < cost[i]) cost[i] = sum, before[i] = j;
        }
    std::vector<char> through(count, 0);
    for (std::size_t i = count; i > 0; i = before[i - 1])
        through[i - 1] = 1;
    return through;
}

} // namespace

std::vector<Layer> layers_of(const PocketFeature& feature, double top, double ap) {
    const std::vector<Depth> depths = depths_of(feature, ap);
    const std::vector<char> through = through_layers(depths, ap);
    std::vector<Layer> layers, alone;
    std::size_t above = Layer::kNone;
    Shape shallower;
    for (std::size_t i = 0; i < depths.size(); ++i) {
        const double depth = depths[i].depth;
        std::vector<Shape> here;
        for (const PocketFloor& floor : feature.floors)
            if (std::abs(floor.depth - depth) < kSameDepth) here.push_back(floor.area);
        Layer layer;
        if (!here.empty()) layer.own = plane::unite(here);
        layer.all = through[i] != 0;
        layer.top = above == Layer::kNone ? top : layers[above].floor;
        layer.floor = top - depth;
        layer.above = above;
        layer.shallower = shallower;
        layer.wanted = !layer.all          ? layer.own
                       : shallower.empty() ? cleaned(feature.wall)
                                           : cleaned(subtract(feature.wall, shallower));
        here.push_back(std::move(shallower));
        shallower = plane::unite(here);
        if (!layer.all && layer.own.empty()) continue;
        if (layer.all) above = layers.size();
        (layer.all ? layers : alone).push_back(std::move(layer));
    }
    layers.insert(layers.end(), std::make_move_iterator(alone.rbegin()), std::make_move_iterator(alone.rend()));
    return layers;
}

std::vector<std::size_t> downwards(const std::vector<Layer>& layers) {
    std::vector<std::size_t> order(layers.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return layers[a].floor > layers[b].floor; });
    return order;
}

std::vector<Shape> kept_out(const std::vector<Layer>& layers, double radius) {
    std::vector<Shape> out(layers.size());
    const Layer* before = nullptr;
    Shape so_far;
    for (const std::size_t k : downwards(layers)) {
        const Layer& layer = layers[k];
        const Shape more = before == nullptr ? layer.shallower : subtract(layer.shallower, before->shallower);
        if (!more.empty()) so_far = unite(so_far, offset(thinned(more, kAccount), radius));
        out[k] = so_far;
        before = &layer;
    }
    return out;
}

} // namespace kerfwright::toolpath
