#include "toolpath/levels.hpp"

#include "toolpath/centres.hpp"

#include <algorithm>

namespace kerfwright::toolpath {
std::vector<Level> levels_of(const plane::Shape& centres, double stepover) {
    constexpr double kThinning = 0.002; // mm; offsets of offsets gather vertices
    std::vector<Level> levels;
    for (const plane::Polygon& polygon : centres)
        levels.push_back({polygon, Level::kNone, {}});
    for (std::size_t i = 0; i < levels.size(); ++i) { // grows while it is walked
        for (plane::Polygon& inner : thinned(inset({levels[i].area}, stepover), kThinning)) {
            levels[i].children.push_back(levels.size());
            levels.push_back({std::move(inner), i, {}});
        }
    }
    return levels;
}

std::vector<std::size_t> inside_out(const std::vector<Level>& levels) {
    std::vector<std::size_t> order;
    std::vector<std::size_t> waiting;
    for (std::size_t i = levels.size(); i-- > 0;)
        if (levels[i].parent == Level::kNone) waiting.push_back(i);
    // Parent, then children right to left; the reverse of that has every child, and all within it, before its parent.
    while (!waiting.empty()) {
        const std::size_t i = waiting.back();
        waiting.pop_back();
        order.push_back(i);
        waiting.insert(waiting.end(), levels[i].children.begin(), levels[i].children.end());
    }
    std::reverse(order.begin(), order.end());
    return order;
}

} // namespace kerfwright::toolpath
