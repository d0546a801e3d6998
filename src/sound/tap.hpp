#pragma once
// How a tip rings when it is tapped: natural frequency and damping from a recording of one or more taps.
//
// After a tap a structure rings freely, as a sum of decaying sinusoids. Each tap's ringing is fitted by least squares
// (Gauss and Newton, in the way of Levenberg and Marquardt), the strongest mode first, each in what the others leave,
// then all again in turn (RELAX; Li and Stoica 1996). In white noise no unbiased estimate can do better than least
// squares by more than rounding; its covariance gives the error, and the spread between taps checks it.

#include "sound/recording.hpp"

namespace kerfwright::sound {

/// One way of ringing. Errors are half widths of 95 % intervals.
struct Ring {
    double frequency = 0, frequency_error = 0; ///< natural, Hz
    double damping = 0, damping_error = 0;     ///< ratio
    double amplitude = 0;                      ///< of full scale, where the ringing of the loudest tap begins
    double snr = 0;                            ///< dB, its energy over that of the noise near its frequency
    int taps = 0;                              ///< in which it was found
};

struct TapSound {
    int taps = 0;            ///< heard
    std::vector<Ring> rings; ///< strongest first, at most 4
};

struct TapOptions {
    double frequency_from = 50, frequency_to = 8000; ///< Hz
};

/// Fails when no tap is heard above the noise, or when what is heard does not ring. `file` is for the message.
[[nodiscard]] Result<TapSound> hear_tap(const Recording& recording, const std::string& file,
                                        const TapOptions& options = {});

} // namespace kerfwright::sound
