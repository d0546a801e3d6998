#pragma once
// Private to drawing/: ASCII DXF as text: pairs of lines, a group code and its value; records that begin at code 0;
// the sections that matter here.

#include "base/result.hpp"

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::drawing {

struct Group {
    int code = 0;
    int line = 0; ///< of the value
    std::string_view value;
};

/// Groups first .. last - 1 of the file; the first has code 0 and names the record's type.
struct Record {
    std::string_view type;
    std::size_t first = 0, last = 0;
    int line = 0;
};

struct DxfBlock {
    std::string name;
    Record head;
    std::vector<Record> records;
};

struct DxfFile {
    std::vector<Group> groups;
    std::map<std::string, std::size_t, std::less<>> header; ///< "$INSUNITS" to its first value's group
    std::vector<Record> layers;                             ///< LAYER records of the tables
    std::map<std::string, DxfBlock, std::less<>> blocks;    ///< by folded name
    std::vector<Record> entities;
};

/// Refuses binary DXF and DWG, lines that are no group code, a section without its end. `text` must outlive the result.
[[nodiscard]] Result<DxfFile> parse_dxf(std::string_view text, const std::string& file);

/// Names of layers and blocks do not differ by case.
[[nodiscard]] std::string folded(std::string_view name);
/// As UTF-8: \U+XXXX, %%d, %%c and %%p are put in; bytes that are no UTF-8 are read as Windows-1252, the code page most
/// older files were written in.
[[nodiscard]] std::string plain_text(std::string_view raw);
/// The same for MTEXT, without its formatting; lines are joined by spaces.
[[nodiscard]] std::string plain_mtext(std::string_view raw);

} // namespace kerfwright::drawing
