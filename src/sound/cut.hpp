#pragma once
// What a recording of a cut says: forced vibration sounds at multiples of the spindle's and the teeth's rate only;
// chatter is a strong line that is none of these (Altintas 2012, ch. 4).

#include "sound/recording.hpp"

namespace kerfwright::sound {

/// One line of the spectrum.
struct Line {
    enum class Kind {
        teeth,   ///< a multiple of the tooth-passing rate
        spindle, ///< another multiple of the spindle's rate: run-out
        mains,   ///< a low multiple of 50 or 60 Hz
        other,   ///< none of these
    } kind = Kind::other;
    double frequency = 0; ///< Hz
    double above = 0;     ///< dB, over the noise around it
    double power = 0;     ///< mean square, full scale is 1
    int multiple = 0;     ///< of what its kind names
};
[[nodiscard]] const char* to_string(Line::Kind kind);

struct CutSound {
    double n = 0;             ///< rev/min, as heard
    bool n_heard = false;     ///< false: no line fits near the speed that was set, which is then taken
    std::vector<Line> lines;  ///< strongest first, at most 40
    bool chatter = false;     ///< the strongest other line is loud (below)
    double frequency = 0;     ///< Hz, of the strongest other line; 0 without one
    double against_teeth = 0; ///< dB, that line over the strongest multiple of the spindle's rate
    double share = 0;         ///< of the power between 60 Hz and 8 kHz that is in that line
};

/// The sound of a cut with `teeth` at about `n` rev/min (it may have sagged by 6 % or be 2 % up). Chatter: a line that
/// stands 10 dB over the noise, is at most 10 dB weaker than the strongest multiple of the spindle's rate, and has 1 %
/// of all the power (these three are choices, tried on synthetic recordings). Fails when the recording is too short to
/// tell the multiples of the spindle's rate apart. `file` is for the message.
[[nodiscard]] Result<CutSound> hear_cut(const Recording& recording, double n, int teeth, const std::string& file);

} // namespace kerfwright::sound
