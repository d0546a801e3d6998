// The DXF reader on any bytes: a sketch within its promises, or a problem.

#include "drawing/drawing.hpp"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace kerfwright;
    if (size > 200'000) return 0;
    drawing::ReadOptions options;
    // The size chooses the options, so that both ways to scale are tried.
    if (size % 2 == 1) options.width = 300;
    const auto sketch = drawing::read_dxf({reinterpret_cast<const char*>(data), size}, "fuzz.dxf", options);
    if (!sketch) {
        if (sketch.problem().what.empty() || sketch.problem().remedy.empty()) std::abort();
        return 0;
    }
    if (sketch.value().outlines.empty()) std::abort();
    for (const auto& outline : sketch.value().outlines)
        for (const auto& ring : outline.rings) {
            if (ring.size() < 3) std::abort();
            for (const auto p : ring)
                if (std::abs(p.x) > plane::kRange || std::abs(p.y) > plane::kRange) std::abort();
        }
    return 0;
}
