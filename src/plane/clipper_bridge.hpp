#pragma once
// Private to plane/: between our values and Clipper's.

#include "plane/boolean.hpp"

#include <clipper.hpp>

namespace kerfwright::plane::bridge {

[[nodiscard]] ClipperLib::Path to_path(const Ring& ring);
[[nodiscard]] ClipperLib::Paths to_paths(const Shape& shape);
[[nodiscard]] Shape to_shape(const ClipperLib::PolyTree& tree);

} // namespace kerfwright::plane::bridge
