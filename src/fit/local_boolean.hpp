#pragma once
// Private to fit/: booleans of a large shape with many small ones, done only around the small ones.

#include "plane/shape.hpp"

namespace kerfwright::fit {

/// What `small` and `large` share.
[[nodiscard]] plane::Shape shared(const plane::Shape& large, const plane::Shape& small);
/// What `small` has beyond `large`.
[[nodiscard]] plane::Shape beyond(const plane::Shape& large, const plane::Shape& small);
/// `large` without `small`.
[[nodiscard]] plane::Shape less(const plane::Shape& large, const plane::Shape& small);
/// `large` with `small`.
[[nodiscard]] plane::Shape with(const plane::Shape& large, const plane::Shape& small);

} // namespace kerfwright::fit
