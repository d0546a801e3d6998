#pragma once
// A sound recording as numbers.

#include "base/result.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::sound {

/// One channel of a recording.
struct Recording {
    double rate = 0;             ///< samples per second
    std::vector<double> samples; ///< full scale is ±1
    double clipped = 0;          ///< share of the samples that stand at full scale
    [[nodiscard]] double seconds() const { return rate > 0 ? static_cast<double>(samples.size()) / rate : 0; }
};

inline constexpr double kLeastRate = 4000, kMostRate = 400'000; ///< Hz
inline constexpr double kMostSeconds = 300;
inline constexpr std::size_t kMostBytes = 256u << 20;

/// The bytes of a WAV file: integers of 8, 16, 24 or 32 bits or floating point, up to 8 channels, of which the loudest
/// is taken. Fails on what is no WAV, is compressed, holds numbers that are not finite, is empty, or is larger or
/// longer than the bounds above. `file` is for the message.
[[nodiscard]] Result<Recording> read_recording(std::string_view bytes, const std::string& file);

} // namespace kerfwright::sound
