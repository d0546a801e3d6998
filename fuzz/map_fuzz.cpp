// The map readers on any bytes.

#include "sketches.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace kerfwright;
    drawing::ReadOptions options;
    options.width = 300;
    // The size chooses, so that every way through is tried.
    if (size % 3 == 1) options.projection = "none";
    if (size % 3 == 2) options.projection = "+proj=merc";
    return try_sketch(drawing::read_map, "fuzz.json", options, data, size);
}
