#include "page/archive.hpp"

#include <zip.h>

#include <memory>

namespace kerfwright::page {
namespace {

struct FreeSource {
    void operator()(zip_source_t* source) const { zip_source_free(source); }
};
struct DiscardArchive {
    void operator()(zip_t* archive) const { zip_discard(archive); }
};

Problem problem(const std::string& what) {
    return {"", 0, 0, "the archive cannot be made: " + what, "take the files one by one"};
}

/// One file with a fixed date and fixed rights. False when the library says no.
bool add(zip_t* archive, const job::OutputFile& file) {
    zip_source_t* source = zip_source_buffer(archive, file.bytes.data(), file.bytes.size(), 0);
    if (source == nullptr) return false;
    const zip_int64_t number = zip_file_add(archive, file.path.c_str(), source, ZIP_FL_ENC_UTF_8);
    if (number < 0) {
        zip_source_free(source);
        return false;
    }
    constexpr zip_uint16_t kMidnight = 0, kNewYear1980 = (1 << 5) | 1;
    constexpr zip_uint32_t kMode = 0100644u << 16;
    const auto index = static_cast<zip_uint64_t>(number);
    return zip_file_set_dostime(archive, index, kMidnight, kNewYear1980, 0) == 0 &&
           zip_file_set_external_attributes(archive, index, 0, ZIP_OPSYS_UNIX, kMode) == 0;
}

std::string bytes_of(zip_source_t* source) {
    std::string bytes;
    zip_stat_t stat;
    if (zip_source_open(source) != 0) return bytes;
    if (zip_source_stat(source, &stat) == 0) {
        bytes.resize(stat.size);
        const zip_int64_t read = zip_source_read(source, bytes.data(), bytes.size());
        bytes.resize(read < 0 ? 0 : static_cast<std::size_t>(read));
    }
    zip_source_close(source);
    return bytes;
}

} // namespace

Result<std::string> zip_of(const std::vector<const job::OutputFile*>& files) {
    zip_error_t error;
    zip_error_init(&error);
    const std::unique_ptr<zip_source_t, FreeSource> target(zip_source_buffer_create(nullptr, 0, 0, &error));
    if (!target) return problem(zip_error_strerror(&error));
    zip_source_keep(target.get()); // the archive owns it too
    std::unique_ptr<zip_t, DiscardArchive> archive(zip_open_from_source(target.get(), ZIP_TRUNCATE, &error));
    if (!archive) {
        zip_source_free(target.get());
        return problem(zip_error_strerror(&error));
    }
    for (const job::OutputFile* file : files)
        if (!add(archive.get(), *file)) return problem(zip_strerror(archive.get()));
    if (zip_close(archive.get()) != 0) return problem(zip_strerror(archive.get()));
    static_cast<void>(archive.release()); // closed
    return bytes_of(target.get());
}

} // namespace kerfwright::page
