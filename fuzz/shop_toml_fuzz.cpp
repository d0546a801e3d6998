// Shop files: any bytes are read or refused.

#include "shop/library.hpp"

#include <cstddef>
#include <cstdint>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    (void)kerfwright::shop::read_materials(text, "fuzz.toml");
    (void)kerfwright::shop::read_cutters(text, "fuzz.toml");
    (void)kerfwright::shop::read_machines(text, "fuzz.toml");
    return 0;
}
