#pragma once
// The texts of data/*.toml, compiled in (cmake/Embed.cmake).

#include <string_view>

namespace kerfwright::shop::embedded {

extern const std::string_view materials;
extern const std::string_view cutters;
extern const std::string_view machines;

} // namespace kerfwright::shop::embedded
