#pragma once
// Private to job/: the set with every seam coloured by its gap.

#include "job/plan.hpp"
#include "papers/papers.hpp"

namespace kerfwright::job {

/// Every seam along the middle of its gap, in a class by the distance between the as-cut outlines less what was asked;
/// circles where three borders meet and the gap opens, triangles at the other listed spots. Made from the as-cut
/// outlines alone, not from the seam table.
[[nodiscard]] papers::Drawn draw_seams(const Plan& plan);

} // namespace kerfwright::job
