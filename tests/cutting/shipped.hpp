#pragma once
// What is shipped, by name.

#include "shop/library.hpp"

namespace kerfwright::cutting {

inline const shop::Material& material(const char* name) {
    return *find_material(shop::shipped(), name);
}
inline const shop::Cutter& cutter(const char* name) {
    return *find_cutter(shop::shipped(), name);
}

} // namespace kerfwright::cutting
