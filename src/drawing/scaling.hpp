#pragma once
// Private to drawing/: from a file's own size to the finished frame. Every reader works in millimetres at the file's
// own size, in floating point and with its curves still exact, and comes here once it knows the box of what is drawn.
// Curves are flattened only then, so that 2 µm are 2 µm of the finished work however much the drawing is scaled.

#include "drawing/drawing.hpp"

namespace kerfwright::drawing {

/// Largest distance of a chord from its curve in the finished frame, mm: 2 µm, less the rounding to the grid.
inline constexpr double kFlatness = 0.002 - plane::kGrid;
/// Points and pieces of curve that a drawing may have; more is refused (bounds time and memory).
inline constexpr std::size_t kMostPoints = 4'000'000;
/// Largest coordinate that readers take, mm at the file's own size (1000 km, so map coordinates pass).
inline constexpr double kMostMm = 1e9;
/// Largest input that readers take, bytes.
inline constexpr std::size_t kMostBytes = 64U << 20U;

/// finished = (own - origin) * factor. The lower left corner of what is drawn comes to (0, 0).
struct Frame {
    plane::Vec origin;
    double factor = 1;
    [[nodiscard]] plane::Vec operator()(plane::Vec own) const { return (own - origin) * factor; }
};

/// The factor is options.scale, or options.width over the width of `drawn`, the box of all closed outlines in mm at the
/// file's own size. Fails on an empty, flat or not finite box, on a bad width or scale, and when the finished set would
/// leave the grid's range.
[[nodiscard]] Result<Frame> finished_frame(const plane::Box& drawn, const std::string& file,
                                           const ReadOptions& options);

} // namespace kerfwright::drawing
