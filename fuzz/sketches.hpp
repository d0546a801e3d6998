#pragma once
// What every reader of drawings promises, whatever the bytes: a sketch within the plane's range, or a problem that says
// what to do.

#include "drawing/drawing.hpp"

#include <cstdint>
#include <cstdlib>

namespace kerfwright {

using SketchReader = Result<drawing::Sketch> (*)(std::string_view, const std::string&, const drawing::ReadOptions&);

inline int try_sketch(SketchReader read, const std::string& file, const drawing::ReadOptions& options,
                      const std::uint8_t* data, std::size_t size) {
    if (size > 200'000) return 0;
    const auto sketch = read({reinterpret_cast<const char*>(data), size}, file, options);
    if (!sketch) {
        if (sketch.problem().what.empty() || sketch.problem().remedy.empty()) std::abort();
        return 0;
    }
    if (sketch.value().outlines.empty()) std::abort();
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

} // namespace kerfwright
