#pragma once
// The front end's built files, compiled in (cmake/Web.cmake writes the table).

#include "page/message.hpp"

#include <span>
#include <string_view>

namespace kerfwright::page {

struct Asset {
    std::string_view path; ///< "assets/index-3fa9c1.js"
    std::string_view bytes;
};

/// Sorted by path.
[[nodiscard]] std::span<const Asset> assets();

/// The file at a path of the address, "/" being index.html. Names that hold a digest may be kept by the browser for
/// good, others are asked for again each time.
[[nodiscard]] Reply reply_asset(const std::string& path);

} // namespace kerfwright::page
