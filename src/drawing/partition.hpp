#pragma once
// Private to drawing/: the steps of make_partition.

#include "drawing/drawing.hpp"

#include <string>
#include <vector>

namespace kerfwright::drawing {

/// The outlines that make one region, in the order of the file.
struct NamedOutlines {
    std::string name;
    std::vector<std::size_t> outlines;
};

/// Who is called what (see ReadOptions::region): one entry per region, in the order in which their first outlines stand
/// in the file. Outlines without a name get numbered ones, with a note.
[[nodiscard]] Result<std::vector<NamedOutlines>> name_regions(const Sketch& sketch, const std::string& file,
                                                              const ReadOptions& options, std::vector<Note>& notes);

} // namespace kerfwright::drawing
