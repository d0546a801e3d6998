#pragma once
// Private to drawing/: from the chains that a file draws to a Sketch. Closes what is meant to be closed, joins what
// meets, finds the finished frame, flattens. Shared by the SVG and the DXF reader.

#include "drawing/curves.hpp"
#include "drawing/scaling.hpp"

#include <string>
#include <vector>

namespace kerfwright::drawing {

/// One element or entity: mm at the file's own size, Y up.
struct Tracing {
    Outline outline; ///< all but its rings
    std::vector<Chain> chains;
    bool painted = false; ///< its area is filled: open chains are closed by a straight line, as a viewer shows them
    std::string what;     ///< how to name it to a person: "path 'oak'", "LINE 2F"
};

/// Text that names the closed outline it stands in (DXF).
struct Label {
    std::string text;
    Vec at;     ///< its middle, as far as that is known
    Vec anchor; ///< asked when its middle is in no outline
};

struct Tracings {
    std::vector<Tracing> items; ///< in the order of the file
    std::vector<Label> labels;
    std::vector<Note> notes; ///< places in mm at the file's own size
};

/// Open chains of one layer whose ends meet within `snap` (finished mm) are joined into closed ones, where exactly two
/// ends meet; the joined outline is named by its first chain in the file. What stays open becomes a note, as does each
/// gap that was closed and is wider than the flattening tolerance.
[[nodiscard]] Result<Sketch> sketch(Tracings tracings, const std::string& file, const ReadOptions& options);

} // namespace kerfwright::drawing
