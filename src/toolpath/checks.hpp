#pragma once
// Private to toolpath/: settings and features that cannot be used are told before anything is computed.

#include "toolpath/path_moves.hpp"
#include "toolpath/toolpath.hpp"

#include <optional>

namespace kerfwright::toolpath {

[[nodiscard]] std::optional<Problem> unusable(const Technology& technology, const SheetFrame& frame);
[[nodiscard]] std::optional<Problem> unusable(const ProfileFeature& feature, const SheetFrame& frame);
[[nodiscard]] std::optional<Problem> unusable(const PocketFeature& feature, const SheetFrame& frame);

/// Degrees, within what the cutter may do.
[[nodiscard]] double ramp_angle_of(const cutting::Setting& setting, const shop::Cutter& cutter);
/// A run has one speed, the one of roughing. Where the finishing plan asked for a higher one, its feed is lowered in
/// proportion, so that the chip stays as planned; where it asked for a lower one its feed stays.
[[nodiscard]] Feeds finishing_feeds(const Technology& technology);

} // namespace kerfwright::toolpath
