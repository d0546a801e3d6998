#pragma once
// Private to drawing/: the steps of make_partition.
//
// All rings are laid into one arrangement, whose faces are each given to one region or to none. So neighbours share
// their borders by construction: overlaps and gaps are faces too, and go to the one or the other.

#include "drawing/drawing.hpp"
#include "drawing/partition_faces.hpp"

#include <cstdint>
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

/// A ring as it stands in the arrangement; `sign` is the sense in which it turns.
struct DrawnRing {
    plane::Ring points;
    int outline = 0;
    int sign = 1;
};

/// An outline as it stands in the arrangement.
struct DrawnOutline {
    int region = 0; ///< in the order of name_regions
    bool even_odd = false;
    int line = 0;
};

/// What the steps need to know about the drawing.
struct Drawn {
    std::vector<DrawnRing> rings;
    std::vector<DrawnOutline> outlines;
    std::vector<std::string> names; ///< of the regions
    double snap = 0;                ///< mm
};

/// What merge_vertices did to one outline.
struct MovedVertices {
    int outline = 0;
    std::size_t count = 0;
    double farthest = 0; ///< mm
    plane::Vec at;       ///< where that was
};

/// Most pairs of things near each other that a step looks at; a drawing with more is too small for its detail.
inline constexpr std::size_t kMostPairs = 400'000'000;

/// Moves vertices onto vertices of earlier outlines within `snap` grid units. Nothing after kMostPairs.
[[nodiscard]] std::optional<std::vector<MovedVertices>> merge_vertices(std::vector<DrawnRing>& rings,
                                                                       std::int64_t snap);

/// Short segments from each vertex to every other outline within `snap` grid units. They cut the gap between two
/// neighbours off from the outside, and into cells. Nothing after kMostPairs.
[[nodiscard]] std::optional<std::vector<RingSegment>> bridges(const std::vector<DrawnRing>& rings, std::int64_t snap);

/// Changes below this many mm are how curves were flattened, and not worth a note.
inline constexpr double kWorthNoting = 0.005;

inline constexpr int kNobody = -1;

/// Which region gets each face; the faces of no region are kNobody's. Overlaps go to the earlier region and gaps to
/// the later one, so that the border of the earlier one is the one that counts. Notes say what was done.
[[nodiscard]] Result<std::vector<int>> find_owners(const Arrangement& faces, const Drawn& drawn,
                                                   const std::string& file, std::vector<Note>& notes);

/// The shapes of the regions, indexed as `drawn.names`; a region may have come to nothing. Vertices that only cutting
/// made, and that no junction needs, are taken out again on both sides.
[[nodiscard]] std::vector<plane::Shape> trace_regions(const Arrangement& faces, const std::vector<int>& owner,
                                                      const Drawn& drawn);

/// Notes on regions that come within ten times `snap` mm of each other and share no border: perhaps they should.
void note_near_misses(const Drawing& drawing, double snap, std::vector<Note>& notes);

/// Notes on parts that are hard to cut because they are small or have a narrow place.
void note_widths(const std::vector<Region>& regions, std::vector<Note>& notes);

/// Diameter of the largest disc inside, mm, to 0.1 %.
[[nodiscard]] double thickness(const plane::Shape& shape);
/// Is it at most `width` mm thick everywhere?
[[nodiscard]] bool thinner(const plane::Shape& shape, double width);

} // namespace kerfwright::drawing
