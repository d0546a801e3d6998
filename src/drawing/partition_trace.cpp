#include "drawing/partition.hpp"

#include <algorithm>

namespace kerfwright::drawing {

using plane::Point;
using plane::Ring;

std::vector<plane::Shape> trace_regions(const Arrangement& faces, const std::vector<int>& owner, const Drawn& drawn) {
    std::vector<std::vector<std::size_t>> borders(drawn.names.size());
    for (std::size_t h = 0; h < faces.half_edges(); ++h) {
        const int region = owner[static_cast<std::size_t>(faces.face(h))];
        if (region != kNobody && region != owner[static_cast<std::size_t>(faces.face(h ^ 1))])
            borders[static_cast<std::size_t>(region)].push_back(h);
    }
    std::vector<plane::Shape> shapes;
    for (std::size_t r = 0; r < borders.size(); ++r)
        shapes.push_back(to_shape(
            faces.trace(borders[r], [&](int f) { return owner[static_cast<std::size_t>(f)] == static_cast<int>(r); })));
    return shapes;
}

} // namespace kerfwright::drawing
