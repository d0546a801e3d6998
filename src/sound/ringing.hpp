#pragma once
// Decaying sinusoids in a stretch of samples. Private to sound/.

#include <cstddef>
#include <optional>
#include <vector>

namespace kerfwright::sound {

/// e^(-decay t) (cosine cos ωt + sine sin ωt), t from the first sample.
struct Decay {
    double omega = 0; ///< rad/s, as it rings (damped)
    double rate = 0;  ///< 1/s
    double cosine = 0, sine = 0;
    double omega_error = 0, rate_error = 0; ///< standard deviations
    double amplitude_error = 0;
    double noise = 0; ///< mean square of the noise per sample, if it were everywhere as near this frequency
    [[nodiscard]] double amplitude() const;
    /// Natural frequency, Hz, and damping ratio: ωn = √(ω² + decay²), ζ = decay/ωn.
    [[nodiscard]] double natural() const;
    [[nodiscard]] double damping() const;
};

/// The decaying sinusoids of the samples, strongest first; only those that stand out clearly.
[[nodiscard]] std::vector<Decay> decays_of(std::vector<double> samples, double rate, double frequency_from,
                                           double frequency_to, int most);

/// Least squares from a first guess of omega and rate, over as many samples as the ringing lasts; nothing when it does
/// not settle on a decaying sinusoid.
[[nodiscard]] std::optional<Decay> fitted(const std::vector<double>& samples, double rate, Decay guess);

} // namespace kerfwright::sound
