// The SVG reader on any bytes.

#include "sketches.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace kerfwright;
    drawing::ReadOptions options;
    if (size % 2 == 1) options.width = 300; // the size chooses, so that both ways to scale are tried
    return try_sketch(drawing::read_svg, "fuzz.svg", options, data, size);
}
