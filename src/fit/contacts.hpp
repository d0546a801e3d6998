#pragma once
// Private to fit/: where solids of an assembly may meet.

#include "fit/assembly.hpp"
#include "plane/nearest.hpp"

#include <cstddef>
#include <vector>

namespace kerfwright::fit {

/// A solid of the assembly with its edges. The tray is the solid around its recess.
struct Solid {
    plane::EdgeIndex edges;
    plane::Box box;
    plane::Vec centre;
    bool is_wall = false;
    std::vector<plane::Vec> probes; ///< vertices to measure gaps from: all corners, and chords' ends 0.05 mm apart
};
[[nodiscard]] std::vector<Solid> solids_of(const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall);

/// A point of solid `a` and the nearest point of solid `b`, in their own as-cut frame.
/// gap = |p - q|, negative when p is inside b; normal points out of b at q.
struct ContactPair {
    std::size_t a = 0, b = 0;
    std::size_t seam = 0; ///< index of the unordered pair
    plane::Vec p, q, normal;
    double gap = 0;
};

struct ContactSet {
    std::vector<ContactPair> contacts; ///< sorted by seam
    std::vector<std::pair<std::size_t, std::size_t>> seams;
    std::vector<std::size_t> first; ///< of each seam, and one past the last
};

/// How a solid lies: shift, and turn (radians) about its centre; and how it has grown before.
struct Lie {
    plane::Vec shift;
    double turn = 0;
    Growth growth;
};
[[nodiscard]] plane::Vec placed(plane::Vec v, const Solid& solid, const Lie& lie);

/// Contacts of the solids as they lie; `spacing` along their edges, up to `reach` apart. p, q, normal are placed.
[[nodiscard]] ContactSet contacts_of(const std::vector<Solid>& solids, const std::vector<Lie>& lies, double spacing,
                                     double reach, int threads);

/// Smallest gap of all solids as they lie, from their probes to every edge; negative when one is inside another. Probes
/// on a bend of 0.5 mm radius miss at most 0.6 µm. `reach` when nothing is nearer.
[[nodiscard]] double smallest_gap(const std::vector<Solid>& solids, const std::vector<Lie>& lies,
                                  const std::vector<double>& grown_by, double reach, int threads);

} // namespace kerfwright::fit
