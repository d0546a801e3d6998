#pragma once
// What was read from a drawing: named closed regions, to scale, and the seams between neighbours.

#include "base/result.hpp"
#include "plane/shape.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::drawing {

/// One closed area as it stands in the file, its curves already flattened to 2 µm, in the drawing's finished size, Y
/// up.
struct Outline {
    std::string id;    ///< the element's own id (SVG id, DXF handle, GeoJSON feature id)
    std::string layer; ///< SVG: id or label of the nearest named group; DXF: layer
    std::string fill;  ///< "#rrggbb", or "" when there is none
    std::vector<std::pair<std::string, std::string>>
        properties; ///< GeoJSON/TopoJSON: all; SVG: label, title, class, data-*; DXF: text that stands in the outline
    std::vector<plane::Ring> rings;
    bool even_odd = false; ///< fill rule
    int line = 0;          ///< where it begins in the file; 0 where a format has no lines that mean anything
};

/// One named region. Mostly one polygon; more when the drawing gives one name to several parts.
struct Region {
    std::string name;
    std::string fill;
    plane::Shape shape; ///< normal, disjoint from the other regions
    int line = 0;
};

/// The border that two regions share, as chains of grid points with region `a` to their left. A closed chain ends in
/// the point it starts with. Chains are maximal along the rings of `a`, and sorted.
struct Seam {
    int a = 0, b = 0; ///< indices of regions, a < b; b is kOutside for the outer border
    std::vector<std::vector<plane::Point>> chains;
    double length = 0; ///< mm
};
inline constexpr int kOutside = -1;

/// What cleaning did or could not do.
struct Note {
    enum class Kind {
        sliver_removed,  ///< a part no wider than snap went to a neighbour, or nowhere
        overlap_removed, ///< of two regions, within snap
        gap_closed,      ///< between two regions, within snap
        gap_left,        ///< two regions come close and share no border
        part_joined,     ///< pieces of one outline, or a slit in one region, were put together
        open_outline,    ///< from a reader; make_partition refuses it
        self_crossing,   ///< tiny loops were taken out
        narrow,          ///< a neck below 1 mm
        small,           ///< a part below 25 mm²
        ignored,         ///< something of the file is not used
        unnamed,         ///< an outline got a numbered name
        vertices_moved   ///< onto vertices of a neighbour, within snap
    } kind;
    std::string text; ///< a sentence with names and sizes
    std::vector<std::string> regions;
    plane::Vec at;   ///< where, in the finished frame
    double size = 0; ///< mm or mm², as the text says
};

/// Finished frame: mm, origin lower left of the set, Y up.
struct Drawing {
    std::vector<Region> regions; ///< sorted by name
    std::vector<Seam> seams;     ///< sorted by (a, b)
    std::vector<Note> notes;
    double width = 0, height = 0;
};

/// How to take the file; the `[drawing]` table of the job.
struct ReadOptions {
    double width = 0;          ///< finished width of the set in mm; 0: use `scale`
    double scale = 1;          ///< of the file's own size
    std::string region = "id"; ///< "id", "layer", "fill", "property:NAME"
    double snap = 0.05;        ///< mm; borders of neighbours closer than this are one
    std::string projection;    ///< PROJ string for map data; "" = local equal-area
};

/// Format by the name's ending: .svg .dxf .geojson .json (TopoJSON, or GeoJSON when its "type" says so).
/// Fails on what cannot be used: unreadable text, open outlines, duplicate names, overlaps larger than `snap`,
/// self-crossings that change the shape. The message names file, line where there is one, region and place.
[[nodiscard]] Result<Drawing> read_drawing(std::string_view text, const std::string& file, const ReadOptions& options);

// The steps, each of its own:

/// Readers deliver rings at finished scale, in millimetres, Y up, in any sense of turning, the lower left corner of all
/// closed outlines at the origin (SVG, DXF): options.width or options.scale is applied before curves are flattened, so
/// that 2 µm are 2 µm of the work. Places of notes are in the same frame. make_partition does not scale again.
struct Sketch {
    std::vector<Outline> outlines;
    std::vector<Note> notes;
};
[[nodiscard]] Result<Sketch> read_svg(std::string_view text, const std::string& file, const ReadOptions& options);
[[nodiscard]] Result<Sketch> read_dxf(std::string_view text, const std::string& file, const ReadOptions& options);
[[nodiscard]] Result<Sketch> read_map(std::string_view text, const std::string& file,
                                      const ReadOptions& options); ///< GeoJSON and TopoJSON

/// Names and cleans: outlines to disjoint regions with shared borders, lower left corner at (0, 0).
/// REQUIRES of the sketch: mm in finished size, Y up, on the grid; the origin may lie anywhere.
///
/// - An outline without a name gets a numbered one, "region-1" and so on from left to right, with a note; it is never
///   dropped. Under "id", an outline without an id of its own takes the name of its group.
/// - Outlines of one name are one region. An outline inside another of another name is an island: the smaller one is
///   cut out of the larger, whatever their order in the file.
/// - Borders of neighbours within `snap` become one: vertices move onto vertices of the outline that comes first in the
///   file; overlaps no thicker than snap stay with it, and gaps no wider than snap go to the other one. A gap within
///   one region that is no wider than snap is closed, a part that is nowhere wider goes to the neighbour.
/// - Thicker overlaps, two regions in one place and self-crossings with a loop thicker than snap are problems.
/// - Neighbours share exactly the same grid points along their border, corners of third regions on it included.
/// Cost: about n log n; 0.2 s for 60 regions with 60,000 vertices, 3 s for 1,000 with 1,000,000.
[[nodiscard]] Result<Drawing> make_partition(Sketch sketch, const std::string& file, const ReadOptions& options);

/// Seams of a clean partition: borders that two regions share exactly on the grid.
[[nodiscard]] std::vector<Seam> find_seams(const std::vector<Region>& regions);

} // namespace kerfwright::drawing
