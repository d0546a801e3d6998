// Offset levels of random rings: true to their distance, or by the plain library with a note. Bytes become points of a
// coarse lattice, so that touching, collinear and doubled edges come up all the time.

#include "plane/levels.hpp"

#include <cstdint>
#include <cstdlib>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace kerfwright::plane;
    if (size < 4 || size > 400) return 0;
    const std::int64_t steps[] = {1, 2, 1'000, 100'000, 10'000'000};
    const std::int64_t step = steps[data[0] % 5];
    const double by = (data[1] + 1) * 0.02;
    Polygon polygon;
    const std::size_t outer = data[2] % 64U;
    for (std::size_t i = 3; i < size; ++i) {
        const Point p{(data[i] % 16) * step, (data[i] / 16) * step};
        if (polygon.outer.size() < outer) {
            polygon.outer.push_back(p);
        } else {
            if (polygon.holes.empty() || polygon.holes.back().size() > 8) polygon.holes.emplace_back();
            polygon.holes.back().push_back(p);
        }
    }
    const OffsetLevels made = offset_levels({polygon}, {by, -by});
    if (made.levels.size() != 2) std::abort();
    const CleanShape clean = clean_for_voronoi({polygon});
    if (made.notes.empty() && clean.trouble.empty())
        for (const OffsetLevel& level : made.levels)
            if (!fault_of(level, clean.shape).empty()) std::abort();
    return 0;
}
