// The map readers on any bytes: a sketch within its promises, or a problem.

#include "drawing/drawing.hpp"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace kerfwright;
    if (size > 100'000) return 0;
    drawing::ReadOptions options;
    // The size chooses the options, so that every way through is tried.
    options.width = 300;
    if (size % 3 == 1) options.projection = "none";
    if (size % 3 == 2) options.projection = "+proj=merc";
    const auto sketch = drawing::read_map({reinterpret_cast<const char*>(data), size}, "fuzz.json", options);
    if (!sketch) {
        if (sketch.problem().what.empty() || sketch.problem().remedy.empty()) std::abort();
        return 0;
    }
    for (const auto& outline : sketch.value().outlines) {
        if (outline.rings.empty()) std::abort();
        for (const auto& ring : outline.rings) {
            if (ring.size() < 3) std::abort();
            for (const auto p : ring)
                if (std::abs(p.x) > plane::kRange || std::abs(p.y) > plane::kRange) std::abort();
        }
    }
    return 0;
}
