#include "sound/recording.hpp"

#include <fmt/format.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

namespace kerfwright::sound {
namespace {

constexpr int kMostChannels = 8;
constexpr sf_count_t kBlock = 4096; ///< frames read at once

/// Bytes in memory as a file for libsndfile.
struct Memory {
    std::string_view bytes;
    sf_count_t at = 0;
};

sf_count_t length_of(void* user) {
    return static_cast<sf_count_t>(static_cast<Memory*>(user)->bytes.size());
}

sf_count_t seek(sf_count_t offset, int whence, void* user) {
    Memory& memory = *static_cast<Memory*>(user);
    const sf_count_t from = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? memory.at : length_of(user);
    if (offset < -from || offset > length_of(user) - from) return -1;
    memory.at = from + offset;
    return memory.at;
}

sf_count_t read(void* out, sf_count_t count, void* user) {
    Memory& memory = *static_cast<Memory*>(user);
    const sf_count_t n = std::clamp<sf_count_t>(count, 0, length_of(user) - memory.at);
    if (n > 0) std::memcpy(out, memory.bytes.data() + memory.at, static_cast<std::size_t>(n));
    memory.at += n;
    return n;
}

sf_count_t no_write(const void*, sf_count_t, void*) {
    return 0;
}

sf_count_t place(void* user) {
    return static_cast<Memory*>(user)->at;
}

Problem unfit(const std::string& file, std::string what, std::string remedy = "save it as uncompressed WAV") {
    return {file, 0, 0, std::move(what), std::move(remedy)};
}

bool looks_like_wav(std::string_view bytes) {
    return bytes.size() > 12 && (bytes.starts_with("RIFF") || bytes.starts_with("RIFX")) &&
           bytes.substr(8, 4) == "WAVE";
}

bool uncompressed(int format) {
    switch (format & SF_FORMAT_SUBMASK) {
    case SF_FORMAT_PCM_U8:
    case SF_FORMAT_PCM_S8:
    case SF_FORMAT_PCM_16:
    case SF_FORMAT_PCM_24:
    case SF_FORMAT_PCM_32:
    case SF_FORMAT_FLOAT:
    case SF_FORMAT_DOUBLE:
        return true;
    default:
        return false;
    }
}

using File = std::unique_ptr<SNDFILE, int (*)(SNDFILE*)>;

/// All channels, one after the other. What the header promises and the bytes do not hold is left out.
std::vector<std::vector<double>> channels_of(SNDFILE* file, const SF_INFO& info) {
    const auto count = static_cast<std::size_t>(info.channels);
    const auto most = static_cast<std::size_t>(kMostSeconds * info.samplerate) + 1;
    std::vector<std::vector<double>> channels(count);
    std::vector<double> block(count * kBlock);
    while (channels[0].size() < most) {
        const sf_count_t frames = sf_readf_double(file, block.data(), kBlock);
        if (frames <= 0) break;
        for (std::size_t i = 0; i < static_cast<std::size_t>(frames) * count; ++i)
            channels[i % count].push_back(block[i]);
    }
    return channels;
}

double energy(const std::vector<double>& samples) {
    double mean = 0, sum = 0;
    for (const double s : samples)
        mean += s;
    mean /= static_cast<double>(std::max<std::size_t>(1, samples.size()));
    for (const double s : samples)
        sum += (s - mean) * (s - mean);
    return sum;
}

} // namespace

Result<Recording> read_recording(std::string_view bytes, const std::string& file) {
    if (bytes.size() > kMostBytes)
        return unfit(file, fmt::format("the recording is larger than {} MiB", kMostBytes >> 20),
                     "cut out some seconds");
    if (!looks_like_wav(bytes)) return unfit(file, "this is no WAV file");
    Memory memory{bytes};
    SF_VIRTUAL_IO io{length_of, seek, read, no_write, place};
    SF_INFO info{};
    const File opened(sf_open_virtual(&io, SFM_READ, &info, &memory), sf_close);
    if (!opened) return unfit(file, fmt::format("the WAV file is damaged ({})", sf_strerror(nullptr)));
    if (!uncompressed(info.format)) return unfit(file, "the WAV file is compressed, which changes what it sounds like");
    if (info.channels < 1 || info.channels > kMostChannels)
        return unfit(file, fmt::format("the recording has {} channels", info.channels), "record one or two channels");
    if (info.samplerate < kLeastRate || info.samplerate > kMostRate)
        return unfit(file,
                     fmt::format("{} samples a second are too {}", info.samplerate,
                                 info.samplerate < kLeastRate ? "few" : "many"),
                     "record at 44100 or 48000 samples a second");
    const auto channels = channels_of(opened.get(), info);
    if (channels[0].empty()) return unfit(file, "the recording is empty", "record again");

    Recording recording;
    recording.rate = info.samplerate;
    if (static_cast<double>(channels[0].size()) > kMostSeconds * recording.rate)
        return unfit(file, fmt::format("the recording is longer than {:.0f} s", kMostSeconds), "cut out some seconds");
    for (const auto& channel : channels)
        for (const double s : channel)
            if (!std::isfinite(s) || std::abs(s) > 1e6)
                return unfit(file, "the recording holds samples that are no numbers", "record again");
    recording.samples = *std::max_element(channels.begin(), channels.end(),
                                          [](const auto& a, const auto& b) { return energy(a) < energy(b); });
    const auto full = std::count_if(recording.samples.begin(), recording.samples.end(),
                                    [](double s) { return std::abs(s) >= 0.999; });
    recording.clipped = static_cast<double>(full) / static_cast<double>(recording.samples.size());
    return recording;
}

} // namespace kerfwright::sound
