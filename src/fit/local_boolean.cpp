#include "fit/local_boolean.hpp"

#include "fit/thickness.hpp"
#include "fit/windows.hpp"
#include "plane/boolean.hpp"

#include <algorithm>

namespace kerfwright::fit {
namespace {

plane::Shape as_loose_rings(std::vector<plane::Ring> rings) {
    plane::Shape shape;
    for (plane::Ring& ring : rings)
        shape.push_back({std::move(ring), {}});
    return shape;
}

using Operation = plane::Shape (*)(const plane::Shape&, const plane::Shape&);

plane::Shape changed(const plane::Shape& large, const plane::Shape& small, Operation operation) {
    if (small.empty()) return large;
    if (large.empty()) return operation(large, small);
    auto windows = cut_windows(large, small);
    if (!windows) return operation(large, small);
    for (std::size_t w = 0; w < windows->windows.size(); ++w) {
        Window& window = windows->windows[w];
        const plane::Shape inside = as_loose_rings(local_rings(window));
        if (!take_back(window, operation(inside, window.small))) return operation(large, small);
    }
    auto whole = joined(*windows);
    return whole ? *whole : operation(large, small);
}

plane::Shape subtracted(const plane::Shape& a, const plane::Shape& b) {
    return plane::subtract(a, b);
}
plane::Shape united(const plane::Shape& a, const plane::Shape& b) {
    return plane::unite(a, b);
}

/// The results of the windows, side by side. Where no border of the large shape comes into a window, all of the small
/// ones lies inside, or outside, which counts when `keep_inside` says so.
plane::Shape picked(const plane::Shape& large, const plane::Shape& small, Operation operation, bool keep_inside) {
    if (small.empty()) return {};
    auto windows = cut_windows(large, small);
    if (!windows) return operation(large, small);
    plane::Shape found;
    for (Window& window : windows->windows) {
        const bool bare = window.ids.empty() && window.whole.empty();
        if (bare && window.all_inside != keep_inside) continue;
        if (bare && window.small.size() == 1) {
            found.push_back(window.small.front());
            continue;
        }
        const plane::Shape more = operation(as_loose_rings(local_rings(window)), window.small);
        found.insert(found.end(), more.begin(), more.end());
    }
    return found;
}

} // namespace

plane::Shape shared(const plane::Shape& large, const plane::Shape& small) {
    return picked(
        large, small, [](const plane::Shape& in, const plane::Shape& piece) { return plane::intersect(in, piece); },
        true);
}

plane::Shape beyond(const plane::Shape& large, const plane::Shape& small) {
    return picked(
        large, small, [](const plane::Shape& in, const plane::Shape& piece) { return plane::subtract(piece, in); },
        false);
}

plane::Shape less(const plane::Shape& large, const plane::Shape& small) {
    return without_spikes(changed(large, small, subtracted));
}

plane::Shape with(const plane::Shape& large, const plane::Shape& small) {
    return without_spikes(changed(large, small, united));
}

} // namespace kerfwright::fit
